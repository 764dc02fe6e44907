"""'The amended beds have more than the others': which tokens of a sentence speak of the other side."""

from collections.abc import Sequence
from dataclasses import dataclass

from soiltrend.claims.token import Token
from soiltrend.data import load_toml

GROUPS = {"amended_beds": "amended", "control_beds": "control"}
# So many tokens after 'than' a bed or a group may follow: 'than in the control beds'.
REACH = 4
SIDE_ENDS = {"and", "but", "while", "stop", "question"}


@dataclass(frozen=True, slots=True)
class Side:
    """The other side of a comparison: named beds or groups; both empty for 'than the others'."""

    beds: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()


def split_sides(tokens: Sequence[Token]) -> tuple[list[Token], Side | None]:
    """Return the tokens without those that name the other side, and that side; None where none is named."""
    start = next((i for i, token in enumerate(tokens) if _opens(tokens, i, token)), None)
    if start is None:
        return list(tokens), None
    end = next((i for i in range(start + 1, len(tokens)) if tokens[i].kind in SIDE_ENDS), len(tokens))
    named = [token for token in tokens[start:end] if token.kind == "bed"]
    groups = [_group(tokens, i) for i in range(start, end)]
    side = Side(
        beds=tuple(dict.fromkeys(str(token.value) for token in named)),
        groups=tuple(dict.fromkeys(group for group in groups if group)),
    )
    said = [
        t for i, t in enumerate(tokens) if not (start < i < end and (t.kind == "bed" or groups[i - start]))
    ]
    return said, side


def by_level(tokens: Sequence[Token]) -> bool:
    """Whether the sentence says how the sides stand ('is higher'), not how they moved ('rose more')."""
    standing = set(load_toml("claim_words")["standing"]["phrases"])
    kinds = {"direction", "times", "at_least", "at_most"}
    told = [token for token in tokens if token.kind in kinds]
    moved = [t for t in told if t.kind in {"direction", "times"} and t.text.casefold() not in standing]
    return not moved


def _opens(tokens: Sequence[Token], index: int, token: Token) -> bool:
    said = token.text.casefold()
    if token.kind == "comparative" and said not in load_toml("claim_words")["beside"]["phrases"]:
        return True  # it names the other side itself: 'than the controls'
    if token.kind not in {"than", "comparative"} and said != "as" and not said.endswith(" than"):
        return False
    near = range(index + 1, min(index + 1 + REACH, len(tokens)))
    passed = {"filler", "control_beds", "amended_beds", "bed", "treatment", "material"}
    for i in near:
        if tokens[i].kind not in passed:
            return False
        if tokens[i].kind == "bed" or _group(tokens, i):
            return True
    return False


def _group(tokens: Sequence[Token], index: int) -> str:
    """Return the group that a token names: the amended, the unamended, or the beds of a treatment."""
    token = tokens[index]
    if token.kind in GROUPS:
        return GROUPS[token.kind]
    after = tokens[index + 1].text.casefold() if index + 1 < len(tokens) else ""
    if token.kind in {"treatment", "material"} and after in {"bed", "beds", "plot", "plots", "ones"}:
        return str(token.value)
    return ""

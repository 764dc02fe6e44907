"""What tokens mean beside each other: sums, limits, amounts that look like years, beds of one name."""

import re
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from itertools import zip_longest

from soiltrend.claims.token import Token, plain

# Roawn for Rowan: two letters changed places in a short word.
NEARLY = 0.75
BEDS = {"bed", "beds", "plot", "plots"}
LIMITS = {"lower": "at_most", "smaller": "at_most", "higher": "at_least", "larger": "at_least"}


def joined(tokens: list[Token], names: Mapping[str, tuple[str, str]]) -> list[Token]:
    """Return the tokens with all that follows from their neighbours; ``names`` as for ``tokenize``."""
    compared = _compared(_summed(_amounts(_limits(tokens))))
    return _misspelt(list(_named_beds(list(_like_beds(_numbered_beds(compared, names), names)))), names)


def _misspelt(tokens: list[Token], names: Mapping[str, tuple[str, str]]) -> list[Token]:
    """Read a capital word that is nearly a bed's name as a bed of no record, never the whole garden."""
    beds = [plain(name) for name, (kind, _) in names.items() if kind == "bed" and " " not in name]
    return [
        Token("unknown_bed", token.text, token.text)
        if token.kind == "word"
        and token.text[:1].isupper()
        and get_close_matches(str(token.value), beds, n=1, cutoff=NEARLY)
        else token
        for token in tokens
    ]


def _limits(tokens: list[Token]) -> list[Token]:
    """Read 'lower than 6' as a limit and not as a fall, and leave 'lower than 3 years ago'."""
    made: list[Token] = []
    for index, token in enumerate(tokens):
        ahead = [following.kind for following in tokens[index + 1 : index + 3]]
        limit = LIMITS.get(made[-1].text.casefold()) if made and token.kind == "than" else None
        if limit and ahead[:1] == ["number"] and ahead[1:] != ["span"]:
            made[-1] = Token(limit, limit, f"{made[-1].text} {token.text}")
        else:
            made.append(token)
    return made


def _amounts(tokens: list[Token]) -> list[Token]:
    """Read '2000 %' and 'from 1950 to 2050 ppm' as amounts: a year has no unit, nor has one beside it."""
    made = _limits(tokens)
    for index in range(len(made) - 2, -1, -1):
        after = made[index + 1]
        joined = after.kind == "to" and index + 2 < len(made) and made[index + 2].kind == "number"
        if made[index].kind == "year" and (after.kind == "unit" or joined):
            made[index] = Token("number", made[index].value, made[index].text)
    return made


def _summed(tokens: list[Token]) -> list[Token]:
    """Add up numbers said in words: 'five and a half' is 5.5, 'twenty two' is 22."""
    made: list[Token] = []
    for token in tokens:
        before = made[-1] if made else None
        whole = made[-2] if len(made) > 1 and before and before.kind == "and" else None
        if token.kind == "fraction" and whole and whole.kind == "number":
            half = float(whole.value) + float(token.value) / 100
            made[-2:] = [Token("number", half, f"{whole.text} and {token.text}")]
        elif token.kind == "number" and before and _tens(before) and _ones(token):
            made[-1] = Token(
                "number", float(before.value) + float(token.value), f"{before.text} {token.text}"
            )
        else:
            made.append(token)
    return made


def _tens(token: Token) -> bool:
    return token.kind == "number" and token.text.isalpha() and token.value in range(20, 100, 10)


def _ones(token: Token) -> bool:
    return token.text.isalpha() and token.text.casefold() not in {"a", "an"} and token.value in range(1, 10)


def _compared(tokens: list[Token]) -> list[Token]:
    """Read 'a third less than' and '20 ppm more than' as directions; 'less than 20 ppm' is a limit."""
    amounts = {"unit", "fraction", "number"}
    made = []
    for before, token in zip([None, *tokens], tokens, strict=False):
        if before and before.kind in amounts and token.text.casefold() in {"less than", "more than"}:
            made.append(Token("direction", "down" if token.kind == "at_most" else "up", token.text))
        else:
            made.append(token)
    return made


def _numbered_beds(tokens: list[Token], names: Mapping[str, tuple[str, str]]) -> list[Token]:
    """Read 'North 1, 2 and 3' as three beds where the garden has them, but not 'North 1 and 2 ppm'."""
    beds = {plain(name): value for name, (kind, value) in names.items() if kind == "bed"}
    made = list(tokens)
    for index in range(2, len(made)):
        before, joint, token = made[index - 2 : index + 1]
        unit_follows = index + 1 < len(made) and made[index + 1].kind in {"unit", "span"}
        if before.kind != "bed" or joint.text.casefold() not in {"and", ",", "&", "to", "or"} or unit_follows:
            continue
        other = beds.get(re.sub(r"\d+$", token.text, plain(before.text)))
        if token.kind == "number" and token.text.isdigit() and other:
            made[index] = Token("bed", other, re.sub(r"\d+$", token.text, before.text))
    return made


def _like_beds(tokens: list[Token], names: Mapping[str, tuple[str, str]]) -> Iterator[Token]:
    """Where beds are called North 1 and N1, 'North 4' and 'N4' are beds too, of which there is no record."""
    stems = {
        found[1]
        for name, (kind, _) in names.items()
        if kind == "bed" and (found := re.fullmatch(r"(\D*[^\W\d])\s*\d+", plain(name)))
    }
    skip = False
    for token, following in zip_longest(tokens, tokens[1:]):
        if skip:
            skip = False
        elif token.kind == "word" and re.sub(r"\d+$", "", str(token.value)) in stems - {str(token.value)}:
            yield Token("unknown_bed", token.text, token.text)
        elif token.kind == "word" and token.value in stems and following and following.text.isdigit():
            name = f"{token.text} {following.text}"
            yield Token("unknown_bed", name, name)
            skip = True
        else:
            yield token


def _named_beds(tokens: list[Token]) -> Iterator[Token]:
    """'bed 12', 'bed G' and 'worm beds' name beds even where this garden has none of that name."""
    skip = False
    for token, following in zip_longest(tokens, tokens[1:]):
        if skip:
            skip = False
        elif token.text.casefold() in {"bed", "plot"} and following is not None and _is_bed_name(following):
            yield Token("unknown_bed", f"bed {following.text}", f"{token.text} {following.text}")
            skip = True
        elif token.kind == "word" and following is not None and following.text.casefold() in BEDS:
            yield Token("unknown_bed", f"{token.text} {following.text}", f"{token.text} {following.text}")
            skip = True
        else:
            yield token


def _is_bed_name(token: Token) -> bool:
    plain_number = token.kind == "number" and token.text.isdigit()
    return plain_number or (len(token.text) == 1 and token.text.isupper() and token.text not in "AI")

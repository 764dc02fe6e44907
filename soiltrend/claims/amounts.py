"""The amounts of a statement: from, to, by how much, how many times, over how long."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from soiltrend.claims.token import Token
from soiltrend.data import load_toml

LEVEL_WORDS = {"reached", "hit", "at", "is", "now", "sits", "stands", "stood", "was", "are", "of"}
HEDGES = {"approximate", "at_least", "at_most"}
SPAN_WORDS = {"in", "within", "over", "after", "during", "for", "only", "just", "last", "past", "than"}


@dataclass(slots=True)
class Quantity:
    """A number with its unit and the words around it that say what it is for."""

    value: float
    unit: str | None
    before: str
    position: int
    end: int
    signed: bool = False
    percent: bool = False


@dataclass(slots=True)
class Amounts:
    """What the numbers of one statement say; see :class:`soiltrend.claims.statement.Statement`."""

    level_from: float | None = None
    level_to: float | None = None
    change: float | None = None
    unit: str | None = None
    percent: float | None = None
    times: float | None = None
    span_years: float | None = None
    since: int | None = None
    until: int | None = None
    sign: str | None = None
    relative: bool = False
    hedges: set[str] = field(default_factory=set)
    unused: list[str] = field(default_factory=list)


def read_amounts(tokens: Sequence[Token], *, has_direction: bool) -> Amounts:
    """Return what the numbers among ``tokens`` say; a number with no part to play is listed as unused."""
    found = Amounts()
    rest = _without_spans(list(tokens), found)
    rest = _without_years(_without_doses(rest), found)
    found.hedges = {"up to" if t.text.casefold() == "up to" else t.kind for t in rest if t.kind in HEDGES}
    quantities = _quantities(rest, found)
    _mark_implied(quantities, rest)
    quantities = _take_from_to(quantities, rest, found)
    for quantity in quantities:
        _take(quantity, found, has_direction)
    return found


def _without_spans(tokens: list[Token], found: Amounts) -> list[Token]:
    """Take out 'in three years', 'over 18 months', 'in a year'."""
    lengths = load_toml("claim_words")["span_years"]
    kept: list[Token] = []
    skip = 0
    for index, token in enumerate(tokens):
        if skip:
            skip -= 1
        elif token.kind in HEDGES and _spans_follow(tokens, index):
            continue  # 'over 4 seasons', 'for about three years' say when, not how much
        elif token.kind == "number" and _kind(tokens, index + 1) == "span":
            found.span_years = round(float(token.value) * lengths[str(tokens[index + 1].value)], 4)
            skip = 1
        elif (
            token.kind == "rate"
            and token.text.casefold() in {"a year", "a season"}
            and (_text(tokens, index - 1) in SPAN_WORDS)
        ):
            found.span_years = 1.0
        else:
            kept.append(token)
    return kept


def _without_doses(tokens: list[Token]) -> list[Token]:
    """Take out how much of a material was put on: 'half an inch of compost', '20 tons of manure'."""
    kept: list[Token] = []
    for token in tokens:
        if token.kind in {"material", "treatment"}:
            while kept and (kept[-1].kind in {"number", "unit", "fraction"} or kept[-1].text == "of"):
                kept.pop()
        else:
            kept.append(token)
    return kept


def _spans_follow(tokens: Sequence[Token], index: int) -> bool:
    following = [t for t in tokens[index + 1 : index + 5] if t.kind not in {*HEDGES, "filler"}]
    return _kind(following, 0) == "number" and _kind(following, 1) == "span"


def _without_years(tokens: list[Token], found: Amounts) -> list[Token]:
    years = sorted(int(token.value) for token in tokens if token.kind == "year")
    if years:
        found.since = years[0]
        found.until = years[-1] if len(years) > 1 else None
        only_year = tokens[next(i for i, t in enumerate(tokens) if t.kind == "year") - 1 :][:1]
        if len(years) == 1 and only_year and only_year[0].kind in {"until", "to"}:
            found.since, found.until = None, years[0]
    return [token for token in tokens if token.kind != "year"]


def _mark_implied(quantities: list[Quantity], tokens: Sequence[Token]) -> None:
    """'5 degrees warmer', '20 ppm more', 'up 3' are changes, whatever stands before the number."""
    for quantity in quantities:
        nearby = range(quantity.end, min(quantity.end + 2, len(tokens)))
        if any(tokens[i].kind in {"implied", "direction"} for i in nearby) and quantity.before not in {
            "to",
            "from",
        }:
            quantity.before = "direction"


def _kind(tokens: Sequence[Token], index: int) -> str:
    return tokens[index].kind if 0 <= index < len(tokens) else ""


def _text(tokens: Sequence[Token], index: int) -> str:
    return tokens[index].text.casefold() if 0 <= index < len(tokens) else ""


def _quantities(tokens: list[Token], found: Amounts) -> list[Quantity]:
    quantities: list[Quantity] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        if token.kind == "times":
            found.times = float(token.value)
        elif token.kind == "fraction":
            index = _fraction(tokens, index, quantities, found)
            continue
        elif token.kind == "number":
            index = _number(tokens, index, quantities)
            continue
        index += 1
    return quantities


def _fraction(tokens: list[Token], index: int, quantities: list[Quantity], found: Amounts) -> int:
    """'half a point' is 0.5 points, 'to a third' is times 0.33; 'a quarter' alone is 25 percent."""
    start, share = index, float(tokens[index].value)
    index += 1
    while _text(tokens, index) in {"a", "an", "of"}:
        index += 1
    if _kind(tokens, index) == "unit" and tokens[index].value not in {"%", "times"}:
        unit = str(tokens[index].value)
        quantities.append(Quantity(share / 100, unit, _before(tokens, start), start, index + 1))
        return index + 1
    if _before(tokens, start) == "to":
        found.times = share / 100
        return index
    quantities.append(Quantity(share, "%", _before(tokens, start), start, index, percent=True))
    return index


def _number(tokens: list[Token], index: int, quantities: list[Quantity]) -> int:
    token = tokens[index]
    value = float(token.value)
    after = index + 1
    if _kind(tokens, after) == "number" and "/" in _text(tokens, after):  # 1 1/2
        value += float(tokens[after].value)
        after += 1
    has_unit = _kind(tokens, after) == "unit"
    if token.text.casefold() in {"a", "an", "one"} and not has_unit:
        return after
    unit = str(tokens[after].value) if has_unit else None
    end = after + has_unit
    quantities.append(
        Quantity(abs(value), unit, _before(tokens, index), index, end, signed=token.text[0] in "+-")
    )
    if token.text.startswith("-"):
        quantities[-1].value = -abs(value)
    return end


def _before(tokens: Sequence[Token], index: int) -> str:
    """Return the word that governs the number at ``index``: hedges and articles are looked through."""
    index -= 1
    while index >= 0 and (
        tokens[index].kind in {"approximate", "at_least"}
        or _text(tokens, index) in {"a", "the", "full", "to"}
    ):
        if _text(tokens, index) == "to" or _text(tokens, index) == "close to":
            return "to"
        index -= 1
    if _kind(tokens, index) == "at_most" and _text(tokens, index) == "up to":
        return "up to"
    return _text(tokens, index) if _kind(tokens, index) != "direction" else "direction"


def _take_from_to(quantities: list[Quantity], tokens: Sequence[Token], found: Amounts) -> list[Quantity]:
    """'from 2 to 4 %', '6.1 → 6.6', 'to 4 % from 2 %' are two levels."""
    for first, second in pairwise(quantities):
        joined = _only_between(tokens, first.end, second.position, "to")
        if (joined or first.before == "from") and not first.percent and first.before != "by":
            return _levels(first, second, quantities, found)
    for first, second in pairwise(quantities):
        if second.before == "from":
            return _levels(second, first, quantities, found)
    for quantity in quantities:
        if quantity.before == "from":
            found.level_from, found.unit = quantity.value, quantity.unit or found.unit
            return [q for q in quantities if q is not quantity]
    return quantities


def _only_between(tokens: Sequence[Token], start: int, end: int, kind: str) -> bool:
    between = tokens[start:end]
    return any(t.kind == kind for t in between) and all(
        t.kind in {kind, "filler", "approximate", "measure", "unit"} or _text([t], 0) == "a" for t in between
    )


def _levels(first: Quantity, second: Quantity, quantities: list[Quantity], found: Amounts) -> list[Quantity]:
    found.level_from, found.level_to = first.value, second.value
    found.unit = second.unit or first.unit
    return [q for q in quantities if q is not first and q is not second]


def _take(quantity: Quantity, found: Amounts, has_direction: bool) -> None:
    if quantity.unit == "times":
        found.times = quantity.value
    elif quantity.signed and quantity.value:
        found.sign = "down" if quantity.value < 0 else "up"
        _take_change(quantity, found)
    elif quantity.before in {"to", "up to"} or (quantity.before in LEVEL_WORDS and not quantity.percent):
        _take_level(quantity, found)
    elif quantity.before in {"by", "direction"} or has_direction or found.times is not None:
        _take_change(quantity, found)
    else:
        _take_level(quantity, found)


def _take_level(quantity: Quantity, found: Amounts) -> None:
    if found.level_to is not None:
        found.unused.append(f"{quantity.value:g}")
        return
    found.level_to = quantity.value
    found.unit = quantity.unit or found.unit


def _take_change(quantity: Quantity, found: Amounts) -> None:
    if quantity.unit == "%":
        found.percent = abs(quantity.value)
        found.relative = quantity.percent
    elif found.change is None:
        found.change = abs(quantity.value)
        found.unit = quantity.unit or found.unit
    else:
        found.unused.append(f"{quantity.value:g}")

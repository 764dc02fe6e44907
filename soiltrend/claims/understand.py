"""A sentence in a grower's own words → the statements in it."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from soiltrend.claims.amounts import Amounts, read_amounts
from soiltrend.claims.names import garden_names
from soiltrend.claims.sides import by_level, split_sides
from soiltrend.claims.statement import Statement
from soiltrend.claims.token import Token
from soiltrend.claims.tokens import tokenize
from soiltrend.errors import SoiltrendError
from soiltrend.records.models import Garden

LONGEST_CLAIM = 2000
MEASURES = {"measure", "unmeasurable", "implied"}
SEPARATORS = {"and", "but", "while", "stop"}
# 'improved' says which way only where more is better.
MORE_IS_BETTER = {"organic_matter", "organic_carbon", "cec", "yield", "roots", "soil_health"}
JUDGING_WORDS = ("improv", "better", "worse")


def understand(text: str, garden: Garden | None = None) -> list[Statement]:
    """Return every statement of ``text``; a sentence without a measure gives one statement with measure None.

    Raises
    ------
    SoiltrendError
        The text is empty or longer than a statement can be.
    """
    if not text.strip():
        raise SoiltrendError("The claim is empty. Write the sentence in quotation marks after the folder.")
    if len(text) > LONGEST_CLAIM:
        raise SoiltrendError(
            f"The claim has {len(text)} characters; at most {LONGEST_CLAIM} are read. "
            "Give one statement at a time."
        )
    tokens = tokenize(text, garden_names(garden))
    parts = _parts(tokens)
    shared = _statement(text, tokens)
    statements = [_statement(text, part) for part in parts]
    return [_with_shared(statement, shared, len(statements)) for statement in _inherit(statements)]


def _parts(tokens: Sequence[Token]) -> list[list[Token]]:
    """Split at 'and', 'but', a comma or a full stop that stands between two different measures."""
    cuts: list[int] = []
    last_measure: str | None = None
    last_separator: int | None = None
    for index, token in enumerate(tokens):
        if token.kind in SEPARATORS:
            last_separator = index
        elif token.kind in MEASURES and not _credited(tokens, index):
            name = str(token.value).split("|")[0]
            if last_measure is not None and last_separator is not None and name != last_measure:
                cuts.append(last_separator)
            last_measure, last_separator = name, None
    edges = [0, *cuts, len(tokens)]
    return [list(tokens[a:b]) for a, b in pairwise(edges)]


def _credited(tokens: Sequence[Token], index: int) -> bool:
    """Whether the measure stands in 'because of the water', where nothing is said about its size."""
    return index > 0 and any(token.kind == "cause" for token in tokens[max(0, index - 2) : index])


def _statement(text: str, tokens: Sequence[Token]) -> Statement:
    said, side = split_sides(tokens)
    measure, measurable, implied = _measure(tokens)
    amounts = read_amounts(
        [token for token in tokens if token.kind != "bed"],
        has_direction=_says_direction(tokens) or implied is not None,
    )
    direction = _direction(tokens, measure, implied, amounts)
    negated = _negated(tokens)
    if negated and direction is None and any(token.kind == "moving" for token in tokens):
        direction, negated = "none", False
    kinds = {token.kind for token in tokens}
    return Statement(
        text=text,
        measure=measure,
        measurable=measurable,
        direction=direction,
        negated=negated,
        level_from=amounts.level_from,
        level_to=amounts.level_to,
        change=amounts.change,
        unit=amounts.unit,
        percent=amounts.percent,
        relative=amounts.relative,
        times=amounts.times,
        per_year="rate" in kinds and amounts.span_years != 1.0,
        span_years=amounts.span_years,
        since=amounts.since,
        until=amounts.until,
        beds=_values(said, "bed"),
        unknown_beds=_values(tokens, "unknown_bed"),
        treatments=_treatments(said),
        whole_garden="whole_garden" in kinds,
        comparator=_comparator(amounts),
        cause=_cause(tokens),
        against_controls=side is not None,
        reference_beds=side.beds if side else (),
        reference_groups=side.groups if side else (),
        by_level=side is not None and by_level(tokens),
        question="question" in kinds,
        not_understood=(*_unknown_words(tokens), *amounts.unused),
        read_as=tuple(t.text for t in tokens if "≈" in t.text),
    )


def _measure(tokens: Sequence[Token]) -> tuple[str | None, bool, str | None]:
    found = [(i, t) for i, t in enumerate(tokens) if t.kind in MEASURES and not _credited(tokens, i)]
    if not found:
        return _unnamed_measure(tokens), True, None
    token = next((t for _, t in found if t.kind == "measure"), found[0][1])
    implied = next((t for _, t in found if t.kind == "implied"), None)
    if token.kind == "measure" and implied is None:
        return str(token.value), True, None
    if token.kind == "unmeasurable":
        return str(token.value), False, None
    name, direction = str((implied or token).value).split("|")
    return name, name not in _unmeasurable_names(), direction


def _unnamed_measure(tokens: Sequence[Token]) -> str | None:
    """Return what a unit or a crop stands for: 'lost 0.3 pH units', '50 lb more carrots'."""
    if any(token.kind == "unit" and token.text.casefold().startswith("ph") for token in tokens):
        return "ph"
    return "yield" if any(token.kind == "crops" for token in tokens) else None


def _unmeasurable_names() -> set[str]:
    from soiltrend.data import load_toml

    return set(load_toml("claim_words")["not_measurable"])


def _says_direction(tokens: Sequence[Token]) -> bool:
    return any(token.kind in {"direction", "times"} for token in tokens)


def _direction(
    tokens: Sequence[Token], measure: str | None, implied: str | None, amounts: Amounts
) -> str | None:
    if implied:
        return implied
    for token in tokens:
        if token.kind == "direction":
            judging = token.text.casefold().startswith(JUDGING_WORDS)
            if judging and measure not in MORE_IS_BETTER:
                continue
            return str(token.value)
    for index, token in enumerate(tokens):
        if token.kind in {"at_least", "at_most"} and _next_is_group(tokens, index):
            return "up" if token.kind == "at_least" else "down"
        if token.kind == "comparative" and token.text.casefold().startswith("more"):
            return "up"
    if amounts.times is not None:
        return "up" if amounts.times > 1 else "down"
    if amounts.level_from is not None and amounts.level_to is not None:
        return "up" if amounts.level_to > amounts.level_from else "down"
    if any(t.kind == "at_most" and t.text.casefold() == "up to" for t in tokens):
        return "up"
    return amounts.sign


def _negated(tokens: Sequence[Token]) -> bool:
    """Whether the statement denies: a 'not' before its verb. 'not only' does not, nor what comes after."""
    moves = [i for i, t in enumerate(tokens) if t.kind in {"direction", "times", "implied", "moving"}]
    end = moves[0] if moves else len(tokens)
    for index, token in enumerate(tokens[:end]):
        if token.kind == "negation":
            following = tokens[index + 1].text.casefold() if index + 1 < len(tokens) else ""
            if following not in {"only", "just"}:
                return True
    return False


def _comparator(amounts: Amounts) -> str:
    for hedge, word in (("at_least", "at-least"), ("at_most", "at-most"), ("approximate", "about")):
        if hedge in amounts.hedges:
            return word
    return ""


def _values(tokens: Sequence[Token], kind: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(str(token.value) for token in tokens if token.kind == kind))


def _treatments(tokens: Sequence[Token]) -> tuple[str, ...]:
    """Return the groups that the statement is about, from the tokens without those of the other side."""
    groups: list[str] = []
    for index, token in enumerate(tokens):
        if token.kind in {"amended_beds", "control_beds"}:
            groups.append(token.kind.removesuffix("_beds"))
        elif token.kind in {"treatment", "material"} and _is_group(tokens, index):
            groups.append(str(token.value))
    return tuple(dict.fromkeys(groups))


def _is_group(tokens: Sequence[Token], index: int) -> bool:
    after = tokens[index + 1].text.casefold() if index + 1 < len(tokens) else ""
    before = tokens[index - 1].text.casefold() if index else ""
    return after in {"bed", "beds", "plot", "plots"} or before == "with"


def _next_is_group(tokens: Sequence[Token], index: int) -> bool:
    following = [t.kind for t in tokens[index + 1 : index + 3]]
    return any(kind in {"control_beds", "amended_beds"} for kind in following)


def _cause(tokens: Sequence[Token]) -> str:
    """Return what the statement credits: a material that does something, or what stands beside 'because'."""
    names = [
        (i, t)
        for i, t in enumerate(tokens)
        if t.kind in {"material", "treatment"} and not _is_group(tokens, i)
    ]
    if names:
        return str(names[0][1].value)
    return "what was done" if any(token.kind == "cause" for token in tokens) else ""


def _unknown_words(tokens: Sequence[Token]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(token.text for token in tokens if token.kind == "word"))


def _inherit(statements: list[Statement]) -> list[Statement]:
    """'OM and CEC went up': a part that says neither direction nor amount takes the next one's."""
    done: list[Statement] = []
    for index, statement in enumerate(statements):
        says = statement.direction is not None or statement.has_amount
        later = next((s for s in statements[index + 1 :] if s.direction or s.has_amount), None)
        earlier = next((s for s in reversed(done) if s.direction or s.has_amount), None)
        if says or not (later or earlier):
            done.append(statement)
        elif later:
            done.append(_taking(statement, later))
        elif earlier:  # 'OM doubled, and the yield with it' says which way the yield went, not how far
            done.append(replace(statement, direction=earlier.direction, negated=earlier.negated))
    return done


def _taking(statement: Statement, donor: Statement) -> Statement:
    return replace(
        statement,
        direction=donor.direction,
        negated=donor.negated,
        change=donor.change,
        percent=donor.percent,
        times=donor.times,
        unit=donor.unit,
        per_year=donor.per_year,
        comparator=donor.comparator,
    )


def _with_shared(statement: Statement, whole: Statement, count: int) -> Statement:
    """Give a part of a sentence the span, beds and cause that are said once for all parts."""
    if count == 1:
        return statement
    return replace(
        statement,
        span_years=statement.span_years if statement.span_years is not None else whole.span_years,
        since=statement.since or whole.since,
        until=statement.until or whole.until,
        beds=statement.beds or whole.beds,
        unknown_beds=statement.unknown_beds or whole.unknown_beds,
        treatments=statement.treatments or whole.treatments,
        whole_garden=statement.whole_garden or whole.whole_garden,
        cause=statement.cause or whole.cause,
        question=whole.question,
    )

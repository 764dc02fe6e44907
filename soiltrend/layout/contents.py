"""What stands in the columns beside a stack of names, told from the cells and not from a heading."""

import re

from soiltrend.layout.context import date_field_of
from soiltrend.layout.dates import find_date, is_date
from soiltrend.layout.depths import is_layer
from soiltrend.layout.entries import is_result
from soiltrend.layout.ranges import is_range
from soiltrend.layout.stack import Column, Stack, texts_in
from soiltrend.layout.words import field_of
from soiltrend.layout.zones import Zone
from soiltrend.vocabulary import match_method, match_unit_cell

_LAYERED = re.compile(r"(?P<name>.*[^\W\d_].*?)\s+(?P<layer>\d+\s?(?:-|–|to)\s?\d+\s?[a-z\".]+)")
_BRACKETED = re.compile(r"\(\s*\d{3,}(?:[-/]\w+)?\s*\)")


def own_of(text: str) -> dict[str, str]:
    """Return what a heading without known words says of its column: a layer, a date, else a name."""
    if is_layer(text):
        return {"depth": text}
    if date_field_of(text) == "date_sampled":
        return {"date_sampled": text}
    if _is_named_date(text) or is_date(text) or (find_date(text) and len(text) <= 20):
        return {"column_date": text}
    layered = _LAYERED.fullmatch(text)
    if layered and is_layer(layered["layer"]):
        return {**own_of(layered["name"]), "depth": layered["layer"]}  # 'North bed 0-12 in'
    name, number = _without_number(text)
    own = {"column_name": name, "lab_number": number}
    return {field: said for field, said in own.items() if said}


def _is_named_date(text: str) -> bool:
    """Whether a text is a date behind the word for it: 'Analyse du 12/03/2015'."""
    found = find_date(text)
    lead = text.casefold().partition(found.text)[0] if found and (found.day or found.first) else ""
    return field_of(lead) == "date"


def _without_number(text: str) -> tuple[str, str]:
    """Part a sample's name from the laboratory's number behind it: 'Block A - peppers Lab # 130471'."""
    words = text.split()
    if _BRACKETED.fullmatch(text):
        return "", text.strip("( )")  # '(3391)' below the name
    for start in range(len(words) - 1):
        if field_of(" ".join(words[start:-1])) == "lab_number" and any(c.isdigit() for c in words[-1]):
            return " ".join(words[:start]), words[-1]
    return text, ""


def item_zones(stack: Stack) -> list[Zone]:
    """Gather what stands right of the names to columns."""
    items = sorted(
        (item for entry in stack.results for item in entry.items if item.x0 < stack.right),
        key=lambda p: p.x0,
    )
    zones: list[Zone] = []
    for item in items:
        if zones and item.x0 < zones[-1].x1 - 0.005:
            zones[-1] = Zone(zones[-1].x0, max(zones[-1].x1, item.x1))
        else:
            zones.append(Zone(item.x0, item.x1))
    return zones


def role_by_content(column: Column, stack: Stack) -> str:
    """Return the role of a column without a telling heading, by what most of its cells are."""
    texts = texts_in(stack, column)
    if not texts or column.zone.holds(stack.x0):
        return ""
    kinds = [_kind(text) for text in texts]
    most = max(set(kinds), key=kinds.count)
    return most if kinds.count(most) * 2 > len(kinds) else ""


def _kind(text: str) -> str:
    if match_unit_cell(text):
        return "unit"
    if is_range(text):
        return "range"
    if is_result(text):
        return "numbers"
    if match_method(text):
        return "method"
    return "rating" if not any(c.isdigit() for c in text) else ""

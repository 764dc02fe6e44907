"""Lines that head the rows below them: 'Base saturation (%)', 'Mehlich-3 extraction, ppm', 'Bed 4'."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from soiltrend.layout.context import SAMPLE_FIELDS, fields_on, lone_pair
from soiltrend.layout.entries import entries_of
from soiltrend.layout.finds import unit_in
from soiltrend.layout.lines import Line
from soiltrend.layout.words import role_of
from soiltrend.layout.zones import is_number
from soiltrend.vocabulary import match_method

LONGEST = 60
ROLES = {"recommendation", "previous", "range"}


@dataclass(frozen=True, slots=True)
class Section:
    """What a heading line gives to the rows below it. ``plain`` marks one without any known word."""

    text: str = ""
    unit: str = ""
    role: str = ""
    plain: bool = False


def sections_of(lines: Sequence[Line], used: set[int]) -> dict[int, Section]:
    """Return for each line the section it stands in; the next one, or a sample's name, ends it."""
    found: dict[int, Section] = {}
    current = Section()
    for position, line in enumerate(lines):
        pair = lone_pair(lines, position)
        told = [pair[0]] if pair else [name for name, *_ in fields_on(line)]
        if position in used or any(name in SAMPLE_FIELDS for name in told):
            current = Section()
        elif pair or (position and lone_pair(lines, position - 1)):
            continue  # a label and its text below it head nothing
        elif _is_section(line):
            found_here = _section(line.phrases[0].text)
            current = replace(found_here, role=current.role) if found_here.plain else found_here
        elif current.text:
            found[line.index] = current
    return found


def _is_section(line: Line) -> bool:
    if len(line.phrases) != 1 or len(line.text) > LONGEST or entries_of(line):
        return False
    if re.search(r":\s*\S", line.text):
        return False  # 'Crop: Vegetables' tells something and heads nothing
    return not is_number(line.text) and not line.text.rstrip().endswith((".", ","))


def _section(text: str) -> Section:
    role = role_of(text)
    unit = unit_in(text)
    plain = not (role or unit or match_method(text))
    return Section(text.rstrip(" :"), unit, role if role in ROLES else "", plain)

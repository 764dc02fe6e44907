"""Lines that head the rows below them: 'Base saturation (%)', 'Mehlich-3 extraction, ppm', 'Bed 4'."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from soiltrend.layout.context import SAMPLE_FIELDS, fields_on, lone_pair
from soiltrend.layout.entries import entries_of
from soiltrend.layout.finds import unit_in
from soiltrend.layout.lines import Line
from soiltrend.layout.reach import names_shares
from soiltrend.layout.words import role_of
from soiltrend.layout.zones import is_number
from soiltrend.vocabulary import match_method
from soiltrend.vocabulary.sentences import names_group

LONGEST = 60
ROLES = {"recommendation", "previous", "range"}


@dataclass(frozen=True, slots=True)
class Section:
    """What a heading line gives to the rows below it. ``plain`` marks one without any known word.

    ``inherited`` marks a group (Micronutrients) that says nothing itself and goes on with what stood before.
    """

    text: str = ""
    unit: str = ""
    role: str = ""
    plain: bool = False
    inherited: bool = False


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
            current = _after(current, found_here)
        elif current.text:
            found[line.index] = current
    return found


def _after(current: Section, new: Section) -> Section:
    """Return the section that begins, with what it keeps of the one before it."""
    if not new.plain:
        return new
    if names_group(new.text) and (current.unit or match_method(current.text)):
        return replace(current, inherited=True)
    return replace(new, role=current.role)


def section_beside(line: Line, left: float, right: float) -> Section:
    """Return what one phrase over a stack gives to it, where names and results of another stand beside it."""
    over = [phrase for phrase in line.phrases if left <= phrase.x0 < right]
    if len(over) != 1 or len(line.phrases) < 2 or is_number(over[0].text):
        return Section()
    found = _section(over[0].text)
    return found if names_shares(found.text) or not found.plain else Section()


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

"""Units told below a table: ``* mg/l of soil`` for starred headings, ``All results in mg/kg``."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

from soiltrend.data import load_toml
from soiltrend.vocabulary import match_unit
from soiltrend.vocabulary.choice import accepts

LONGEST_UNIT = 3  # words
_MARK = re.compile(r"([*†‡#§]{1,3})\s*=?\s*(\S.*)")
_MARKED = re.compile(r"([*†‡#§]{1,3})\s*$")


@dataclass(slots=True)
class ToldUnits:
    """Units by the mark of their footnote, and the unit told for all results."""

    marked: dict[str, str] = field(default_factory=dict)
    general: str = ""

    def of(self, printed: str, analyte: str) -> str:
        """Return the unit, as printed, of a result whose heading has none; ``""`` where none is told."""
        mark = _MARKED.search(printed)
        unit = self.marked.get(mark[1], "") if mark else self.general
        return unit if unit and accepts(analyte, match_unit(unit)) else ""


def told_units(lines: Sequence[str]) -> ToldUnits:
    """Return the units that lines outside tables tell; two general ones that differ tell nothing."""
    told = ToldUnits()
    general: set[str] = set()
    for line in lines:
        note = _MARK.match(line.strip())
        if note and _leading_unit(note[2]):
            told.marked[note[1]] = _leading_unit(note[2])
        general |= {unit for found in _general().finditer(line) if (unit := _leading_unit(found["rest"]))}
    told.general = general.pop() if len(general) == 1 else ""
    return told


def _leading_unit(text: str) -> str:
    words = text.split()
    for length in range(min(LONGEST_UNIT, len(words)), 0, -1):
        unit = " ".join(words[:length]).strip(".,;:()")
        if match_unit(unit):
            return unit
    return ""


@cache
def _general() -> re.Pattern[str]:
    table = load_toml("report_words")["units_for_all"]
    subjects, links = "|".join(table["subjects"]), "|".join(table["links"])
    before = rf"\b(?:{links})\s+|[,:(=]\s*"
    return re.compile(rf"\b(?:{subjects})\b[^.;\d]{{0,50}}?(?:{before})(?P<rest>[^\s\d].*)", re.IGNORECASE)

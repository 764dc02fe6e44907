"""Units told below a table: ``* mg/l of soil`` for starred headings, ``All results in mg/kg``."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

from soiltrend.data import load_toml
from soiltrend.vocabulary import match_unit
from soiltrend.vocabulary.choice import accepts

LONGEST_UNIT = 3  # words
LONGEST_SAYING = 90  # letters from the subject on
_END = re.compile(r"[.;](?:\s|$)|(?<![\w/])\d")
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
    general: dict[str, str] = {}  # as printed, by its code
    for line in lines:
        note = _MARK.match(line.strip())
        if note and _leading_unit(note[2]):
            told.marked[note[1]] = _leading_unit(note[2])
        for unit in filter(None, map(_leading_unit, _said_of_all(line))):
            general.setdefault(match_unit(unit), unit)
    told.general = next(iter(general.values())) if len(general) == 1 else ""
    return told


def _leading_unit(text: str) -> str:
    words = text.split()
    for length in range(min(LONGEST_UNIT, len(words)), 0, -1):
        unit = " ".join(words[:length]).strip(".,;:()")
        if match_unit(unit):
            return unit
    return ""


def _said_of_all(line: str) -> Iterator[str]:
    """Yield what a sentence says of all results, from each word on that a unit can follow: 'are', 'in'."""
    subjects, links = _general()
    for subject in subjects.finditer(line):
        said = _END.split(line[subject.end() :], maxsplit=1)[0][:LONGEST_SAYING]
        yield from (said[link.end() :] for link in links.finditer(said))


@cache
def _general() -> tuple[re.Pattern[str], re.Pattern[str]]:
    table = load_toml("report_words")["units_for_all"]
    subjects, links = "|".join(table["subjects"]), "|".join(table["links"])
    return (
        re.compile(rf"\b(?:{subjects})\b", re.IGNORECASE),
        re.compile(rf"\b(?:{links})\s+(?=\S)|[,:(=]\s*(?=[^\s\d])", re.IGNORECASE),
    )

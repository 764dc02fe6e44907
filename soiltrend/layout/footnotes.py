"""What is told below a table: ``* mg/l of soil``, ``(2) Olsen`` for marked headings, ``Results in mg/kg``."""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache

from soiltrend.data import load_toml
from soiltrend.layout.lines import Phrase
from soiltrend.vocabulary import find_methods, match_method, match_unit, methods
from soiltrend.vocabulary.choice import accepts

LONGEST_UNIT = 3  # words
LONGEST_SAYING = 90  # letters from the subject on
_END = re.compile(r"[.;](?:\s|$)|(?<![\w/])\d|,\s+(?=\w+(?:\s\w+)?\s(?:is|are|was|were)\s)")
_METHOD_NUMBER = re.compile(r"(?<=[a-z]{3})[ -]\d\b")  # of Mehlich 3
_SIGN = r"\(\s?[1-9a-h](?:\s?,\s?[1-9a-h])*\s?\)|\[[1-9a-h]\]|[1-9a-h]\)|[¹²³⁴-⁹]|[*†‡#§]{1,3}"
_MARK = re.compile(rf"(?:^|(?<=\s)|(?<=[.;,]))({_SIGN})[:.=]?\s*=?\s*(?=\w)")
_RAISED = re.compile(r"(?:^|(?<=\s\s))([1-9a-h])\s+(?=[^\W\d]{2})")  # a raised mark that begins a line
_LISTED = re.compile(r"(?:^|(?<=[.;,]\s)|(?<=\s\s))([1-9a-h])\s+(?=\S)")  # 'a 1:1 water. b Dry combustion.'
_INSIDE = re.compile(r"(?<=[\w.)])\s([¹²³⁴-⁹]|[*†‡]{1,3})(?=\s)")
_MARKED = re.compile(rf"(?<=[\w)%.])\s*({_SIGN})\s*$")


@dataclass(slots=True)
class Footnotes:
    """Notes by their mark, as printed, and the unit told for all results."""

    notes: dict[str, str] = field(default_factory=dict)
    general: str = ""

    def unit_of(self, marks: Sequence[str], analyte: str) -> str:
        """Return the unit, as printed, of a result whose heading has none; ``""`` where none is told."""
        told = [_leading_unit(self.notes[mark]) for mark in marks if mark in self.notes]
        unit = next(filter(None, told), self.general)
        return unit if unit and accepts(analyte, match_unit(unit)) else ""

    def method_of(self, marks: Sequence[str], analyte: str) -> tuple[str, str]:
        """Return the method that the marked notes tell for a result, and the note, else ``""`` twice."""
        told = {(name, note) for mark in marks if (note := self.notes.get(mark, ""))
                for name in _methods_in(note, analyte)}  # fmt: skip
        return told.pop() if len({name for name, _ in told}) == 1 else ("", "")


def _methods_in(note: str, analyte: str) -> set[str]:
    """Return the methods that a note tells for a result, named in it or not."""
    found = {
        method
        for named, method, _ in find_methods(note)
        if named == analyte or (named is None and analyte in methods()[method].applies)
    }
    return found or {name for name in [match_method(note, analyte)] if name}


@lru_cache(maxsize=5000)
def mark_of(text: str) -> str:
    """Return the footnote's mark of a heading, without brackets: ``P (2)``, ``CEC ³ meq/100g``."""
    found = _MARKED.search(text) or _INSIDE.search(text)
    opened = found is not None and text[: found.start(1)].count("(") > text[: found.start(1)].count(")")
    return _plain(found[1]) if found and not opened else ""


def is_mark(text: str) -> bool:
    """Whether a text is a footnote's mark and nothing else: ``(1)``, ``**``."""
    return bool(re.fullmatch(_SIGN, text.strip()))


def marks_of(name: Phrase, *notes: str) -> tuple[str, ...]:
    """Return the marks of a heading: raised behind its words, at its end, or in the cells below it."""
    raised = [_plain(word.mark) for word in name.words if word.mark]
    below = [_plain(note) if is_mark(note) else mark_of(note) for note in notes]
    printed = ",".join((*raised, mark_of(name.text), *below))  # 'K (b,c)'
    return tuple(dict.fromkeys(mark.strip() for mark in printed.split(",") if mark.strip()))


def without_mark(text: str) -> str:
    """Return a heading without the footnote's mark at its end."""
    return _INSIDE.sub("", _MARKED.sub("", text)) if mark_of(text) else text


def _plain(mark: str) -> str:
    return unicodedata.normalize("NFKC", mark).strip(" ()[].,")


def footnotes_of(lines: Sequence[str], rows: Sequence[str] = ()) -> Footnotes:
    """Return what lines outside tables tell; two general units that differ tell nothing.

    Notes are looked for among ``rows`` too: a line of notes may look like a row of the table above it.
    """
    told = Footnotes()
    general: dict[str, str] = {}  # as printed, by its code
    for line in (*lines, *rows):
        for mark, note in _notes_on(line.strip()):
            if _leading_unit(note) or find_methods(note) or match_method(note):
                told.notes.setdefault(mark, note)
    for line in lines:
        for unit in filter(None, map(_leading_unit, _said_of_all(line))):
            general.setdefault(match_unit(unit), unit)
    told.general = next(iter(general.values())) if len(general) == 1 else ""
    return told


def _notes_on(line: str) -> Iterator[tuple[str, str]]:
    """Yield (mark, note) of a line that begins with a mark: '1) CaCl2-Auszug  2) CAL-Methode'."""
    signs = list(_MARK.finditer(line)) or _in_sequence(line) or list(_RAISED.finditer(line))
    if not signs or signs[0].start():
        return
    ends = [sign.start() for sign in signs[1:]]
    for sign, end in zip(signs, [*ends, len(line)], strict=True):
        yield _plain(sign[1]), line[sign.end() : end].strip(" ,;")


def _in_sequence(line: str) -> list[re.Match[str]]:
    """Return the bare marks of a line that count up from its first one; nothing where it has only one."""
    found: list[re.Match[str]] = []
    for sign in _LISTED.finditer(line):
        if not found or ord(sign[1]) == ord(found[-1][1]) + 1:
            found.append(sign)
    return found if len(found) > 1 else []


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
    line = _METHOD_NUMBER.sub("", line)
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

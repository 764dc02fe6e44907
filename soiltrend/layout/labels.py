"""What one phrase of a report names: a result, a field of the sample, the role of a column, nothing."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from soiltrend.layout.footnotes import without_mark
from soiltrend.layout.lines import Phrase, phrase_of
from soiltrend.layout.words import field_of, normal, role_of
from soiltrend.layout.zones import is_number
from soiltrend.readers.document import Word
from soiltrend.vocabulary import AnalyteMatch, match_analyte, match_unit, match_unit_cell

_YEAR = re.compile(r"(?<![\w.,/-])(?:19[5-9]\d|20\d\d)(?![\w,/-]|\.\d)")
_UNIT_BEHIND = re.compile(r"(?P<name>[^,(]+?)\s*[,(]\s*(?P<unit>[^)]+?)\s*\)?")
LONGEST_NAME = 6  # words in one heading: 'Phosphorus P Mehlich 3 ppm result'


@dataclass(frozen=True, slots=True)
class Label:
    """A phrase and what it names: ``analyte`` (with or without ``role``), ``field``, or neither."""

    text: str
    analyte: AnalyteMatch | None = None
    field: str = ""
    role: str = ""
    unit: str = ""
    year: str = ""

    @property
    def known(self) -> bool:
        """Whether the phrase says anything that the reader understands."""
        return bool(self.analyte or self.field or self.role or self.unit)

    @property
    def rates(self) -> bool:
        """Whether the phrase says that what stands beside it rates a result: 'P rating'."""
        return self.role == "rating" or bool(self.analyte and self.analyte.kind == "rating")

    @property
    def names_result(self) -> bool:
        """Whether the phrase names an analyte and nothing that a result is not."""
        return self.analyte is not None and not self.role


# What a declared layout says of a phrase while one report is read.
_DECLARED: list[Callable[[str], Label | None]] = []


@lru_cache(maxsize=20000)
def label_of(text: str) -> Label:
    """Return what ``text`` names. An analyte must be all of it, or all but words such as 'rating'."""
    declared = _DECLARED[-1](text) if _DECLARED else None
    if declared is not None:
        return declared
    if not text.strip() or is_number(text) or len(text) > 90:
        return Label(text)
    match = match_analyte(text)
    if match and match.exact and match.analyte and not (match.weak and len(text) > 1 and field_of(text)):
        return Label(text, analyte=match)
    field = field_of(text)
    if field:
        return Label(text, field=field)
    role = role_of(" ".join(match.leftover)) if match else ""
    if match and match.analyte and role == "rating" and match.unit:
        return Label(text, analyte=replace(match, exact=True))  # 'Bray P1 lb/A RT': '58H' is both
    if match and match.analyte and role:
        return Label(text, analyte=match, role=role)
    role = role_of(text)
    if role:
        return Label(text, role=role)
    if match and match.exact:
        return Label(text, analyte=match)
    return (
        _of_year(text)
        or _of_two_languages(text)
        or _marked(text)
        or _with_unit(text)
        or Label(text, unit=match_unit_cell(text))
    )


def _marked(text: str) -> Label | None:
    """Return what a name with the mark of a footnote names: 'P2O5 2)'."""
    name = without_mark(text)
    label = label_of(name) if name and name != text else None
    return replace(label, text=text) if label and (label.analyte or label.field) else None


def _with_unit(text: str) -> Label | None:
    """Return the role of a heading that also tells the unit: 'Result, lbs/A'."""
    parts = _UNIT_BEHIND.fullmatch(text)
    if parts is None or not match_unit(parts["unit"]):
        return None
    role = role_of(parts["name"])
    return Label(text, role=role, unit=match_unit(parts["unit"])) if role == "value" else None


def _of_two_languages(text: str) -> Label | None:
    """Return the result that a heading names in two languages: 'T-waarde / CEC'."""
    if text.count(" / ") != 1:
        return None
    parts = [label_of(part.strip()) for part in text.split(" / ")]
    named = {label.analyte.analyte: label for label in parts if label.analyte and label.names_result}
    if len(named) != 1:
        return None
    return replace(next(iter(named.values())), text=text)


def _of_year(text: str) -> Label | None:
    """Return the result of one year that ``pH 2021`` or ``2021 OM%`` names."""
    found = _YEAR.search(text)
    if found is None:
        return None
    rest = label_of(" ".join(f"{text[: found.start()]} {text[found.end() :]}".split()).strip(" -,;:/"))
    return replace(rest, text=text, year=found[0]) if rest.names_result else None


def declare(meaning: Callable[[str], Label | None] | None) -> None:
    """Ask ``meaning`` first what a phrase names, until this is called again; None asks no one."""
    _DECLARED.clear()
    if meaning is not None:
        _DECLARED.append(meaning)
    label_of.cache_clear()


def names_something(text: str) -> bool:
    """Whether ``text`` is an analyte or a field by itself."""
    label = label_of(text)
    return label.analyte is not None or bool(label.field)


def split_headings(phrase: Phrase) -> list[Phrase]:
    """Part a phrase of several headings that stand one blank apart; return it whole where that fails."""
    words = phrase.words
    if len(words) < 2 or len(words) > 40 or label_of(phrase.text).known:
        return [phrase]
    parts = _split(words)
    return [phrase_of(part) for part in parts] if parts else [phrase]


def _split(words: Sequence[Word]) -> list[list[Word]]:
    """Return the fewest runs of words that each name something, or nothing where a word is left over."""
    best: list[list[list[Word]] | None] = [[], *([None] * len(words))]
    for end in range(1, len(words) + 1):
        for start in range(max(0, end - LONGEST_NAME), end):
            before = best[start]
            if before is None:
                continue
            if words[start].text.startswith(("(", "[")):
                continue  # a unit in brackets belongs to the name before it
            run = list(words[start:end])
            text = " ".join(word.text for word in run)
            alone = len(text) == 1 and label_of(text).analyte is None  # 'Block A' is no 'Block' and 'A'
            if (
                not alone
                and (names_something(text) or role_of(text))
                and (best[end] is None or len(before) + 1 < len(best[end] or []))
            ):
                best[end] = [*before, run]
    found = best[-1]
    return found if found and len(found) > 1 else []


def same_name(one: str, other: str) -> bool:
    """Whether two headings say the same."""
    return normal(one) == normal(other)

"""Results told in running text, as in a letter: 'The pH in water is 6.7', 'total lead 186 mg/kg'.

Only a document without any table or list is read so, and every value is marked ``low-confidence``.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, partial

from soiltrend.data import load_toml
from soiltrend.layout.columns import LEFT_KINDS
from soiltrend.layout.finds import Find, Harvest, Spot, assay_of, parse, place_of
from soiltrend.layout.labels import Label, label_of
from soiltrend.layout.lines import Line
from soiltrend.readers.document import Page
from soiltrend.vocabulary import match_method, match_unit

LEAST = 3  # results that make a text a report
LONGEST_NAME = 5  # words
LONGEST_UNIT = 3  # words
_SENTENCE = re.compile(r"(?<=[^\W\d])\.\s+|(?<=[)\d%])\.\s+(?=[A-ZÄÖÜÉ])|[;:]\s+|\n\n")
_NUMBER = re.compile(r"(?<![\w.,:/-])(?P<sign>[<>]\s*)?(?P<number>\d+(?:[.,]\d+)?)(?![\w:/-]|[.,]\d)")
_BRACKETS = re.compile(r"\([^()]*\)")


@dataclass(frozen=True, slots=True)
class _Told:
    label: Label
    printed: str
    unit: str
    start: int


def read_prose(lines: Sequence[Line], page: Page, index: int, harvest: Harvest, *, several: bool) -> None:
    """Read the results that sentences of a page tell into ``harvest``; nothing where they are too few."""
    text, starts = _joined(lines)
    told = [one for start, sentence in _sentences(text) for one in _results(sentence, start)]
    if len({one.label.analyte.analyte for one in told if one.label.analyte}) < LEAST:
        return
    for one in told:
        line = lines[max(i for i, start in enumerate(starts) if start <= one.start)]
        spot = Spot(index, line.index, line.phrases[0].x0, place_of(page, line, "", several=several))
        assay = assay_of(one.label, unit=one.unit)
        result = parse(one.printed, harvest.decimal)
        if assay.analyte and assay.kind not in LEFT_KINDS and result.number is not None:
            reason = f"The text tells it of '{one.label.text}'."
            harvest.finds.append(
                Find(assay=assay, printed=one.printed, result=result, spot=spot, reason=reason).noted(
                    "low-confidence"
                )
            )


def _joined(lines: Sequence[Line]) -> tuple[str, list[int]]:
    """Return the lines as one text, a gap between paragraphs, and where in it each line begins."""
    text = ""
    starts: list[int] = []
    last: Line | None = None
    for line in lines:
        if last is not None:
            text += "\n\n" if line.top - last.bottom > last.bottom - last.top - 0.5 else " "
        starts.append(len(text))
        text += " ".join(line.text.split())
        last = line
    return text, starts


def _sentences(text: str) -> Iterator[tuple[int, str]]:
    start = 0
    for mark in _SENTENCE.finditer(text):
        yield start, text[start : mark.start()]
        start = mark.end()
    yield start, text[start:]


def _results(sentence: str, start: int) -> Iterator[_Told]:
    """Yield each number of a sentence that a name goes before with nothing else between."""
    words = {word.strip(".,()").casefold() for word in sentence.split()}
    if words & _words("doubt"):
        return
    plain = _BRACKETS.sub(lambda found: " " * len(found[0]), _signed(sentence))
    lead = 0
    for found in _NUMBER.finditer(plain):
        label = _name(plain[lead : found.start()])
        unit = _unit(sentence[found.end() :])
        if label is not None and (unit or (label.analyte and label.analyte.analyte in ("ph", "buffer_ph"))):
            sign = (found["sign"] or "").strip()
            yield _Told(label, f"{sign}{found['number']}", unit, start + found.start())
        lead = found.end() + len(unit)


def _signed(sentence: str) -> str:
    """Write 'less than 0.5' as '<0.5', as long as before."""
    for sign, phrases in load_toml("report_words")["prose"]["limits"].items():
        for phrase in phrases:
            sentence = _before_number(phrase).sub(partial(_shortened, sign=sign), sentence)
    return sentence


@cache
def _before_number(phrase: str) -> re.Pattern[str]:
    return re.compile(rf"\b{phrase}\s+(?=\d)", re.IGNORECASE)


def _shortened(found: re.Match[str], sign: str) -> str:
    return sign.rjust(len(found[0]))


def _name(lead: str) -> Label | None:
    """Return the last name in the text before a number where only linking words stand between."""
    words = lead.replace(",", " ").split()
    for end in range(len(words), 0, -1):
        for length in range(min(LONGEST_NAME, end), 0, -1):
            label = label_of(" ".join(words[end - length : end]))
            if label.names_result and label.analyte and not label.analyte.weak:
                return label if _links(words[end:]) else None
    return None


def _links(words: Sequence[str]) -> bool:
    rest = [word for word in words if word.casefold() not in _words("links")]
    return not rest or bool(match_method(" ".join(rest)) or match_method(" ".join(words)))


def _unit(behind: str) -> str:
    words = behind.split()[:LONGEST_UNIT]
    for length in range(len(words), 0, -1):
        unit = " ".join(words[:length]).rstrip(".,;)")
        if match_unit(unit):
            return unit
    return ""


@cache
def _words(key: str) -> frozenset[str]:
    return frozenset(load_toml("report_words")["prose"][key])

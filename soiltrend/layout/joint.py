"""Results given together, 'Sand / Silt / Clay   40 / 31 / 29' → a line for each."""

from collections.abc import Sequence
from dataclasses import replace

from soiltrend.layout.joining import renumbered
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.numerals import is_number

LEAST = 3  # two may be a ratio: 'Ca/Mg', '12/5'
_MARKS = ("/", ";", ",", "-")


def parted_rows(lines: Sequence[Line]) -> list[Line]:
    """Return the lines with each that gives several results under one joint name made several lines."""
    found = [part for line in lines for part in _parts(line)]
    return renumbered(found) if len(found) != len(lines) else list(lines)


def _parts(line: Line) -> list[Line]:
    for index, phrase in enumerate(line.phrases):
        names = _split(phrase.text, "/")
        if len(names) < LEAST or not all(label_of(name).names_result for name in names):
            continue
        for place, other in enumerate(line.phrases[index + 1 :], start=index + 1):
            for mark in _MARKS:
                values = _split(other.text, mark)
                if len(values) == len(names) and all(map(is_number, values)):
                    return [
                        _with(line, {index: name, place: value})
                        for name, value in zip(names, values, strict=True)
                    ]
    return [line]


def _split(text: str, mark: str) -> list[str]:
    return [part.strip() for part in text.split(mark)]


def _with(line: Line, texts: dict[int, str]) -> Line:
    phrases = tuple(
        _part(phrase, texts[index]) if index in texts else phrase for index, phrase in enumerate(line.phrases)
    )
    return replace(line, phrases=phrases)


def _part(phrase: Phrase, text: str) -> Phrase:
    """Return one of several texts of a phrase, in the place of all of it."""
    word = replace(phrase.words[0], text=text, x0=phrase.x0, x1=phrase.x1)
    return Phrase((word,), text, phrase.x0, phrase.x1)

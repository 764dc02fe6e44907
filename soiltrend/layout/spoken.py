"""Dates and layers told in running text that goes on from line to line: 'taken on' / '24 March, 0-20 cm'."""

import re
from collections.abc import Iterator, Sequence

from soiltrend.layout.dates import find_date
from soiltrend.layout.depths import find_layer, is_layer
from soiltrend.layout.lines import Line
from soiltrend.layout.words import field_of

DATE_FIELDS = ("date_sampled", "date_received", "date_reported", "date")
LONGEST_LEAD = 4  # words that name a date
DEPTH_WORDS = re.compile(
    r"depth|deep|topsoil|samples\b|tiefe|profond|profund|layer|schicht|couche|horizon|sampled (?:to|from|\d)"
    r"|\bcores?\b|plough|\btief\b|entnommen",
    re.IGNORECASE,
)
_LABELLED = re.compile(r"[\w .-]{1,25}:\s+\S")  # 'Subject: Re: your samples' is no running text
# Where one clause ends: but a comma in 'March 24, 2021' ends none.
_CLAUSE = re.compile(
    r"[;()|·]|\s[-–—]\s|(?<=\d),(?!\s*(?:19|20)\d\d)|,(?=\s*[^\W\dA-Z_])|(?<=[^\W\d])\.\s+(?=[^\W\da-z_])"
)


def spoken(lines: Sequence[Line], used: set[int]) -> Iterator[tuple[str, str, list[Line]]]:
    """Yield (field, text, lines) of what each paragraph of several lines tells."""
    for paragraph in _paragraphs(lines, used):
        if len(paragraph) > 1:
            text = " ".join(line.text for line in paragraph)
            yield from ((name, said, paragraph) for name, said in _told(text))


def _paragraphs(lines: Sequence[Line], used: set[int]) -> Iterator[list[Line]]:
    """Gather lines of one phrase that follow each other without a gap."""
    paragraph: list[Line] = []
    for position, line in enumerate(lines):
        close = not paragraph or line.top - paragraph[-1].bottom < line.bottom - line.top
        apart = position in used or len(line.phrases) > 1 or bool(_LABELLED.match(line.text))
        if apart or not close:
            yield paragraph
            paragraph = []
        if not apart:
            paragraph.append(line)
    yield paragraph


def clauses(text: str) -> list[str]:
    """Return the clauses of a sentence, none of which parts a date."""
    return [part.strip() for part in _CLAUSE.split(text) if part and part.strip()]


def _told(text: str) -> Iterator[tuple[str, str]]:
    sampled = False
    for clause in clauses(text):
        name = date_in(clause)
        if name:
            yield name, clause
        elif (sampled and is_layer(clause)) or (DEPTH_WORDS.search(clause) and find_layer(clause)):
            yield "depth", clause
        sampled = name == "date_sampled"


def date_in(text: str) -> str:
    """Return the field of the date that a text names before it: 'Probenahme 14.03.2022', else ``""``."""
    date = find_date(text)
    if date is None or not (date.day or date.first):
        return ""
    words = text.casefold().split(date.text.split()[0])[0].split()
    for end in range(len(words), 0, -1):  # the name nearest to the date
        for start in range(max(0, end - LONGEST_LEAD), end):
            name = field_of(" ".join(words[start:end]))
            if name in DATE_FIELDS and name != "date":
                return name
    return ""

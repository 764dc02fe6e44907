"""Plain text → pages of words on lines and characters; frames, leaders and form feeds understood."""

import re
import unicodedata
from collections.abc import Sequence

from soiltrend.errors import UnreadableFile
from soiltrend.readers import delimited
from soiltrend.readers.decoding import decode, is_text
from soiltrend.readers.document import Page, Rule, Word
from soiltrend.readers.signs import PRINTED, is_marked_up

NAME = "text"
EXPLAINED = "plain text (.txt)"
TAB = 8
UPRIGHT = "|│┃║╎┆┊¦├┤┼┝┥┠┨╞╡╟╢╠╣╬╪╫"
LEVEL = "─━═-=_+┌┐└┘┬┴┼├┤╔╗╚╝╦╩╠╣╬╒╕╘╛╤╧╞╡╪~"
# Lines that quote the message which a mail answers, and the line that leads to them.
_QUOTED = re.compile(r"\s*>(?!\s*[\d=])")
_SIGNS = re.compile(r"\s*>(?!\s*[\d=])(?:\s*>)*")
# The fields of a mail's head (RFC 5322) and what programs that send mail add.
_HEAD = re.compile(
    r"(from|to|cc|bcc|subject|date|date reported|sent|reply-to|message-id|[a-z]+(-[a-z]+)+)\s*:",
    re.IGNORECASE,
)
_WROTE = re.compile(r"\b(wrote|schrieb|écrit|escribió|ha scritto|schreef)\b.*:?\s*$", re.IGNORECASE)
_VALUE = re.compile(r"[a-zA-Z].*[:=\s]\s*[<>]?\d")
LEAST_QUOTED, LEAST_OWN = 2, 3
LEAST_BARS = 3
_FRAMED = re.compile(f"[{re.escape(UPRIGHT + LEVEL)}\\s]+")
_DASHES = re.compile(f"[{re.escape(LEVEL + UPRIGHT)}]{{3,}}")
# Dots, spaced dots or underscores that lead the eye from a name to its value.
_SPANNING = re.compile(r"(?<!\S)-{3,}\s?(?P<text>[^\s-](?:[^-]*[^\s-])?)\s?-{3,}(?!\S)")
LEADER = re.compile(r"\.(?:\s?\.){2,}|_{3,}|…+|·{3,}|-{4,}>?|={4,}>?|-->?(?=\s)|(?<=\s)=>")


def recognises(content: bytes, name: str) -> bool:
    """Whether the file is text that is not a delimited table."""
    if content.startswith(PRINTED) or is_marked_up(content) or delimited.recognises(content, name):
        return False
    try:
        return is_text(decode(content, name))
    except UnreadableFile:
        return False


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return a page for each stretch of text between form feeds."""
    text = unicodedata.normalize("NFC", decode(content, source)).replace("\x1a", "")
    pages: list[Page] = []
    messages: list[str] = []
    line = 1
    for number, part in enumerate(text.split("\f"), start=1):
        lines = without_quotes(part.splitlines(), line, messages)
        if part.strip():
            pages.append(text_page(lines, number=number, first_line=line))
        line += part.count("\n")
    return tuple(pages), tuple(messages)


def without_quotes(lines: list[str], first: int, messages: list[str]) -> list[str]:
    """Blank out an older message quoted in a mail; where the mail holds nothing else, the quote counts."""
    quoted = [index for index, line in enumerate(lines) if _QUOTED.match(line)]
    own = [line for index, line in enumerate(lines) if index not in set(quoted)]
    if len(quoted) < LEAST_QUOTED:
        return lines
    if sum(bool(_VALUE.search(line)) and not _HEAD.match(line) for line in own) < LEAST_OWN:
        return [_SIGNS.sub(lambda found: " " * len(found[0]), line) for line in lines]
    messages.append(
        f"Lines {first + quoted[0]} to {first + quoted[-1]} quote an older message and were not read."
    )
    introduced = [index for index in quoted if index and _WROTE.search(lines[index - 1])]
    gone = {*quoted, *(index - 1 for index in introduced)}
    return ["" if index in gone else line for index, line in enumerate(lines)]


def text_page(lines: list[str], *, number: int = 1, first_line: int = 1) -> Page:
    """Make a page of the words of ``lines``; a column is a character wide, a line one high."""
    words: list[Word] = []
    rules: list[Rule] = []
    for index, raw in enumerate(_aligned(lines)):
        line = raw.replace("\u00a0", " ").expandtabs(TAB)
        rules += _rules(line, index)
        bare = _without_drawing(line)
        spans = [(found.span(), found.span("text")) for found in _SPANNING.finditer(line)]
        for found in re.finditer(r"\S+", bare):
            x0, x1 = _spanned(found.start(), found.end(), spans)
            words.append(Word(found[0], x0, index, x1, index + 1, first_line + index))
    return Page(number=number, medium="text", words=tuple(words), rules=tuple(rules), space=1.0)


def _spanned(
    start: int, end: int, spans: Sequence[tuple[tuple[int, int], tuple[int, int]]]
) -> tuple[int, int]:
    """Widen the words between dashes over the columns that the dashes span: ``---- ppm ----``."""
    for (left, right), (first, last) in spans:
        if first <= start and end <= last:
            return (left if start == first else start), (right if end == last else end)
    return start, end


def _aligned(lines: list[str]) -> list[str]:
    """Set the cells of tables drawn with upright bars below each other, as whoever wrote them meant."""
    aligned = list(lines)
    block: list[int] = []
    for index, line in enumerate([*lines, ""]):
        if block and line.strip() and not line.strip(" +-=|:"):
            continue  # a drawn line between two rows
        cells = line.strip().split("|")
        if len(cells) > LEAST_BARS and not cells[0] and not cells[-1]:
            block.append(index)
            continue
        widths = {lines[i].count("|") for i in block}
        if len(block) > 1 and len(widths) == 1:
            for place, text in zip(block, _padded([lines[i] for i in block]), strict=True):
                aligned[place] = text
        block = []
    return aligned


def _padded(rows: list[str]) -> list[str]:
    cells = [[cell.strip() for cell in row.strip().strip("|").split("|")] for row in rows]
    widths = [max(len(row[column]) for row in cells) for column in range(len(cells[0]))]
    return [
        "|  " + "  |  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + "  |"
        for row in cells
    ]


def is_frame(line: str) -> bool:
    """Whether a line is drawn with dashes, bars and corners and says nothing."""
    return bool(line.strip()) and bool(_FRAMED.fullmatch(line)) and bool(_DASHES.search(line))


def _rules(line: str, index: int) -> list[Rule]:
    if is_frame(line):
        return [Rule(m.start(), index + 0.5, m.end(), index + 0.5) for m in _DASHES.finditer(line)]
    return [Rule(i, index, i, index + 1) for i, letter in enumerate(line) if letter in UPRIGHT]


def _without_drawing(line: str) -> str:
    """Blank out what is drawn rather than written; every other character keeps its place."""
    if is_frame(line):
        return ""
    line = "".join(" " if letter in UPRIGHT else letter for letter in line)
    return LEADER.sub(lambda found: " " * len(found[0]), line)

"""PDF → pages of placed words and upright rules, by pdfplumber; form fields count as printed."""

import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from statistics import median
from typing import Any

from soiltrend.errors import UnreadableFile
from soiltrend.readers.blanks import cuts_between
from soiltrend.readers.document import Page, Rule, Word
from soiltrend.readers.drawing import without_drawing
from soiltrend.readers.plain import without_quotes
from soiltrend.readers.scripts import parted_at_scripts, with_scripts
from soiltrend.vocabulary import match_method

NAME = "pdf"
EXPLAINED = "PDF (.pdf)"
# Two letters closer than this share of the type size belong to one word; a printed blank is 0.25 to 0.33.
LETTER_GAP = 0.18
# Two words closer than this share of the type size belong to one phrase.
WORD_GAP = 0.62
SHORTEST_RULE = 6.0
FIXED_GAP = 1.3  # widths of a letter, what still is one blank of a typewriter
SAME_WIDTH = 0.02  # of the size of the letters
_NAME_AND_NUMBER = re.compile(r"[^\W\d_]{3,}[^\W\d]*?(\d+(?:[.,]\d+)?)")


class NoText(UnreadableFile):
    """The PDF holds pictures of pages and no letters: only character recognition can read it."""


def recognises(content: bytes, name: str) -> bool:
    """Whether the file is a PDF; some writers put a few bytes before its mark."""
    return b"%PDF-" in content[:1024]


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return the pages with their words.

    Raises
    ------
    UnreadableFile
        The file is damaged, locked with a password, or holds pictures of pages only.
    """
    import pdfplumber

    try:
        with pdfplumber.open(io.BytesIO(content)) as pdf:
            pages = tuple(_page(page, number) for number, page in enumerate(pdf.pages, start=1))
    except UnreadableFile:
        raise
    except Exception as error:  # pdfminer raises many kinds, some of them bare
        raise UnreadableFile(
            f"{source}: expected a PDF, found one that is damaged or locked with a password "
            f"({type(error).__name__}). Open it and print it to a new PDF."
        ) from error
    if not any(page.words for page in pages):
        raise NoText(f"{source}: this PDF holds pictures of pages and no letters.")
    messages: list[str] = []
    return tuple(_without_quotes(page, messages) for page in pages), tuple(messages)


def _without_quotes(page: Page, messages: list[str]) -> Page:
    """Leave out the older message that a printed mail quotes."""
    texts: dict[int, list[str]] = {}
    for word in page.words:
        texts.setdefault(word.line, []).append(word.text)
    lines = [" ".join(texts.get(number, ())) for number in range(1, max(texts, default=0) + 1)]
    kept = without_quotes(lines, 1, messages)
    if kept is lines:
        return page
    return replace(page, words=tuple(word for word in page.words if kept[word.line - 1]))


def _page(page: Any, number: int) -> Page:
    letters: Sequence[dict[str, Any]] = page.chars
    turned = sum(not c["upright"] for c in letters)
    flat = 2 * turned < len(letters)
    turn = 0.0 if flat or not letters else 90.0 if _reads_down(page) else 270.0
    words = _words(page) if flat else _turned_words(page)
    printed, bars = without_drawing(with_scripts(words))
    words = [*printed, *_form_words(page)]
    sizes = [word["bottom"] - word["top"] for word in words]
    space = max(WORD_GAP * median(sizes) if sizes else 0.0, FIXED_GAP * _fixed_pitch(letters))
    cuts = tuple(cuts_between(printed, letters, space)) if flat else ()
    placed = _numbered(words)
    rules = (*(_rules(page) if flat else ()), *bars)
    page.close()
    return Page(
        number=number,
        medium="drawn",
        words=placed,
        rules=rules,
        cuts=cuts,
        space=space,
        turned=turn,
    )


def _fixed_pitch(letters: Sequence[dict[str, Any]]) -> float:
    """Return the width of every letter of a page typed like on a typewriter, 0 where widths differ."""
    widths = sorted({round(c["width"] / c["size"], 2) for c in letters if c["text"].isalnum() and c["size"]})
    if not widths or widths[-1] - widths[0] > SAME_WIDTH:
        return 0.0
    return float(median(c["width"] for c in letters if c["text"].isalnum()))


def _words(page: Any) -> list[dict[str, Any]]:
    """Return the words of a page; upright headings are laid flat where they begin."""
    found = page.extract_words(
        x_tolerance_ratio=LETTER_GAP, y_tolerance=2, keep_blank_chars=False, return_chars=True
    )
    found = _parted_at_columns(parted_at_scripts(found))
    flat = [word for word in found if word.get("upright", True)]
    standing = [word for word in found if not word.get("upright", True)]
    return flat + _laid_flat(page, standing)


def _parted_at_columns(words: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Part a name that runs up to the number of the next column: ``East6.6``, where columns begin at the 6.

    The place counts as a column where words or such numbers begin on two other lines.
    """
    places = [(word, place) for word in words if (place := _number_after_name(word["text"]))]
    if not places:
        return words
    starts = [(word["x0"], word["top"], "") for word in words]
    starts += [
        (word["chars"][place]["x0"], word["top"], word["text"]) for word, place in places if _spelled(word)
    ]
    cut = {id(word): place for word, place in places if _is_column(word, place, starts)}
    parted: list[dict[str, Any]] = []
    for word in words:
        parted += _two(word, cut[id(word)]) if id(word) in cut else [word]
    return parted


def _number_after_name(text: str) -> int:
    found = _NAME_AND_NUMBER.fullmatch(text)
    return found.start(1) if found and not match_method(text) else 0


def _spelled(word: dict[str, Any]) -> bool:
    return len(word["chars"]) == len(word["text"])


def _is_column(word: dict[str, Any], place: int, starts: Sequence[tuple[float, float, str]]) -> bool:
    """Whether numbers begin there on two other lines; the same word again ('CaCl2') shows nothing."""
    if not _spelled(word):
        return False
    x0 = word["chars"][place]["x0"]
    lines = {
        round(top)
        for x, top, text in starts
        if abs(x - x0) < 0.7 and abs(top - word["top"]) > 2 and text != word["text"]
    }
    return len(lines) >= 2


def _two(word: dict[str, Any], place: int) -> list[dict[str, Any]]:
    edge = word["chars"][place]["x0"]
    return [
        {**word, "text": word["text"][:place], "x1": edge},
        {**word, "text": word["text"][place:], "x0": edge},
    ]


def _laid_flat(page: Any, standing: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Join the standing words of one column to one heading, and put all such headings on one line."""
    if not standing:
        return []
    downwards = _reads_down(page)
    columns: list[list[dict[str, Any]]] = []
    for word in sorted(standing, key=lambda w: (w["x0"], w["top"])):
        near = columns and word["x0"] - columns[-1][-1]["x0"] < 0.6 * (word["x1"] - word["x0"])
        if near and _touches(columns[-1], word):
            columns[-1].append(word)
        else:
            columns.append([word])
    floor = max(word["bottom"] for word in standing)
    return [_heading(column, floor, downwards) for column in columns]


def _touches(column: list[dict[str, Any]], word: dict[str, Any]) -> bool:
    size = word["x1"] - word["x0"]
    return any(min(abs(w["bottom"] - word["top"]), abs(word["bottom"] - w["top"])) < size for w in column)


def _heading(column: list[dict[str, Any]], floor: float, downwards: bool) -> dict[str, Any]:
    ordered = sorted(column, key=lambda w: w["top"], reverse=not downwards)
    text = " ".join(w["text"] if downwards else w["text"][::-1] for w in ordered)
    size = max(w["x1"] - w["x0"] for w in column)
    return {
        "text": text,
        "x0": min(w["x0"] for w in column),
        "x1": max(w["x1"] for w in column),
        "top": floor - size,
        "bottom": floor,
    }


def _reads_down(page: Any) -> bool:
    """Whether standing letters read downwards (turned clockwise); by the matrix they are drawn with."""
    turns = [char["matrix"][1] for char in page.chars if not char["upright"] and char.get("matrix")]
    return bool(sum(turn < 0 for turn in turns) * 2 > len(turns))


def _turned_words(page: Any) -> list[dict[str, Any]]:
    """Return the words of a page whose text stands on its side, in the frame in which a person reads it."""
    down = _reads_down(page)
    height, width = float(page.height), float(page.width)
    for char in page.chars:
        x0, x1, top, bottom = char["x0"], char["x1"], char["top"], char["bottom"]
        if down:
            char["x0"], char["x1"], char["top"], char["bottom"] = top, bottom, width - x1, width - x0
        else:
            char["x0"], char["x1"], char["top"], char["bottom"] = height - bottom, height - top, x0, x1
        char["doctop"] = char["top"]
        char["upright"] = not char["upright"]
        char["width"], char["height"] = char["x1"] - char["x0"], char["bottom"] - char["top"]
    from pdfplumber.utils.text import extract_words

    kept = [char for char in page.chars if char["upright"]]
    return list(extract_words(kept, x_tolerance_ratio=LETTER_GAP, y_tolerance=2))


def _form_words(page: Any) -> list[dict[str, Any]]:
    """Return what was typed into the fields of a form."""
    words = []
    for field in page.annots:
        text = _typed((field.get("data") or {}).get("V"))
        for position, part in enumerate(text.split()):
            share = (field["x1"] - field["x0"]) / max(1, len(text.split()))
            left = field["x0"] + position * share
            middle = (field["top"] + field["bottom"]) / 2
            words.append(
                {"text": part, "x0": left, "x1": left + 0.9 * share, "top": middle - 5, "bottom": middle + 5}
            )
    return words


def _typed(value: Any) -> str:
    if isinstance(value, bytes):
        utf16 = value.startswith((b"\xfe\xff", b"\xff\xfe"))
        return value.decode("utf-16" if utf16 else "latin-1", errors="replace")
    return value if isinstance(value, str) else ""


def _rules(page: Any) -> Iterable[Rule]:
    for edge in page.edges:
        if max(edge["bottom"] - edge["top"], edge["x1"] - edge["x0"]) >= SHORTEST_RULE:
            yield Rule(edge["x0"], edge["top"], edge["x1"], edge["bottom"])


def _numbered(words: list[dict[str, Any]]) -> tuple[Word, ...]:
    """Place the words and count their lines from the top, as a person would."""
    placed: list[Word] = []
    line, floor = 0, float("-inf")
    for word in sorted(words, key=lambda w: ((w["top"] + w["bottom"]) / 2, w["x0"])):
        middle = (word["top"] + word["bottom"]) / 2
        if middle > floor:
            line += 1
            floor = middle + 0.5 * (word["bottom"] - word["top"])
        text = re.sub(r"\(cid:\d+\)", "", word["text"]).strip()
        if text:
            placed.append(
                Word(
                    text, word["x0"], word["top"], word["x1"], word["bottom"], line, mark=word.get("mark", "")
                )
            )
    return tuple(placed)

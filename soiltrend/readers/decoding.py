"""Bytes of a text file of unknown encoding → text."""

import codecs

from charset_normalizer import from_bytes

from soiltrend.errors import UnreadableFile

# What spreadsheets, mail programs and old laboratory systems write where it is not UTF-8.
LEGACY = ["cp1252", "cp437", "cp850", "mac_roman"]
_LETTERS = frozenset("äöüÄÖÜßéèêëàâçùûîïôñáíóúìòÉÈÊÀÂÇÑÁÍÓÚœŒæåøÅØ")
_MARKS_PRINTED = frozenset("°µ²³±–—’‘“”•·×≤≥½¼§«»€£©®º¿¡\u00a0…│─┌┐└┘├┤┬┴┼║═╔╗╚╝")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def decode(content: bytes, source: str) -> str:
    """Return the text of ``content``.

    Raises
    ------
    UnreadableFile
        The bytes are no text in any encoding a report is written in.
    """
    encoding = _encoding(content)
    try:
        text = content.decode(encoding) if encoding else ""
    except UnicodeDecodeError:
        text = ""
    if content.strip(b"\0 \r\n\t") and not is_text(text):
        raise UnreadableFile(
            f"{source}: expected the text of a report, found bytes that are no text in any usual encoding. "
            "Save the report again as UTF-8 text, CSV, XLSX or PDF."
        )
    return text


def is_text(text: str) -> bool:
    """Whether nearly all characters are ones that a report prints."""
    odd = sum(1 for c in text if (ord(c) < 32 and c not in "\t\n\r\f\v\x1a") or c == "\ufffd")
    return bool(text) and odd <= len(text) // 200


def _encoding(content: bytes) -> str:
    for mark, name in _MARKS:
        if content.startswith(mark):
            return name
    if b"\0" in content[:2000]:
        return _wide(content[:2000])
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return _legacy(content)
    return "utf-8"


def _legacy(content: bytes) -> str:
    """Return the old encoding under which most bytes above ASCII are letters and marks that reports print."""
    scores = {name: _score(content.decode(name, errors="replace")) for name in LEGACY}
    best = max(LEGACY, key=lambda name: scores[name])
    if scores[best] > 0:
        return best
    found = from_bytes(content, cp_isolation=LEGACY).best()
    return found.encoding if found else "cp1252"


def _score(text: str) -> int:
    """Count letters inside words for, everything unusual against."""
    above = [place for place, letter in enumerate(text) if ord(letter) > 127]
    return sum(_points(text, place) for place in above[:4000])


def _points(text: str, place: int) -> int:
    letter = text[place]
    if letter in _LETTERS:
        return (
            2 if any(near.isalpha() and near.isascii() for near in text[max(0, place - 1) : place + 2]) else 0
        )
    return 1 if letter in _MARKS_PRINTED else -3


def _wide(start: bytes) -> str:
    """Tell UTF-16 without a mark by the side on which the zero bytes of plain letters fall."""
    even, odd = start[::2].count(0), start[1::2].count(0)
    if max(even, odd) < len(start) // 4:
        return ""
    return "utf-16-le" if odd > even else "utf-16-be"

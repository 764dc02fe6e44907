"""What stands behind a number in its cell: unit, rating, footnote, a late qualifier."""

import re
from dataclasses import dataclass, replace
from functools import cache

from soiltrend.data import load_toml
from soiltrend.data.spelling import fold
from soiltrend.data.unit_spelling import find_units
from soiltrend.values.numbers import NUMBER

_BARS = re.compile(r"([*•●■▮█|=#])\1{2,}")
_MARK = re.compile(r"[*†‡§¶#]{1,2}|\(\s*[*†‡\d]\s*\)|\[\s*\d\s*\]|\d\)$")
_LOOKS_LIKE_DIGIT = re.compile(r"[OoSBDIlZ](?![A-Za-z+-])")  # '6O' may be 60, '1l' may be 11
_SPREAD = re.compile(r"\(?\s*(?:±|\+/-|\+-)\s*[\d.,]+\s*%?\s*\)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What was found behind a number."""

    qualifier: str = ""
    rating: str = ""
    unit: str = ""
    notes: tuple[str, ...] = ()
    unclear: bool = False


def read_tail(tail: str, number: str = "") -> Around | None:
    """Return what stands behind ``number``, None where a part of it is not understood."""
    if _LOOKS_LIKE_DIGIT.match(tail) or (number.endswith((".", ",")) and tail[:1].isalpha()):
        return None
    around = Around()
    glued = _glued(tail, number)
    if glued is not None:
        around, tail = glued
    rest = tail.strip(" ,;:")
    while rest and not around.unclear:
        step = _step(rest)
        if step is None or not step[1]:
            return None
        around, rest = _merge(around, step[0]), rest[step[1] :].strip(" ,;:/")
    return around


def _glued(tail: str, number: str) -> tuple[Around, str] | None:
    """Read what must touch the number: ``100+`` (above), ``2-`` (an index class?), ``4.1a`` (footnote)."""
    if number and (tail == "-" or (tail == "+" and re.fullmatch(r"\d", number.strip()))):
        return Around(unclear=True), ""
    if number and re.match(r"\+(?![/\d-])", tail):
        return Around(qualifier=">"), tail[1:]
    found = re.match(r"([a-z])(?![A-Za-z+-])", tail)
    if found and found[1] in load_toml("cells")["footnote_letters"]:
        return Around(notes=("footnote",)), tail[1:]
    return None


def _step(rest: str) -> tuple[Around, int] | None:
    """Return the next thing in the rest of the cell and how many characters it takes."""
    for pattern, around in _SIMPLE:
        if found := pattern.match(rest):
            return around, found.end()
    if found := _BARS.match(rest):
        return Around(rating=found.group()), found.end()
    if unit := _unit(rest):
        return unit
    return _rating(rest)


_AIM = re.compile(  # '11.4 ppm (optimum 4-14)' is a result with what it is held against
    rf"[(\[]\s*(?:[^\W\d][^\W\d.]*[.:]?\s+){{0,2}}{NUMBER}\s*(?:-|–|to|bis|à|a)\s*{NUMBER}\s*[^()\d]{{0,12}}[)\]]",
    re.IGNORECASE,
)
_SIMPLE = (
    (_AIM, Around()),
    (_SPREAD, Around(notes=("spread-printed",))),
    (re.compile(r"\(\s*\d\s*[+-]\s*\)"), Around()),  # an index class: '198 (2+)'
    (re.compile(r"<=?$"), Around(qualifier="<")),
    (re.compile(r">=?$"), Around(qualifier=">")),
    (re.compile(r"J$"), Around(notes=("estimated",))),
    (re.compile(r"U$|\(?(?:ND|BDL|BQL)\)?$", re.IGNORECASE), Around(qualifier="<")),
    (re.compile(r"\(?(?:LOD|LOQ|MDL|RL|DL)\)?$"), Around()),
)


def _unit(rest: str) -> tuple[Around, int] | None:
    """Return a unit at the start of the rest, brackets around it allowed."""
    inside = rest.lstrip("([ ")
    offset = len(rest) - len(inside)
    found = next((unit for unit in find_units(inside) if unit[1] == 0), None)
    if found is None or found[0] in ("index", "[pH]"):
        return None
    end = offset + found[2]
    if basis := _basis_pattern().match(rest[end:]):
        end += basis.end()  # 'mg/100 g Boden'
    closing = len(rest[end:]) - len(rest[end:].lstrip(")] "))
    return Around(unit=rest[offset:end]), end + (closing if offset else 0)


@cache
def _basis_pattern() -> re.Pattern[str]:
    words = sorted(load_toml("units")["basis"], key=len, reverse=True)
    return re.compile(rf"\s+(?:{'|'.join(map(re.escape, words))})(?!\w)", re.IGNORECASE)


def _rating(rest: str) -> tuple[Around, int] | None:
    """Return a rating, or a footnote mark, at the start of the rest."""
    if found := _rating_pattern().match(rest):
        bracketed = found.group().startswith("(") and len(found["rating"]) == 1
        return Around(rating=found["rating"], notes=("footnote",) if bracketed else ()), found.end()
    if found := _MARK.match(rest):
        return Around(notes=("footnote",)), found.end()
    if found := _COMMENT.match(rest):
        return Around(rating=found[1]), found.end()
    return None


@cache
def _rating_pattern() -> re.Pattern[str]:
    table = load_toml("cells")
    listed = sorted({fold(w) for key in ("rating_words", "rating_letters") for w in table[key]}, key=len)
    body = "|".join(re.escape(word) for word in reversed(listed))
    return re.compile(rf"[(\[-]?\s*(?P<rating>(?:{body})[+-]*)(?![a-z0-9])\s*[)\]]?", re.IGNORECASE)


# A remark in brackets behind a value rates it: no number, no unit and no symbol stands in it.
_COMMENT = re.compile(
    r"\(\s*([^\W\d_]{3}[^\d()/%<>=]{0,30}?|(?:index|idx|class|klasse|stufe|classe|clase)\s*\d[+-]?)\s*\)\s*$",
    re.IGNORECASE,
)


def _merge(known: Around, new: Around) -> Around:
    return replace(
        known,
        qualifier=new.qualifier or known.qualifier,
        rating=new.rating or known.rating,
        unit=known.unit or new.unit,
        notes=tuple(dict.fromkeys((*known.notes, *new.notes))),
    )

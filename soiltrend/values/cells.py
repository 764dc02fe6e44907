"""One result cell: not run, not detected, a rating, or a number with what is printed around it."""

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache, lru_cache

from soiltrend.data import load_toml
from soiltrend.data.spelling import fold, fold_case_kept
from soiltrend.data.unit_spelling import find_units
from soiltrend.values.numbers import NUMBER, read_number
from soiltrend.values.result import Result
from soiltrend.values.tail import Around, read_tail

LONGEST = 80
ZERO = "zero-printed"
UNCLEAR_ND = "not-detected-or-not-determined"

_BAR = re.compile(r"([*=#|xX•●■▮█+\-])\1{2,}|(\*)\2+|[■▮█●•]+")
_DATE = re.compile(
    r"\d{1,2}[./-]\d{1,2}[./-](?:\d{2}|\d{4})|\d{4}[./-]\d{1,2}[./-]\d{1,2}|0\d-\d{1,2}|\d{1,2}-0\d|\d{1,2}/\d{1,2}"
)
_LIMITED = re.compile(
    rf"(?P<word>.*?)\s*(?:[(\[]\s*(?:M?DL|RL|LO[DQ]|BG|NG)\s*[:=]?|[(\[:=@]*)\s*<?\s*(?P<number>{NUMBER})(?P<tail>\D*)"
)
# A raised digit behind a number is a footnote, not one more digit; behind 'x 10' it is a power.
_FOOTNOTE_DIGITS = re.compile(
    r"(?<=[\d.,%\s)])(?<![x×·*]10)(?<![x×·*] 10)[¹²³⁴⁵⁶⁷⁸⁹⁰](?:[ ,]?[¹²³⁴⁵⁶⁷⁸⁹⁰])*\s*$"
)
_OTHER_DIGITS = re.compile(r"[\u00bc-\u00be\u2150-\u218b\u2460-\u249b\u2776-\u2793]")  # ½, Ⅳ, ①
_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_STARTS_WITH_DIGIT = re.compile(rf"(?P<rating>)(?P<about>)(?P<before>)(?P<number>{NUMBER})(?P<tail>.*)")
_RANGE = re.compile(rf"{NUMBER}\s*(?:-|–|to|bis|à|a|\.\.\.?)\s*{NUMBER}\s*\D{{0,12}}")


# 'pH = 5.8': the sign leads on from the name and is no part of the result.
_EQUALS = re.compile(r"^=\s+(?=[<>\d])")


@lru_cache(maxsize=16384)
def parse_result(text: str, decimal: str | None = None) -> Result:
    """Take one printed result apart.

    Parameters
    ----------
    text
        The cell as printed: ``<0.5``, ``1.234,5``, ``23 M``, ``n.d.``, ``168 VH``, ``3.2 %`` …
    decimal
        The file's decimal mark (see ``decimal_convention``), None or ``""`` where it is not known.

    Returns
    -------
    Result
        Never NaN or infinity. What can be read two ways carries a note or is ``text``.
    """
    unmarked = _FOOTNOTE_DIGITS.sub("", text)
    cell = fold_case_kept(unmarked.replace("&lt;", "<").replace("&gt;", ">")).strip()
    cell = _EQUALS.sub("", re.sub(r"\s+", " ", cell))
    if len(cell) > LONGEST or _OTHER_DIGITS.search(unmarked):
        return Result()
    found = _by_rules(cell, decimal)
    return found if unmarked == text else replace(found, notes=(*found.notes, "footnote"))


def _by_rules(cell: str, decimal: str | None) -> Result:
    for rule in _PLAIN_RULES if cell[:1].isdigit() else _RULES:
        found = rule(cell, decimal)
        if found is not None:
            return found
    return Result()


@cache
def _listed(key: str) -> frozenset[str]:
    return frozenset(fold(word) for word in load_toml("cells")[key])


def is_rating(text: str) -> bool:
    """Whether a cell holds a class letter or a word that rates a result, and nothing else."""
    return fold(text).strip() in _listed("rating_words") | _listed("rating_letters")


def _word(cell: str) -> str:
    """Return a cell as the lists print their words: ``k. A.`` is ``k.a.``."""
    return cell.lower().replace(". ", ".").strip()


def _not_run(cell: str, decimal: str | None) -> Result | None:
    return Result(status="not-run") if not cell or _word(cell) in _listed("not_run") else None


def _spreadsheet_error(cell: str, decimal: str | None) -> Result | None:
    if re.fullmatch(r"#(?:DIV/0!|REF!|VALUE!|NUM!|NAME\?|NULL!|WERT!|BEZUG!|VALEUR!|N/D)|#{2,}", cell):
        return Result(notes=("spreadsheet-error",))
    return None


def _bar(cell: str, decimal: str | None) -> Result | None:
    """Read a printed bar, which is a rating drawn and not typed."""
    return Result(rating=cell) if _BAR.fullmatch(cell.replace(" ", "")) else None


def _date_or_range(cell: str, decimal: str | None) -> Result | None:
    if _DATE.fullmatch(cell) or _has_month(cell):
        return Result(notes=("looks-like-date",))
    return Result(notes=("range",)) if _RANGE.fullmatch(cell) else None


def _has_month(cell: str) -> bool:
    found = re.fullmatch(
        r"\d{1,4}[-. ]\s?([a-z]{3,9})\.?(?:[-. ]\s?\d{2,4})?|([a-z]{3,9})\.?[-. ]\d{1,4}", cell.lower()
    )
    name = (found[1] or found[2]) if found else ""
    return (
        bool(name)
        and any(name.startswith(month) and len(name) <= 9 for month in _listed("months"))
        and (name not in _listed("rating_words"))
    )


def _not_detected(cell: str, decimal: str | None) -> Result | None:
    """Read ``ND``, ``<LOD``, ``trace``, each with the limit that may stand beside it."""
    bare, unit = _without_unit(cell)
    notes = _not_detected_notes(_word(bare))
    if notes is not None:
        return Result(qualifier="<", unit=unit, status="not-detected", notes=notes)
    found = _LIMITED.fullmatch(cell)
    notes = _not_detected_notes(_word(found["word"])) if found else None
    if found is None or notes is None:
        return None
    limit, around = read_number(found["number"], decimal), read_tail(found["tail"].strip(" )]"))
    if limit.number is None or around is None:
        return Result(notes=limit.notes)
    return Result(
        number=limit.number,
        qualifier="<",
        unit=around.unit,
        status="not-detected",
        notes=(*notes, *limit.notes),
    )


def _without_unit(cell: str) -> tuple[str, str]:
    """Part a cell from the unit at its end, if there is one: ``ND mg/kg``."""
    last = next(iter(find_units(cell)[-1:]), None)
    if last is None or last[1] == 0 or last[2] != len(cell):
        return cell, ""
    return cell[: last[1]].strip(), cell[last[1] :]


def _not_detected_notes(word: str) -> tuple[str, ...] | None:
    """Return the notes of a word for "not detected", None where it is none."""
    if word in _listed("not_detected_or_not_determined"):
        return (UNCLEAR_ND,)
    if word in _listed("trace"):
        return ("trace",)
    below_limit = word[:1] in ("<", "≤") and word[1:].strip() in _listed("limit_words")
    return () if word in _listed("not_detected") or below_limit else None


def _rating(cell: str, decimal: str | None) -> Result | None:
    around = read_tail(cell)
    return Result(rating=around.rating) if around and around.rating and not around.unit else None


def _bare_number(cell: str, decimal: str | None) -> Result | None:
    """Read digits with nothing around them: most cells of most reports."""
    if not _BARE.fullmatch(cell):
        return None
    digits = read_number(cell, decimal)
    if digits.number is None:
        return Result(notes=digits.notes)
    return Result(number=digits.number, status="measured", notes=(*digits.notes, *_zero(digits.number, "")))


def _zero(number: float, qualifier: str) -> tuple[str, ...]:
    return (ZERO,) if number == 0 and not qualifier else ()


def _number(cell: str, decimal: str | None) -> Result | None:
    """Read a number with a qualifier or rating before it and anything known after it."""
    found = (_STARTS_WITH_DIGIT if cell[:1].isdigit() else _number_pattern()).fullmatch(cell)
    if not found:
        return None
    digits = read_number(found["number"], decimal)
    around = read_tail(found["tail"], found["number"])
    if around is None or around.unclear:
        return Result(notes=("index-or-bound",) if around else ("not-understood",))
    if digits.number is None:
        return Result(notes=digits.notes)
    return _put_together(found, digits.number, digits.notes, around)


def _put_together(found: re.Match[str], number: float, notes: tuple[str, ...], around: Around) -> Result:
    before = _qualifier((found["before"] or "").strip().lower())
    if before and around.qualifier and before != around.qualifier:
        return Result(notes=("contradictory-qualifiers",))
    qualifier = before or around.qualifier
    about = ("approximate",) if found["about"] else ()
    return Result(
        number=number + 0.0,
        qualifier=qualifier,
        rating=around.rating or (found["rating"] or "").strip(" :-"),
        unit=around.unit,
        status="measured",
        notes=(*notes, *about, *_zero(number, qualifier), *around.notes),
    )


def _qualifier(word: str) -> str:
    if word in _listed("below"):
        return "<"
    return ">" if word in _listed("above") else ""


@cache
def _number_pattern() -> re.Pattern[str]:
    table = load_toml("cells")

    def any_of(*keys: str) -> str:
        listed = sorted({fold(word) for key in keys for word in table[key]}, key=len, reverse=True)
        return "|".join(re.escape(word) + (r"(?![a-z])" if word[-1].isalpha() else "") for word in listed)

    rating = any_of("rating_words", "rating_letters")
    return re.compile(
        rf"(?P<rating>(?:{rating})[+-]?\s*[:-]?\s+)?(?P<about>(?:{any_of('about')})\s*)?"
        rf"(?P<before>(?:{any_of('below', 'above')})\s*)?(?P<number>{NUMBER})(?P<tail>.*)",
        re.IGNORECASE,
    )


_Rule = Callable[[str, str | None], Result | None]
_PLAIN_RULES: tuple[_Rule, ...] = (_bare_number, _bar, _date_or_range, _number)
_RULES: tuple[_Rule, ...] = (
    _not_run,
    _spreadsheet_error,
    _bar,
    _date_or_range,
    _not_detected,
    _rating,
    _number,
)

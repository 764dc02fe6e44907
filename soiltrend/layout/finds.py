"""A result found on a page, before the report around it has its say: what the shapes hand to the engine."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from soiltrend.layout.labels import Label
from soiltrend.layout.lines import Line
from soiltrend.layout.numerals import is_denominator
from soiltrend.layout.reading import LeftAlone
from soiltrend.readers.document import Box, Page
from soiltrend.values import Result, parse_result
from soiltrend.vocabulary import AnalyteMatch, match_analyte, match_method, match_unit, match_unit_cell
from soiltrend.vocabulary.merging import merge_methods

# Why a number beside a known name is not this sample's result.
WHY_LEFT = {
    "previous": "it is an earlier result, not this report's",
    "deviation": "it is a difference from a target or from an earlier result",
    "range": "it is part of a range to aim at",
    "recommendation": "it is an amount recommended to apply, not a result",
    "limit": "it is the laboratory's detection limit",
    "uncertainty": "it is the uncertainty of a result",
    "statistic": "its row is an average, a limit or a check sample and no sample of yours",
    "rating": "it rates a result and is none itself",
    "ratio": "it is a ratio worked out from other results",
    "index": "it is an index without a unit",
    "estimate": "it is estimated from another result, not measured",
    "method": "it names a method",
    "unit": "it names a unit",
    "qualifier": "it says how sure the result beside it is",
    "repeated": "the same heading stands over several columns, and nothing tells them apart",
    "astray": "its row is not in line with the headings",
    "nameless": "nothing names or dates the rows it stands among",
    "symbol": "it is an abbreviation",
    "summary": "it is summed up from other results",
    "ambiguous": "what its name means is not certain",
    "ignored": "the declared layout says to leave it",
    "other": "it is no measurement of the soil that this program keeps",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Assay:
    """What a column or row of results measures, as its headings say."""

    analyte: str
    form: str = ""
    unit: str = ""
    unit_printed: str = ""
    method: str = ""
    method_printed: str = ""
    kind: str = "result"
    printed: str = ""
    notes: tuple[str, ...] = ()
    inherited: bool = False  # its method is that of a group of headings
    marks: tuple[str, ...] = ()  # of footnotes to its heading


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something stands: page (from 0), line (from 0) and left edge, and the place a person reads."""

    page: int
    line: int
    x0: float
    place: str
    box: Box | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Find:
    """One result with what its own table says of its sample (``own``: field → printed text)."""

    assay: Assay
    printed: str
    result: Result
    spot: Spot
    own: Mapping[str, str] = field(default_factory=dict)
    reason: str = ""
    notes: tuple[str, ...] = ()

    def noted(self, *notes: str) -> "Find":
        """Return the find with further notes."""
        return replace(self, notes=tuple(dict.fromkeys((*self.notes, *notes))))


@dataclass(slots=True)
class Harvest:
    """Everything the shapes found: results, numbers left alone, and what a person should know."""

    decimal: str = "."
    finds: list[Find] = field(default_factory=list)
    left: list[LeftAlone] = field(default_factory=list)
    messages: list[str] = field(default_factory=list)

    def leave(
        self, text: str, near: str, place: str, reason: str, page: int = 0, box: Box | None = None
    ) -> None:
        """Name a number that is not taken; words without a digit are not worth naming. ``page`` is from 0."""
        if re.search(r"\d", text):
            self.left.append(
                LeftAlone(text=text, near=near, place=place, reason=reason, page=page + 1, box=box)
            )


def assay_of(label: Label, *, unit: str = "", method: str = "", group: str = "") -> Assay:
    """Return what a heading measures; ``unit``, ``method`` and ``group`` are texts printed around it."""
    match = label.analyte
    if match is None:
        raise ValueError(f"{label.text!r} names no analyte")
    match = _with_unit(match, label.text, unit)
    printed_unit = unit or match.unit_printed or unit_in(group)
    return Assay(
        analyte=match.analyte,
        form=match.form,
        unit=_code(
            match.analyte, match_unit_cell(unit) if unit else (match.unit or match_unit(printed_unit))
        ),
        unit_printed=printed_unit,
        method=_merged(match, method) or method_in(group, match.analyte),
        method_printed=match.method_printed
        or (method if method_in(method, match.analyte) else "")
        or (group if method_in(group, match.analyte) else ""),
        kind=match.kind,
        printed=label.text,
        notes=match.notes,
        inherited=bool(method_in(group, match.analyte))
        and not (match.method or method_in(method, match.analyte)),
    )


def _merged(match: AnalyteMatch, method: str) -> str:
    """Return the method of a name, made more exact by what stands around it: 'water soluble', 'hot water'."""
    around = method_in(method, match.analyte)
    return merge_methods(filter(None, (match.method, around))) or match.method


def _code(analyte: str, unit: str) -> str:
    """Return the unit's code; a buffer pH that is called an index is a pH."""
    return "" if analyte in ("ph", "buffer_ph") and unit == "index" else unit


def _with_unit(match: AnalyteMatch, text: str, unit: str) -> AnalyteMatch:
    """Read a heading again with the unit below it: ``K`` over ``%`` is a share of the exchange capacity."""
    if match.unit or not match_unit_cell(unit):
        return match
    whole = match_analyte(f"{text} ({unit})")
    if whole is None or not whole.analyte:
        return match
    same = (whole.analyte, whole.form, whole.kind) == (match.analyte, match.form, match.kind)
    return match if same else whole  # a legend may have told more of it


def with_unit_of_cell(assay: Assay, unit: str) -> Assay:
    """Read a name again with the unit printed in its cell: ``K`` beside ``3.4 %`` is a share of the CEC."""
    if assay.unit or not match_unit_cell(unit):
        return assay
    whole = match_analyte(f"{assay.printed} ({unit})")
    if whole is None or not whole.analyte or not whole.exact:
        return assay
    return replace(assay, analyte=whole.analyte, form=whole.form, kind=whole.kind)


@lru_cache(maxsize=5000)
def method_in(text: str, analyte: str) -> str:
    """Return the method that ``text`` names for ``analyte``, or ``""``."""
    return (match_method(text, analyte) or "") if text.strip() else ""


@lru_cache(maxsize=5000)
def unit_in(text: str) -> str:
    """Return the unit printed in a heading such as ``Mehlich-3 (ppm)``, or ``""``."""
    if match_unit(text):
        return text.strip()
    for part in re.findall(r"\(([^()]*)\)|\[([^\[\]]*)\]", text):
        inner = str(part[0] or part[1])
        if match_unit(inner):
            return inner.strip()
    words = re.split(r"[\s,;:]+", text.strip())
    for length in (3, 2, 1):
        tail = " ".join(words[-length:])
        if len(words) > length and match_unit(tail):
            return tail
    return ""


@lru_cache(maxsize=5000)
def unit_of_title(text: str) -> str:
    """Return the unit that a title gives to the table below it: 'History (lb/acre, same depth)'."""
    pieces = [
        piece.strip() for inside in re.findall(r"[(\[]([^()\[\]]*)[)\]]", text) for piece in inside.split(",")
    ]
    return next((piece for piece in pieces if match_unit(piece)), "") or unit_in(text)


def place_of(page: Page, line: Line, column: str, *, several: bool) -> str:
    """Say where a value stands: ``row 5 column pH``, ``page 2 line 14``, ``sheet Beds row 5``."""
    where = f"row {line.number}" if page.medium == "grid" else f"line {line.number}"
    if page.medium == "grid" and column:
        where += f" column {column}"
    if page.name:
        return f"sheet {page.name} {where}"
    return f"page {page.number} {where}" if several else where


# A mark that can only part decimals, for thousands go by three: '0,01', '6.4'.
_OTHER_MARK = re.compile(r"[<>≤≥]?\s*\d{1,3}(?P<mark>[.,])(?:\d{1,2}|\d{4,})(?!\d)\D*")


# A laboratory's own class of two letters or three behind a number: no response, high response.
_RATED = re.compile(r"(?P<number>[<>]?\s*\d[\d.,]*)\s+(?P<class>[ADEHLMNOPRSVX]{2,3}[+-]?)")


def parse(text: str, decimal: str) -> Result:
    """Return the printed result in ``text``; never a number that is not finite.

    A cell typed with another decimal mark than the rest of the file is read where it can mean one thing
    only, and noted as ``decimal-assumed``.
    """
    if is_denominator(text):
        return Result()
    result = parse_result(text, decimal)
    rated = _RATED.fullmatch(text.strip()) if result.status == "text" else None
    if rated:
        return replace(parse(rated["number"], decimal), rating=rated["class"])
    other = _OTHER_MARK.fullmatch(text.strip())
    if result.status == "text" and other and other["mark"] != decimal:
        found = parse_result(text, other["mark"])
        return replace(found, notes=(*found.notes, "decimal-assumed")) if found.status != "text" else result
    return result

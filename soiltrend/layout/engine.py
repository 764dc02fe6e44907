"""A document of placed words → everything it says: shapes first, then the report around them."""

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath

from soiltrend.layout.across import Table, read_tables
from soiltrend.layout.agreement import check_arithmetic
from soiltrend.layout.context import Context, listen
from soiltrend.layout.declared import NOTHING_DECLARED, DeclaredLayout, choose, in_force
from soiltrend.layout.down import read_stacks
from soiltrend.layout.finds import WHY_LEFT, Find, Harvest
from soiltrend.layout.headings import is_remark
from soiltrend.layout.joint import parted_rows
from soiltrend.layout.kinds import looks_like, says_soil
from soiltrend.layout.legend import legend_of
from soiltrend.layout.lines import Line, lines_of
from soiltrend.layout.prose import read_prose
from soiltrend.layout.reading import LeftAlone, Reading, ReportReading
from soiltrend.layout.resolve import Resolver
from soiltrend.layout.rowkinds import named_rows
from soiltrend.layout.ruled import whole_cells
from soiltrend.layout.scanned import mark_scanned, unlike_a_report
from soiltrend.layout.stacked import whole_headings
from soiltrend.layout.stackreader import StackReader
from soiltrend.layout.told import read_told
from soiltrend.layout.twice import keep_one
from soiltrend.layout.wrapped import whole_rows
from soiltrend.readers.document import Document
from soiltrend.values import decimal_convention

SOIL_TEST = "soil test"
BILLS = ("invoice", "price list")
# Numbers with a mark in them; digits inside a word (P2O5) and dates are none.
_NUMBERS = re.compile(r"(?<![\w.,:/-])\d[\d'.,]*[.,]\d+(?![\w.,:/-])")
NOTHING = "no laboratory report"


def read_document(document: Document, layouts: Sequence[DeclaredLayout] = ()) -> ReportReading:
    """Return every result of a document with its reason, and every number left alone with why not.

    A document that is no soil test gives no readings; ``looks_like`` says what it is instead. Of the declared
    ``layouts`` the one counts whose words the document prints.
    """
    pages = [lines_of(page) for page in document.pages]
    layout = choose(layouts, " ".join(line.text for lines in pages for line in lines))
    with in_force(layout, legend_of(pages)):
        whole = [
            named_rows(parted_rows(whole_headings(whole_rows(whole_cells(lines, page), page), page)), page)
            for lines, page in zip(pages, document.pages, strict=True)
        ]
        return _read(document, whole, layout)


def _read(
    document: Document, pages: Sequence[Sequence[Line]], layout: DeclaredLayout | None
) -> ReportReading:
    given = layout or NOTHING_DECLARED
    document, pages = _without_bills(document, pages)
    kind = looks_like([line.text for lines in pages for line in lines])
    if kind != SOIL_TEST:
        return ReportReading(
            source=document.source, sha256=document.sha256, looks_like=kind, messages=document.messages
        )
    harvest = Harvest(decimal=_decimal(pages) or given.defaults.decimal or ".")
    context = _harvest(document, pages, harvest)
    resolver = Resolver(
        context,
        [line.text for lines in pages for line in lines],
        PurePath(document.source).stem,
        harvest.finds,
    )
    if given.defaults.date_order and not resolver.open_order:
        resolver.order, resolver.open_order = given.defaults.date_order, True
    finds = _of_this_report(harvest, resolver)
    named, nameless = _with_sample([given.completed(resolver.reading(find)) for find in finds])
    kept = keep_one(named)
    found = check_arithmetic(kept.readings)
    harvest.left += [*nameless, *kept.left]
    readings, unclear = mark_scanned(found, document)
    if not readings and harvest.left:
        first = harvest.left[0]
        harvest.messages.append(
            f"{len(harvest.left)} numbers near known names were left alone; the first, {first.text!r} "
            f"at {first.place}: {first.reason}."
        )
    return ReportReading(
        source=document.source,
        sha256=document.sha256,
        looks_like=unlike_a_report(document, found) or _said_kind(pages, found, harvest),
        readings=readings,
        left_alone=(*harvest.left, *unclear),
        messages=(*document.messages, *harvest.messages, *resolver.messages),
        turned=tuple(page.turned for page in document.pages),
    )


def _without_bills(
    document: Document, pages: Sequence[Sequence[Line]]
) -> tuple[Document, Sequence[Sequence[Line]]]:
    """Leave out the sheets or pages that bill the analyses on the others."""
    kinds = [looks_like([line.text for line in lines]) for lines in pages]
    bills = {index for index, kind in enumerate(kinds) if kind in BILLS}
    if not bills or len(bills) == len(pages):
        return document, pages
    kept = [index for index in range(len(pages)) if index not in bills]
    names = ", ".join(document.pages[index].name or f"page {document.pages[index].number}" for index in bills)
    message = f"{names} looks like {kinds[min(bills)]} and was not read."
    rest = replace(
        document,
        pages=tuple(document.pages[index] for index in kept),
        messages=(*document.messages, message),
    )
    return rest, [pages[index] for index in kept]


def _of_this_report(harvest: Harvest, resolver: Resolver) -> list[Find]:
    """Leave alone the results of earlier years that a report repeats beside its own."""
    earlier = [find for find in harvest.finds if resolver.is_of_earlier_year(find)]
    for find in earlier:
        spot = find.spot
        why = WHY_LEFT["previous"]
        harvest.leave(find.printed, find.assay.printed, spot.place, why, spot.page, spot.box)
    return [find for find in harvest.finds if find not in earlier]


def _said_kind(pages: Sequence[Sequence[Line]], found: Sequence[Reading], harvest: Harvest) -> str:
    """Return what a file is in which nothing was found: a page without any word of a soil test is none."""
    if found or harvest.left or says_soil([line.text for lines in pages for line in lines]):
        return SOIL_TEST
    return NOTHING


def _with_sample(readings: Sequence[Reading]) -> tuple[list[Reading], list[LeftAlone]]:
    """Leave alone what has no sample's name where other results of the document have one."""
    if not any(reading.sample for reading in readings):
        return list(readings), []
    nameless = [
        LeftAlone(
            text=reading.value_printed,
            near=reading.analyte,
            place=reading.place,
            reason="no name of a sample stands beside it, and the document has several",
        )
        for reading in readings
        if not reading.sample
    ]
    return [reading for reading in readings if reading.sample], nameless


def _harvest(document: Document, pages: Sequence[Sequence[Line]], harvest: Harvest) -> Context:
    context = Context()
    several = document.several_pages
    told = 0
    going_on: Table | None = None
    going_down: StackReader | None = None
    for index, (page, lines) in enumerate(zip(document.pages, pages, strict=True)):
        used, going_on = read_tables(lines, page, index, harvest, several=several, before=going_on)
        before = len(harvest.finds)
        used |= read_told(lines, page, index, harvest, used, several=several)
        told += len(harvest.finds) - before
        down = read_stacks(lines, page, index, harvest, used, several=several, before=going_down)
        context.columns[index], going_down = down.edges, down.going_on
        used |= _positions(lines, down.lines)
        context.told += listen(lines, index, used)
        context.lines += [
            line.text for position, line in enumerate(lines) if position not in used or is_remark(line)
        ]
    if len(harvest.finds) <= told:  # lists in running text, or nothing at all: perhaps a letter
        listed, harvest.finds = harvest.finds, []
        for index, (page, lines) in enumerate(zip(document.pages, pages, strict=True)):
            read_prose(lines, page, index, harvest, several=several)
        harvest.finds = harvest.finds if len(harvest.finds) > len(listed) else listed
    return context


def _positions(lines: Sequence[Line], taken: set[int]) -> set[int]:
    return {position for position, line in enumerate(lines) if line.index in taken}


def _decimal(pages: Sequence[Sequence[Line]]) -> str:
    """Return the decimal mark that the numbers of the whole document show, ``""`` where they show none."""
    cells = [word.text for lines in pages for line in lines for word in line.words]
    return decimal_convention([number for text in cells for number in _NUMBERS.findall(text)])

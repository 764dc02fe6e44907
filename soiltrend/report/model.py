"""Data classes only: what the report is made from (:class:`ReportInput`) and what the page shows.

Everything a template prints is text or a number here already; no class knows HTML.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from soiltrend.checks.finding import Finding
from soiltrend.records.models import Garden
from soiltrend.trends import Trend

if TYPE_CHECKING:
    import pandas as pd

Json = Mapping[str, Any]
FOLDED_FROM = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRead:
    """One report file: how many rows it gave and what there is to say; ``rows`` 0 = nothing was taken."""

    source: str
    rows: int
    messages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportInput:
    """All that a report is made from.

    ``observations`` has the columns of :data:`soiltrend.observations.COLUMNS`, and ``Point.row`` of a
    trend is a row number in it. ``comparisons``, ``claims``, ``balance`` and ``plan`` are lists of the JSON
    objects of the commands of these names; ``today`` is the day the report is made.
    """

    garden: Garden
    observations: pd.DataFrame
    trends: Sequence[Trend]
    garden_trends: Sequence[Trend] = ()
    findings: Sequence[Finding] = ()
    files: Sequence[FileRead] = ()
    balance: Sequence[Json] = ()
    comparisons: Sequence[Json] = ()
    claims: Sequence[Json] = ()
    plan: Sequence[Json] = ()
    advice: Sequence[str] = ()
    cautions: Sequence[str] = ()
    today: date
    version: str


@dataclass(frozen=True, slots=True)
class Link:
    """Text that may lead somewhere inside the page; an empty ``href`` is plain text."""

    text: str
    href: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One bed's share of a statement: where it is shown, and its number."""

    link: Link
    number: str


@dataclass(frozen=True, slots=True)
class Statement:
    """One sentence of the first screen with the beds it rests on; ``more`` counts what is left out."""

    lead: str
    parts: tuple[Part, ...] = ()
    more: int = 0
    more_href: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """One bed and one test at a glance. ``kind`` is ``up``, ``down``, ``flat``, ``few`` or ``none``."""

    kind: str
    doubtful: bool
    label: str
    href: str
    analyte: str


@dataclass(frozen=True, slots=True)
class OverviewRow:
    """One bed across all tests."""

    bed: Link
    note: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Overview:
    """Every bed and every test. ``columns`` are (analyte, short name, long name)."""

    columns: tuple[tuple[str, str, str], ...]
    rows: tuple[OverviewRow, ...]
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart as a Vega-Lite specification, drawn by :mod:`soiltrend.report.charts` when rendering."""

    title: str
    text: str
    wide: dict[str, Any]
    narrow: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Mark:
    """One report's value in a small chart, in user units of the chart."""

    href: str
    title: str
    kind: str
    x: float
    y: float
    low: float
    high: float
    hit_x: float
    hit_width: float


@dataclass(frozen=True, slots=True)
class Tick:
    """A tick or a labelled place on an axis."""

    at: float
    label: str


@dataclass(frozen=True, slots=True)
class Chart:
    """The geometry of one small chart; paths are SVG path data."""

    width: int
    height: int
    left: float
    right: float
    top: float
    bottom: float
    y_ticks: tuple[Tick, ...]
    x_ticks: tuple[Tick, ...]
    years: tuple[float, ...]
    bands: tuple[str, ...]
    lines: tuple[str, ...]
    breaks: tuple[float, ...]
    applied: tuple[Tick, ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """One bed, one test, one method: the finding in words, then the chart (None = nothing to draw)."""

    id: str
    analyte: str
    name: str
    unit: str
    method: str
    kind: str
    headline: str
    interval: str
    sentence: str
    breaks: tuple[str, ...]
    doubts: tuple[Link, ...]
    chart: Chart | None
    rows_href: str

    @property
    def changed(self) -> bool:
        """Whether a rise or a fall is shown."""
        return self.kind in ("up", "down")


@dataclass(frozen=True, slots=True)
class Visit:
    """What the rows of one sample in one report share; ``day_basis`` is empty for a sampling date."""

    day: str
    day_basis: str
    lab: str
    report: str
    sample: str
    source: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the long table as printed in the page."""

    id: str
    analyte: str
    name: str
    value: str
    printed: str
    method: str
    layer: str
    place: str
    notes: tuple[str, ...]
    doubts: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one bed, report by report in the order of their dates."""

    visits: tuple[tuple[Visit, tuple[Row, ...]], ...]

    def __len__(self) -> int:
        return sum(len(rows) for _, rows in self.visits)

    def __iter__(self) -> Iterator[Row]:
        return (row for _, rows in self.visits for row in rows)


@dataclass(frozen=True, slots=True)
class BreakView:
    """One change of laboratory, method or layer, and the tests of a bed that it cuts in two."""

    text: str
    tests: str


@dataclass(frozen=True, slots=True)
class BedView:
    """One bed: facts, what changed, charts, and its rows."""

    id: str
    name: str
    facts: tuple[str, ...]
    lead: str
    figures: tuple[Figure, ...]
    missing: tuple[str, ...]
    applications: tuple[str, ...]
    findings: tuple[Link, ...]
    breaks: tuple[BreakView, ...]
    rows: Rows
    table_id: str
    csv: Download | None = None


@dataclass(frozen=True, slots=True)
class CauseView:
    """One explanation and its share of belief in words and percent."""

    text: str
    share: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """One finding as a short argument; ``text`` is its first sentence, ``more`` the rest."""

    id: str
    severity: str
    kind: str
    title: str
    beds: tuple[Link, ...]
    bed: str
    analyte: str
    analyte_name: str
    text: str
    more: str
    arithmetic: tuple[str, ...]
    causes: tuple[CauseView, ...]
    would_change: str
    next_step: str
    places: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """Notes of one kind, gathered: a title, and one line for each place it holds."""

    title: str
    lines: tuple[Part, ...]
    next_steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SideRow:
    """One bed's change per year on the common scale of its test; positions are percent of the width."""

    bed: Link
    group: str
    kind: str
    doubtful: bool
    low: float
    mid: float
    high: float
    cut_low: bool
    cut_high: bool
    number: str
    interval: str


@dataclass(frozen=True, slots=True)
class SideView:
    """One test, all beds: dots with intervals on one scale."""

    id: str
    analyte: str
    name: str
    unit: str
    zero: float
    ticks: tuple[Tick, ...]
    rows: tuple[SideRow, ...]
    verdicts: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class ClaimView:
    """One statement checked."""

    id: str
    claim: str
    verdict: str
    verdict_text: str
    understood: tuple[tuple[str, str], ...]
    reasons: tuple[str, ...]
    say_instead: str
    to_settle: str = ""
    not_understood: str = ""


@dataclass(frozen=True, slots=True)
class Application:
    """One line of what was put on."""

    day: str
    beds: tuple[str, ...]
    material: str
    amount: str
    placed: str
    notes: str


@dataclass(frozen=True, slots=True)
class Table:
    """A small plain table of text: heads, then rows; the first cell of a row names it."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    @property
    def folded(self) -> bool:
        """Whether the table is so long that it is shown on request only."""
        return len(self.rows) > FOLDED_FROM


@dataclass(frozen=True, slots=True)
class Term:
    """One technical word explained."""

    id: str
    name: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Download:
    """Data inside the page as a link."""

    name: str
    href: str
    size: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The whole page as data, in its reading order."""

    title: str
    made_on: str
    version: str
    summary: str
    changed: tuple[Statement, ...]
    doubted: tuple[Statement, ...]
    unsaid: tuple[Statement, ...]
    picture: Picture | None
    overview: Overview
    findings: tuple[FindingView, ...]
    sides: tuple[SideView, ...]
    side_notes: tuple[str, ...]
    beds: tuple[BedView, ...]
    applications: tuple[Application, ...]
    balance: tuple[Table, ...]
    claims: tuple[ClaimView, ...]
    advice: tuple[str, ...]
    plan: tuple[Table, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[tuple[str, str], ...]
    glossary: tuple[Term, ...]
    files_read: tuple[FileRead, ...]
    files_not_read: tuple[FileRead, ...]
    downloads: tuple[Download, ...]
    analytes: tuple[tuple[str, str], ...]
    first_year: int | None = None
    last_year: int | None = None
    print_rows: bool = True
    terms: dict[str, Term] = field(default_factory=dict)

"""Each bed: facts, small charts, its rows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from soiltrend.records.models import Amendment, Bed, Garden
from soiltrend.report.doubts import Doubts
from soiltrend.report.model import BedView, BreakView, Figure, Link, ReportInput, Rows
from soiltrend.report.multiples import Dot, TimeAxis, draw
from soiltrend.report.put_on import amount_text
from soiltrend.report.rows import row_id
from soiltrend.report.series import (
    Scale,
    alternative,
    break_text,
    headline,
    interval_text,
    kind_of,
    point_text,
)
from soiltrend.report.words import (
    analyte_in_text,
    analyte_name,
    area,
    counted,
    listed,
    long_date,
    method_name,
)
from soiltrend.trends import Point, Trend

# The order in which a grower reads the tests; others follow in the order of the reports.
FIRST = (
    "organic_matter",
    "organic_carbon",
    "ph",
    "cec",
    "phosphorus",
    "potassium",
    "calcium",
    "magnesium",
)


@dataclass(frozen=True, slots=True)
class Names:
    """Anchors of beds and of the charts in them, in the order of the page."""

    beds: Mapping[str, str]

    @classmethod
    def of(cls, beds: Sequence[str]) -> "Names":
        """Return anchors that number the beds from 1 in the order given."""
        return cls({bed: f"bed-{number}" for number, bed in enumerate(beds, start=1)})

    def bed(self, bed: str) -> Link:
        """Return the link to a bed; plain text where there is no such bed on the page."""
        return Link(name_of(bed), f"#{self.beds[bed]}" if bed in self.beds else "")

    def figure(self, trend: Trend) -> str:
        """Return the anchor of a series' chart."""
        method = trend.method or "any"
        return f"{self.beds.get(trend.bed, 'bed-0')}-{_slug(trend.analyte)}-{_slug(method)}"

    def table(self, bed: str) -> str:
        """Return the anchor of a bed's rows."""
        return f"{self.beds[bed]}-rows"


def name_of(bed: str) -> str:
    """Return a bed's name as it is printed; a report can leave it out."""
    return bed if bed.strip() else "(no name)"


def bed_order(given: ReportInput, rows: Mapping[str, Rows]) -> list[str]:
    """Return the beds of the records that have rows, in their order, then sample names of no known bed."""
    known = [bed.bed for bed in given.garden.beds]
    trends = [trend.bed for trend in given.trends]
    return list(dict.fromkeys([*known, *rows, *trends]))


def test_order(trends: Sequence[Trend], rows: Mapping[str, Rows]) -> list[str]:
    """Return every analyte of the garden in reading order."""
    seen = dict.fromkeys(
        [trend.analyte for trend in trends] + [row.analyte for part in rows.values() for row in part]
    )
    return [name for name in FIRST if name in seen] + [name for name in seen if name not in FIRST]


def bed_views(
    given: ReportInput,
    rows: Mapping[str, Rows],
    names: Names,
    tests: Sequence[str],
    doubts: Doubts,
) -> tuple[BedView, ...]:
    """Return one view for each bed of ``names``."""
    setting = _Setting(given.garden.units, names, doubts, TimeAxis.of(_days(given)))
    records = {bed.bed: bed for bed in given.garden.beds}
    series: dict[str, list[Trend]] = {}
    for trend in given.trends:
        series.setdefault(trend.bed, []).append(trend)
    views = []
    for bed in names.beds:
        trends = sorted(series.get(bed, ()), key=lambda trend: tests.index(trend.analyte))
        put_on = applications_of(given.garden, bed)
        figures = tuple(_figure(trend, setting, put_on) for trend in trends)
        views.append(
            BedView(
                id=names.beds[bed],
                name=name_of(bed),
                facts=_facts(records.get(bed), given.garden.units),
                lead=_lead(figures, bool(rows.get(bed))),
                figures=figures,
                missing=_missing(rows.get(bed), {trend.analyte for trend in trends}),
                applications=_put_on_in_words(put_on),
                findings=doubts.of_bed(bed),
                breaks=_breaks(figures),
                rows=rows.get(bed, Rows(())),
                table_id=names.table(bed),
            )
        )
    return tuple(views)


def applications_of(garden: Garden, bed: str) -> list[Amendment]:
    """Return what was put on one bed: under its own name, for all beds or for its treatment."""
    record = next((item for item in garden.beds if item.bed == bed), None)
    treatment = record.treatment if record else ""
    names = {bed, "all", *({treatment} if treatment else set())}
    return sorted((item for item in garden.amendments if item.bed in names), key=lambda item: item.date)


@dataclass(frozen=True, slots=True)
class _Setting:
    """What every chart of the page shares."""

    system: str
    names: Names
    doubts: Doubts
    axis: TimeAxis


def _figure(trend: Trend, setting: _Setting, put_on: Sequence[Amendment]) -> Figure:
    scale = Scale.of(trend.unit, setting.system)
    doubt = setting.doubts.of_trend(trend)
    dots = [_dot(point, trend, scale, setting.doubts) for point in trend.points]
    applied = [
        (item.date, f"{item.date.isoformat()}: {amount_text(item)} {item.material}") for item in put_on
    ]
    return Figure(
        id=setting.names.figure(trend),
        analyte=trend.analyte,
        name=analyte_name(trend.analyte),
        unit=scale.unit,
        method=method_name(trend.method),
        kind=kind_of(trend),
        headline=headline(trend, scale),
        interval=interval_text(trend, scale),
        sentence=alternative(trend, len(doubt)),
        breaks=tuple(break_text(text, setting.system) for text in trend.breaks),
        doubts=doubt,
        chart=draw(dots, setting.axis, applied=applied) if dots else None,
        rows_href=f"#{setting.names.table(trend.bed)}",
    )


def _dot(point: Point, trend: Trend, scale: Scale, doubts: Doubts) -> Dot:
    doubtful = doubts.of_reading(point.source, point.place, trend.analyte)
    return Dot(
        day=point.sampled_on,
        value=scale.value(point.value),
        noise_low=scale.value(point.noise_low),
        noise_high=scale.value(point.noise_high),
        segment=point.segment,
        kind="hollow" if doubtful else {"<": "below", ">": "above"}.get(point.qualifier, "dot"),
        href=f"#{row_id(point.row)}",
        title=point_text(point, scale) + (" (doubtful)" if doubtful else ""),
        fitted=scale.maybe(point.fitted),
        low=scale.maybe(point.low),
        high=scale.maybe(point.high),
    )


def _days(given: ReportInput) -> list[date]:
    return [point.sampled_on for trend in given.trends for point in trend.points]


def _slug(name: str) -> str:
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name)[:40]


def _facts(bed: Bed | None, system: str) -> tuple[str, ...]:
    if bed is None:
        return ("a sample name of the reports that is no bed of the records",)
    facts = [f"treatment: {bed.treatment}" if bed.amended else "unamended"]
    if bed.area_m2:
        facts.append(area(bed.area_m2, system))
    facts += [text for text in (bed.texture,) if text]
    if bed.assigned:
        facts.append("treatment drawn by lot" if bed.assigned == "random" else "treatment chosen")
    if bed.chosen_because:
        facts.append(f"chosen because: {bed.chosen_because}")
    if bed.also_called:
        facts.append(f"also called {listed(list(bed.also_called))}")
    return (*facts, bed.notes) if bed.notes else tuple(facts)


def _lead(figures: Sequence[Figure], has_rows: bool) -> str:
    if not figures:
        return "No value of this bed could be used." if has_rows else "No report has a sample of this bed."
    firm = [figure for figure in figures if figure.changed and not figure.doubts]
    doubtful = [figure for figure in figures if figure.doubts]
    parts = [f"{figure.name} {figure.headline} ({figure.interval})" for figure in firm]
    none = "No change is shown in any test that can be believed. " if doubtful else "No change is shown. "
    text = f"{'; '.join(parts)}. " if parts else none
    still = sum(figure.kind == "flat" for figure in figures)
    if parts and still:
        text += f"In {counted(still, 'other series', 'other series')} no change is shown. "
    if doubtful:
        names = dict.fromkeys(analyte_in_text(figure.analyte) for figure in doubtful)
        text += f"Hard to believe: {listed(list(names))}."
    return text.strip()


def _breaks(figures: Sequence[Figure]) -> tuple[BreakView, ...]:
    """Return each change once, in order of time, with the tests it concerns."""
    tests: dict[str, list[str]] = {}
    for figure in figures:
        for text in figure.breaks:
            tests.setdefault(text, []).append(analyte_in_text(figure.analyte))
    return tuple(BreakView(text, listed(list(dict.fromkeys(tests[text])))) for text in sorted(tests))


def _missing(rows: Rows | None, drawn: set[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.name for row in rows or () if row.analyte not in drawn))


def _put_on_in_words(put_on: Sequence[Amendment]) -> tuple[str, ...]:
    return tuple(f"{long_date(item.date)}: {amount_text(item)} {item.material}" for item in put_on)

"""The first screen: what changed, what is hard to believe, what cannot be said; every bed at a glance."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from soiltrend.report.beds import Names, name_of
from soiltrend.report.doubts import Doubts
from soiltrend.report.model import (
    Cell,
    FindingView,
    Json,
    Link,
    Overview,
    OverviewRow,
    Part,
    ReportInput,
    Rows,
    Statement,
)
from soiltrend.report.numbers import NBSP, plain, two_figures, with_unit
from soiltrend.report.rows import copies_of
from soiltrend.report.series import VERBS, Scale, headline, interval_text, kind_of, per_year
from soiltrend.report.side import beds_called, between, difference, side_href
from soiltrend.report.words import analyte_in_text, analyte_name, analyte_short, counted, listed, long_date
from soiltrend.trends import Trend, within_season

MOST_BEDS = 4
MOST_NAMED = 5
MOST_BREAKS = 4
_DAY = re.compile(r"(\d{4}-\d\d-\d\d) .*")
BREAK_KINDS = ("laboratory", "method", "layer")
# A longer overview does not fit on a first screen: then only beds with something to say are listed in it.
MOST_ROWS = 24
DIFFERS = {"group-rose-more": "rose more", "group-rose-less": "rose less"}
STRENGTH = ("up", "down", "flat", "few", "none")


def summary_text(given: ReportInput, rows: Mapping[str, Rows]) -> str:
    """Say how much the page rests on: reports, beds, years, laboratories."""
    copies = copies_of(given.observations)
    read = [file for file in given.files if file.rows and file.source not in copies]
    every = [row for part in rows.values() for row in part]
    visits = [visit for part in rows.values() for visit, _ in part.visits]
    years = sorted({visit.day[:4] for visit in visits if visit.day[:4].isdigit()})
    labs = {visit.lab for visit in visits if visit.lab}
    if not every:
        return "No report could be read yet, so there is nothing to say about the soil."
    span = years[0] if len(years) == 1 else f"{years[0]} to {years[-1]}" if years else "undated"
    tests = len({row.analyte for row in every})
    text = (
        f"{counted(len(read), 'report')} read, {span}: {counted(len(rows), 'bed')}, {counted(tests, 'test')}"
    )
    return f"{text}, {counted(len(labs), 'laboratory', 'laboratories')}." if labs else f"{text}."


def changed(given: ReportInput, names: Names, tests: Sequence[str], doubts: Doubts) -> tuple[Statement, ...]:
    """Return what rose or fell and is not in doubt: groups of beds first, then bed by bed for each test."""
    firm = [trend for trend in given.trends if kind_of(trend) in VERBS and not doubts.of_trend(trend)]
    statements = [*_of_groups(given), *_of_garden(given)]
    for test in tests:
        for kind in VERBS:
            found = [trend for trend in firm if trend.analyte == test and kind_of(trend) == kind]
            if found:
                statements.append(_statement(found, kind, given, names))
    return tuple(statements)


def _of_groups(given: ReportInput) -> list[Statement]:
    """Return each treatment that differs from its reference."""
    return [
        Statement(
            f"{analyte_name(test)} {DIFFERS[item['verdict']]} in {beds_called(item['group'])} "
            f"than in {beds_called(item['reference'])}",
            (Part(Link("side by side", side_href(test)), difference(item, Scale.of(item["unit"], system))),),
        )
        for item in given.comparisons
        if item.get("verdict") in DIFFERS and item.get("kind", "treatment") == "treatment"
        for test, system in [(str(item["analyte"]), given.garden.units)]
    ]


def _of_garden(given: ReportInput) -> list[Statement]:
    """Return what all beds did together, from the means of the years."""
    return [
        Statement(
            f"{analyte_name(trend.analyte)} {VERBS[kind_of(trend)]} in the garden as a whole",
            (Part(Link("yearly means", side_href(trend.analyte)), _rate(trend, given.garden.units)),),
        )
        for trend in given.garden_trends
        if kind_of(trend) in VERBS
    ]


def _rate(trend: Trend, system: str) -> str:
    change, interval = per_year(trend, Scale.of(trend.unit, system), sign=True)
    return f"{change} a{NBSP}year ({interval})"


def _statement(found: Sequence[Trend], kind: str, given: ReportInput, names: Names) -> Statement:
    test = found[0].analyte
    beds = len({trend.bed for trend in given.trends if trend.analyte == test})
    ordered = sorted(found, key=lambda trend: -abs(trend.slope_per_year or 0.0))
    parts = tuple(
        Part(Link(name_of(trend.bed), f"#{names.figure(trend)}"), _rate(trend, given.garden.units))
        for trend in ordered[:MOST_BEDS]
    )
    where = f"in {len(found)} of {counted(beds, 'bed')}" if beds > 1 else "in the one bed there is"
    return Statement(
        f"{analyte_name(test)} {VERBS[kind]} {where}",
        parts,
        max(0, len(found) - MOST_BEDS),
        side_href(test),
    )


def doubted(findings: Sequence[FindingView]) -> tuple[Statement, ...]:
    """Return what is hard to believe, each bed and test once, with links to the arguments about it."""
    about: dict[tuple[str, str], list[FindingView]] = {}
    for finding in findings:
        key = (finding.bed, finding.analyte) if finding.bed else (finding.id, "")
        about.setdefault(key, []).append(finding)
    return tuple(
        Statement(
            found[0].text,
            tuple(Part(Link(item.title, f"#{item.id}"), item.severity) for item in found),
        )
        for found in about.values()
    )


def unsaid(given: ReportInput, doubts: Doubts) -> tuple[Statement, ...]:
    """Return what these reports cannot answer, and why."""
    parts: list[str] = []
    if not given.trends:
        return (Statement("Nothing can be said about change yet: there is no series of values."),)
    flat = [trend for trend in given.trends if kind_of(trend) == "flat"]
    few = [trend for trend in given.trends if kind_of(trend) == "few"]
    if flat:
        parts.append(
            f"{len(flat)} of {len(given.trends)} series (one bed, one test) show no change. That does not "
            "prove that nothing changed: a small change hides in the noise."
        )
    parts += _hidden(flat, given.garden.units)
    if few:
        tests = list(dict.fromkeys(analyte_in_text(trend.analyte) for trend in few))
        season = ", or those of one season," if any(within_season(trend) for trend in few) else ""
        what = f"too few comparable reports{season}"
        parts.append(
            f"{counted(len(few), 'series has', 'series have')} {what} for any statement "
            f"({listed(tests[:4])}{' and others' if len(tests) > 4 else ''})."
        )
    parts += _across(given.trends)
    parts += _without_comparison(given, doubts)
    return tuple(Statement(text) for text in parts)


def _hidden(flat: Sequence[Trend], system: str) -> list[str]:
    """Say for the most read test how small a change would have stayed out of sight."""
    shown = [trend for trend in flat if trend.smallest_detectable and trend.analyte == "organic_matter"]
    if not shown:
        return []
    middle = sorted(shown, key=lambda trend: trend.smallest_detectable or 0.0)[len(shown) // 2]
    scale = Scale.of(middle.unit, system)
    rise = (middle.smallest_detectable or 0.0) * scale.factor
    size = with_unit(plain(rise, two_figures(rise)), scale.change)
    return [f"For organic matter a rise of less than about {size} in all would often be missed."]


def _across(trends: Sequence[Trend]) -> list[str]:
    """Name the days on which another laboratory, method or layer begins: no level is compared across them."""
    days: dict[str, set[str]] = {}
    for found in (_DAY.match(text) for trend in trends for text in trend.breaks):
        if found:
            days.setdefault(found[1], set()).update(kind for kind in BREAK_KINDS if f" {kind} " in found[0])
    if not days:
        return []
    kinds = {day: ", ".join(kind for kind in BREAK_KINDS if kind in days[day]) for day in sorted(days)}
    said = [f"{long_date(date.fromisoformat(day))} ({kinds[day]})" for day in list(kinds)[:MOST_BREAKS]]
    more = f" and {len(days) - MOST_BREAKS} more" if len(days) > MOST_BREAKS else ""
    return [f"Levels before and after a change are not compared: {listed(said)}{more}."]


def _without_comparison(given: ReportInput, doubts: Doubts) -> list[str]:
    treated = [bed for bed in given.garden.beds if bed.amended]
    if not given.garden.amendments and not treated:
        return ["Nothing is recorded as put on, so no change can be tied to a treatment."]
    if treated and len(treated) == len(given.garden.beds):
        return ["Every bed is amended: nothing separates the treatment from the weather and the laboratory."]
    compared = [item for item in given.comparisons if between(item)]
    believed = [item for item in compared if not doubts.of_comparison(item)]
    return [*_leaning(believed, given.garden.units), *_undecided(compared)]


def _leaning(compared: Sequence[Json], system: str) -> list[str]:
    """Say of the most read test which groups lean away from their reference, and why that is not shown."""
    leans = [
        item
        for item in compared
        if item["analyte"] == "organic_matter"
        and item.get("verdict") == "no-difference-shown"
        and item.get("ci_low") is not None
        and item["ci_low"] * item["ci_high"] > 0
    ]
    if not leans:
        return []
    said = [
        f"{beds_called(item['group'])} against {beds_called(item['reference'])} "
        f"{difference(item, Scale.of(item['unit'], system))}"
        for item in leans
    ]
    return [
        f"Organic matter leans apart, but as chance can among so many comparisons: {'; '.join(said)}. "
        "One more year can decide it."
    ]


def _undecided(compared: Sequence[Json]) -> list[str]:
    """Say for which tests no difference between groups of beds is shown; name them where they are few."""
    shown = {str(item["analyte"]) for item in compared if item.get("verdict") in DIFFERS}
    tests = [name for name in dict.fromkeys(str(item["analyte"]) for item in compared) if name not in shown]
    if not tests:
        return []
    which = listed([analyte_in_text(name) for name in tests])
    if len(tests) > MOST_NAMED:
        which = f"{len(tests)} of {len(tests) + len(shown)} tests"
    return [f"That beds with a treatment changed unlike the others is not shown for {which}."]


def overview(
    given: ReportInput,
    names: Names,
    tests: Sequence[str],
    doubts: Doubts,
    rows: Mapping[str, Rows],
) -> Overview:
    """Return every bed and every test at a glance; of very many beds only those with something to say."""
    table: dict[tuple[str, str], list[Trend]] = {}
    for trend in given.trends:
        table.setdefault((trend.bed, trend.analyte), []).append(trend)
    amended = {bed.bed: "amended" if bed.amended else "unamended" for bed in given.garden.beds}
    made = [
        OverviewRow(
            names.bed(bed),
            amended.get(bed, ""),
            tuple(
                _cell(
                    f"{bed}, {analyte_in_text(test)}",
                    test,
                    _seen(table.get((bed, test), ()), names, doubts),
                    given.garden.units,
                )
                for test in tests
            ),
        )
        for bed in names.beds
        if bed in rows
    ]
    shown = made if len(made) <= MOST_ROWS else [row for row in made if _speaks(row)][:MOST_ROWS]
    columns = tuple((test, analyte_short(test), analyte_name(test)) for test in tests)
    return Overview(columns, tuple(shown), len(made) - len(shown))


def _speaks(row: OverviewRow) -> bool:
    return any(cell.doubtful or cell.kind in VERBS for cell in row.cells)


def _cell(what: str, test: str, seen: "_Seen | None", system: str) -> Cell:
    if seen is None:
        return Cell("none", False, f"{what}: no value", "", test)
    scale = Scale.of(seen.trend.unit, system)
    interval = interval_text(seen.trend, scale)
    text = f"{what}: {headline(seen.trend, scale)}{f', interval {interval}' if interval else ''}"
    text += ", hard to believe" if seen.doubtful else ""
    return Cell(kind_of(seen.trend), seen.doubtful, text, seen.href, test)


@dataclass(frozen=True, slots=True)
class _Seen:
    """The series that speaks for a bed and test (the strongest of several methods), and any doubt."""

    trend: Trend
    doubtful: bool
    href: str


def _seen(trends: Sequence[Trend], names: Names, doubts: Doubts) -> _Seen | None:
    if not trends:
        return None
    best = min(trends, key=lambda trend: STRENGTH.index(kind_of(trend)))
    return _Seen(best, any(doubts.of_trend(trend) for trend in trends), f"#{names.figure(best)}")


def hero_test(given: ReportInput, tests: Sequence[str]) -> str:
    """Return the test of the first picture: organic matter, else the first test with a fitted line."""
    fitted = [trend.analyte for trend in given.trends if trend.slope_per_year is not None]
    return next((test for test in tests if test in fitted), "")

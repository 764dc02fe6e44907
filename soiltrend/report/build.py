"""From everything that was found out to the page as data."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from soiltrend.report.ahead import plan_tables
from soiltrend.report.argued import cautions, claim_views, finding_views, warnings
from soiltrend.report.beds import Names, bed_order, bed_views, test_order
from soiltrend.report.charts import Told, chart_title, story
from soiltrend.report.doubts import Doubts
from soiltrend.report.downloads import links
from soiltrend.report.glossary import glossary
from soiltrend.report.model import (
    FileRead,
    Picture,
    Report,
    ReportInput,
    Rows,
)
from soiltrend.report.put_on import applications, balance_tables
from soiltrend.report.rows import copies_of, places_of, rows_of
from soiltrend.report.series import VERBS, Scale, kind_of
from soiltrend.report.side import side_notes, side_views
from soiltrend.report.summary import changed, doubted, hero_test, overview, summary_text, unsaid
from soiltrend.report.words import analyte_name, long_date
from soiltrend.trends import Trend

# Above this many rows the table would print on dozens of pages; the CSV has them.
MOST_PRINTED_ROWS = 600


def build_model(given: ReportInput) -> Report:
    """Return the page as data: no HTML, no file is read but the words in ``soiltrend/data``."""
    doubts = Doubts(given.findings)
    rows = rows_of(given.observations, doubts, given.garden.units)
    names = Names.of(bed_order(given, rows))
    tests = test_order(given.trends, rows)
    findings = finding_views(doubts, names, places_of(rows))
    beds = bed_views(given, rows, names, tests, doubts)
    downloads, by_bed = links(given)
    years = _years(rows)
    terms = glossary()
    return Report(
        title=given.garden.name or "The garden",
        made_on=long_date(given.today),
        version=given.version,
        summary=summary_text(given, rows),
        changed=changed(given, names, tests, doubts),
        doubted=doubted(findings),
        unsaid=unsaid(given, doubts),
        picture=_picture(given, tests, doubts),
        overview=overview(given, names, tests, doubts, rows),
        findings=findings,
        sides=side_views(given, names, tests, doubts),
        side_notes=side_notes(given.comparisons),
        beds=tuple(replace(bed, csv=by_bed.get(bed.name)) for bed in beds),
        applications=applications(given.garden),
        balance=balance_tables(given.balance, given.garden.units),
        claims=claim_views(given.claims, given.garden.units),
        advice=tuple(given.advice),
        plan=plan_tables(given.plan, given.garden.units),
        cautions=cautions(doubts, names),
        warnings=warnings(given.cautions),
        glossary=terms,
        files_read=_files_read(given),
        files_not_read=tuple(file for file in given.files if not file.rows),
        downloads=downloads,
        analytes=tuple((test, analyte_name(test)) for test in tests),
        first_year=min(years) if years else None,
        last_year=max(years) if years else None,
        print_rows=len(given.observations) <= MOST_PRINTED_ROWS,
        terms={term.id: term for term in terms},
    )


def _files_read(given: ReportInput) -> tuple[FileRead, ...]:
    copies = copies_of(given.observations)
    return tuple(
        replace(file, messages=(f"the same as {copies[file.source]}: it counts once", *file.messages))
        if file.source in copies
        else file
        for file in given.files
        if file.rows
    )


def _years(rows: Mapping[str, Rows]) -> list[int]:
    days = [visit.day[:4] for part in rows.values() for visit, _ in part.visits]
    return [int(day) for day in days if day.isdigit()]


def _picture(given: ReportInput, tests: Sequence[str], doubts: Doubts) -> Picture | None:
    test = hero_test(given, tests)
    trends = [trend for trend in given.trends if trend.analyte == test and trend.points]
    if not trends:
        return None
    scale = Scale.of(trends[0].unit, given.garden.units)
    told = [Told(trend, _role(trend, doubts)) for trend in trends]
    return story(told, scale, chart_title(test, scale), _picture_text(told))


def _role(trend: Trend, doubts: Doubts) -> str:
    if doubts.of_trend(trend):
        return "doubtful"
    return "changed" if kind_of(trend) in VERBS else "plain"


def _picture_text(told: Sequence[Told]) -> str:
    roles = {role: [item.trend.bed for item in told if item.role == role] for role in ("changed", "doubtful")}
    plain = len(told) - sum(map(len, roles.values()))
    parts = []
    if roles["changed"]:
        parts.append(f"bold: changed beyond the noise ({', '.join(roles['changed'][:5])})")
    if roles["doubtful"]:
        parts.append(f"dashed, hollow: hard to believe ({', '.join(roles['doubtful'][:5])})")
    if plain:
        parts.append(f"thin: no change shown ({plain})")
    text = "; ".join(parts)
    gaps = any(item.trend.breaks for item in told)
    return (
        f"{text[:1].upper()}{text[1:]}. The bar on the left is the noise of one report."
        f"{' A gap is a break: another laboratory, method or depth.' if gaps else ''}"
    )

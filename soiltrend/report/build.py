"""From everything that was found out to the page as data."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from soiltrend.report.argued import cautions, claim_views, finding_views
from soiltrend.report.beds import Names, amount_text, bed_order, bed_views, test_order
from soiltrend.report.charts import Told, chart_title, story
from soiltrend.report.doubts import Doubts
from soiltrend.report.downloads import bed_links, links
from soiltrend.report.glossary import glossary
from soiltrend.report.model import (
    Application,
    BedView,
    Json,
    Picture,
    Report,
    ReportInput,
    Table,
)
from soiltrend.report.rows import rows_of
from soiltrend.report.series import VERBS, Scale, kind_of
from soiltrend.report.side import side_views
from soiltrend.report.summary import changed, doubted, hero_test, overview, summary_text, unsaid
from soiltrend.report.words import analyte_name, depth, long_date
from soiltrend.trends import Trend

# Above this many rows the table would print on dozens of pages; the CSV has them.
MOST_PRINTED_ROWS = 1500


def build_model(given: ReportInput) -> Report:
    """Return the page as data: no HTML, no file is read but the words in ``soiltrend/data``."""
    doubts = Doubts(given.findings)
    rows = rows_of(given.observations, doubts, given.garden.units)
    names = Names.of(bed_order(given, rows))
    tests = test_order(given.trends, rows)
    findings = finding_views(doubts, names, rows)
    beds = bed_views(given, rows, names, tests, doubts)
    downloads = links(given)
    if not any(link.name == "observations.csv" for link in downloads):
        beds = _with_links(beds, given)
    years = [row.day[:4] for part in rows.values() for row in part if row.day[:4].isdigit()]
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
        side_note="",
        beds=beds,
        applications=_applications(given),
        balance=_tables(given.balance),
        claims=claim_views(given.claims, given.garden.units),
        advice=tuple(given.advice),
        plan=_tables(given.plan),
        cautions=cautions(doubts, names),
        warnings=tuple(given.cautions),
        glossary=terms,
        files_read=tuple(file for file in given.files if file.rows),
        files_not_read=tuple(file for file in given.files if not file.rows),
        downloads=downloads,
        analytes=tuple((test, analyte_name(test)) for test in tests),
        first_year=int(min(years)) if years else None,
        last_year=int(max(years)) if years else None,
        print_rows=len(given.observations) <= MOST_PRINTED_ROWS,
        terms={term.id: term for term in terms},
    )


def _with_links(beds: Sequence[BedView], given: ReportInput) -> tuple[BedView, ...]:
    by_bed = bed_links(given)
    return tuple(replace(bed, csv=by_bed.get(bed.name)) for bed in beds)


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
    return f"{text[:1].upper()}{text[1:]}."


def _applications(given: ReportInput) -> tuple[Application, ...]:
    return tuple(
        Application(
            day=item.date.isoformat(),
            bed=item.bed,
            material=item.material,
            amount=amount_text(item),
            placed=_placed(item.mixed_to_cm, given.garden.units),
            notes=item.notes,
        )
        for item in sorted(given.garden.amendments, key=lambda item: item.date)
    )


def _placed(mixed_to_cm: float | None, system: str) -> str:
    if mixed_to_cm is None:
        return ""
    return "left on top" if mixed_to_cm == 0 else f"mixed in, {depth(0, mixed_to_cm, system)}"


def _tables(records: Sequence[Json]) -> tuple[Table, ...]:
    if not records:
        return ()
    heads = tuple(dict.fromkeys(key for record in records for key in record))
    rows = tuple(tuple(_text(record.get(key)) for key in heads) for record in records)
    return (Table("", tuple(head.replace("_", " ") for head in heads), rows),)


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_text(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(_text(item) for item in value)
    return f"{value:.3g}" if isinstance(value, float) else str(value)

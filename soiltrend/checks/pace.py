"""Rises faster than documented for what was put on: the ceilings of trials, farm records and gardens."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from soiltrend.balance import Balance, Layer, layer_of, needed_for
from soiltrend.checks.causes import Case, weigh
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding
from soiltrend.checks.panels import Panel
from soiltrend.checks.records import own_effects
from soiltrend.checks.rises import ORGANIC, Rise, rises
from soiltrend.checks.selection import luck_effect
from soiltrend.checks.telling import next_step
from soiltrend.checks.wording import amount, analyte_name, change, day, figure, printed, sentence
from soiltrend.data import load_toml


@dataclass(frozen=True)
class Ceiling:
    """The fastest rise per year that is documented for what was put on, in the unit of the analyte.

    ``kind`` is ``none``, ``farm``, ``garden`` or ``unknown``; ``known`` whether records say what was put on.
    """

    kind: str
    per_year: float
    words: str
    source: str

    @property
    def known(self) -> bool:
        """Whether the garden's records say what was put on."""
        return self.kind != "unknown"


def faster_than_documented(evidence: Evidence) -> Iterable[Finding]:
    """Find beds that rose faster than anything documented at what was put on."""
    belief = float(load_toml("check_ceilings")["doubtful"]["belief"])
    ceilings = load_toml("check_ceilings")
    for rise in rises(evidence):
        if rise.panel.analyte not in ceilings:
            continue
        ceiling = ceiling_of(rise, evidence)
        most = ceiling.per_year * max(rise.years, 1.0)
        if rise.change > most and rise.belief_above(most) >= belief:
            yield _finding(rise, ceiling, most, evidence)


def ceiling_of(rise: Rise, evidence: Evidence) -> Ceiling:
    """Return the ceiling for a rise by what the records say was put on in its time."""
    row = load_toml("check_ceilings")[rise.panel.analyte]
    kind, per_year = _kind(rise, row, evidence)
    return Ceiling(kind, per_year * _thinness(rise.panel), row[f"{kind}_words"], row["source"])


def alone(rise: Rise) -> float:
    """Return the largest rise documented in the time of this one without anything put on."""
    row = load_toml("check_ceilings").get(rise.panel.analyte)
    return float(row["none"]) * _thinness(rise.panel) * max(rise.years, 1.0) if row else 0.0


def _thinness(panel: Panel) -> float:
    """Return how many times more the same mass shows in this layer; pH is no mass."""
    if panel.analyte == "ph":
        return 1.0
    top, bottom = panel.depth
    return float(load_toml("check_ceilings")["layer"]["depth_cm"]) / max(bottom - top, 1.0)


def _kind(rise: Rise, row: dict[str, Any], evidence: Evidence) -> tuple[str, float]:
    balance = evidence.balance
    if balance is None or not balance.recorded:
        return "unknown", float(row["unknown"])
    start, end = span_of(rise, evidence)
    put_on = balance.total(rise.name, start, end)
    if rise.panel.analyte not in ORGANIC:
        return (
            ("none", float(row["none"])) if put_on.dry_mass.high == 0 else ("unknown", float(row["unknown"]))
        )
    yearly = put_on.organic_matter.high / max(rise.years, 1.0)
    if yearly == 0:
        return "none", float(row["none"])
    if yearly <= row["farm_kg_per_year"]:
        return "farm", float(row["farm"])
    return "garden", max(float(row["garden_per_kg"]) * yearly, float(row["farm"]))


def span_of(rise: Rise, evidence: Evidence) -> tuple[date, date]:
    """Return the time in which something put on can have made the rise: from one report before its start."""
    columns = list(rise.columns)
    before = columns[max(columns.index(rise.first) - 1, 0)]
    return rise.date(before, evidence).date(), rise.date(rise.last, evidence).date()


def causes_of(rise: Rise, evidence: Evidence) -> tuple[Cause, ...]:
    """Return the weighed causes of a rise."""
    panel = rise.panel
    columns = [int(c) for c in rise.columns if rise.first < c <= rise.last]
    steps = [panel.y[rise.bed, c] - panel.y[rise.bed, c - 1] for c in columns]
    jump = columns[int(np.nanargmax(steps))] if not np.isnan(steps).all() else rise.last
    start, end = span_of(rise, evidence)
    case = Case(
        panel=panel,
        bed=rise.name,
        round=int(panel.rounds[jump]),
        turn=int(panel.rounds[jump]),
        since=int(panel.rounds[rise.first]),
        looks=rise.looks,
        ramp=(float(panel.years[rise.first]), float(panel.years[rise.last])),
        own_effects=own_effects(panel, rise.name, (start, end), rise.start, evidence)
        | luck_effect(panel, rise.name, evidence),
    )
    return weigh(case, evidence)


def _finding(rise: Rise, ceiling: Ceiling, most: float, evidence: Evidence) -> Finding:
    causes = causes_of(rise, evidence)
    help_text = load_toml("check_help")["faster-than-documented"]
    beyond = ceiling.known and ceiling.kind != "garden" and rise.least > most
    moved, years = rise.printed_change, max(rise.years, 1.0)
    rate = rise.change / years
    taken, unit = taken_words(rise, evidence), rise.panel.unit
    text = (
        f"{rise.name}: {analyte_name(rise.panel.analyte)} rose from about {amount(rise.start, unit, 2)} to "
        f"about {amount(rise.end, unit, 2)} between {day(rise.date(rise.first, evidence))} and "
        f"{day(rise.date(rise.last, evidence))}: {change(rate, False, unit)} a year. "
        f"{sentence(ceiling.words)}."
    )
    return Finding(
        code="faster-than-documented",
        severity="unbelievable" if beyond else "doubtful",
        bed=rise.name,
        analyte=rise.panel.analyte,
        observations=evidence.places_of(rise.rows()),
        text=with_taken(text, taken, evidence),
        numbers=rise_numbers(rise, evidence)
        | {
            "per_year": round(rate, 4),
            "ceiling_per_year": round(ceiling.per_year, 4),
            "inputs": ceiling.kind,
        },
        causes=causes,
        next_step=next_step(causes, rise.panel.analyte),
        arithmetic=(
            *rise_lines(rise, evidence),
            f"{figure(moved)} ÷ {figure(years)} years = {figure(printed(moved) / printed(years))} a year, "
            f"against {figure(ceiling.per_year)} a year at the most",
            *((taken,) if taken else ()),
        ),
        would_change=help_text["would_change"],
    )


def rise_numbers(rise: Rise, evidence: Evidence) -> dict[str, object]:
    """Return the numbers that every finding about a rise carries."""
    return {
        "from": round(rise.start, 4),
        "to": round(rise.end, 4),
        "change": round(rise.change, 4),
        "least_change": round(rise.least, 4),
        "unit": rise.panel.unit,
        "start": rise.date(rise.first, evidence).date().isoformat(),
        "end": rise.date(rise.last, evidence).date().isoformat(),
        "years": round(rise.years, 2),
        "looks": rise.looks,
    }


def rise_lines(rise: Rise, evidence: Evidence) -> tuple[str, ...]:
    """Return the reports of the bed and the rise read from them, line by line."""
    reports = [f"{rise.date(c, evidence).year}: {figure(v)}" for c, v in rise.printed()]
    unit = rise.panel.unit
    return (
        f"{rise.name}, {analyte_name(rise.panel.analyte)} by year: {', '.join(reports)}",
        f"level before {amount(rise.start, unit)}, after {amount(rise.end, unit)}: {figure(rise.end)} − "
        f"{figure(rise.start)} = {figure(rise.printed_change)}; at least {figure(rise.least)}, as one report "
        f"scatters by {rise.panel.prior.text} and {rise.looks} series of this garden were looked at",
    )


def with_taken(text: str, taken: str, evidence: Evidence) -> str:
    """Add what it would have taken where nothing is recorded; elsewhere it ends the arithmetic."""
    recorded = evidence.balance is not None and evidence.balance.recorded
    return text if recorded or not taken else f"{text} {taken}"


def taken_words(rise: Rise, evidence: Evidence) -> str:
    """Return what the rise would have taken, empty where the balance knows nothing of the analyte."""
    balance = evidence.balance or Balance(garden=evidence.garden, today=rise.date(rise.last, evidence).date())
    layer = layer_for(rise.panel, rise.name, rise.start, evidence)
    taken = needed_for(
        balance, rise.name, rise.panel.analyte, rise.change, start_value=rise.start, layer=layer
    )
    return f"What it would have taken: {taken.text}" if taken is not None else ""


def layer_for(panel: Panel, bed: str, level: float, evidence: Evidence) -> Layer:
    """Return the sampled layer of a bed, its bulk density estimated from organic matter if need be."""
    return layer_of(
        evidence.garden,
        evidence.bed(bed),
        depth_from_cm=panel.depth[0],
        depth_to_cm=panel.depth[1],
        organic_matter_pct=level if panel.analyte == "organic_matter" else None,
    )

"""What next year's sampling can and cannot show, and how to go about it.

The power of the trend's interval is exact by one quadrature, so the smallest change that a series will show
follows from its real dates and those to come; so does what each improvement is worth in years of testing.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.comparison.groups import UNAMENDED, Pair, pairs
from soiltrend.comparison.samples import gather
from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.planning.advice import advice, earned_text
from soiltrend.planning.ahead import difference_ahead
from soiltrend.planning.alike import earlier_lab, warnings
from soiltrend.planning.design import testable_year
from soiltrend.planning.levers import control_lever, levers
from soiltrend.planning.model import (
    DifferenceAhead,
    Horizon,
    Lever,
    Outlook,
    Plan,
    SheetRow,
    Visit,
    Warning,
)
from soiltrend.planning.outlook import outlook
from soiltrend.planning.schedule import OWN_MEASUREMENT, future_visits, next_visit, sheet
from soiltrend.planning.tables import COLUMNS, to_records
from soiltrend.records.models import Garden
from soiltrend.trends import Trend

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "COLUMNS",
    "DifferenceAhead",
    "Horizon",
    "Lever",
    "Outlook",
    "Plan",
    "SheetRow",
    "Visit",
    "Warning",
    "earned_text",
    "plan",
    "testable_year",
    "to_records",
]

NO_TEST = "No dated test so far: add a report, and the plan follows from it."


def plan(
    observations: "pd.DataFrame", trends: Sequence[Trend], garden: Garden, noise: Noise, today: date
) -> Plan:
    """Plan the next sampling of a garden.

    Parameters
    ----------
    observations : DataFrame
        The long table.
    trends : sequence of Trend
        The fitted series; their dates, segments and learned noise decide what later tests can show.
    garden : Garden
        Beds and the sampling that garden.toml plans.
    noise : Noise
        The parts of one report's noise.
    today : date
        The next visit is after it.

    Returns
    -------
    Plan
        Without a dated test there is no visit yet, and ``advice`` says so.
    """
    visit = next_visit(observations, garden, noise, today)
    if visit is None:
        return Plan(garden=garden.name, advice=(NO_TEST,))
    rules = load_toml("planning")["horizons"]
    future = future_visits(visit, int(rules["furthest"]) + int(rules["lever_tests"]))
    made = Plan(
        garden=garden.name,
        visit=visit,
        outlooks=tuple(found for trend in trends if (found := outlook(trend, future)) is not None),
        differences=tuple(_differences(observations, trends, garden, noise, future)),
        levers=tuple(_levers(observations, trends, garden, noise, future)),
        warnings=warnings(observations, garden, visit),
        sheet=sheet(observations, garden, visit),
        future=future,
    )
    return replace(made, advice=advice(made, visit, garden.units))


def _differences(
    observations: "pd.DataFrame",
    trends: Sequence[Trend],
    garden: Garden,
    noise: Noise,
    future: Sequence[date],
) -> list[DifferenceAhead]:
    return [
        difference_ahead(samples, pair, noise, future)
        for samples in gather(observations, trends)
        for pair in pairs(garden)
        if pair.beds and pair.reference_beds
    ]


def _levers(
    observations: "pd.DataFrame",
    trends: Sequence[Trend],
    garden: Garden,
    noise: Noise,
    future: Sequence[date],
) -> list[Lever]:
    """Return the levers of every analyte; that of a control bed for the widest comparison."""
    tested = [trend for trend in trends if trend.method != OWN_MEASUREMENT]
    analytes, lab = dict.fromkeys(trend.analyte for trend in tested), earlier_lab(observations)
    found = [
        lever
        for analyte in analytes
        for lever in levers(analyte, [t for t in tested if t.analyte == analyte], noise, future, lab)
    ]
    widest = _widest(pairs(garden))
    if widest is not None:
        found += [control_lever(s, widest, noise, future) for s in gather(observations, trends)]
    return found


def _widest(found: Sequence[Pair]) -> Pair | None:
    """Return the comparison with most beds among those with the unamended."""
    return max(
        (pair for pair in found if pair.reference == UNAMENDED),
        key=lambda pair: len(pair.beds) + len(pair.reference_beds),
        default=None,
    )

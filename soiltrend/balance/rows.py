"""The balance as a table: what was put on, and per bed what it can have changed."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from soiltrend.balance.contents import QUANTITIES, Contents
from soiltrend.balance.layer import layer_of
from soiltrend.balance.model import Balance
from soiltrend.balance.outcome import Possible
from soiltrend.balance.wording import pounds_per_1000_ft2, rounded

if TYPE_CHECKING:
    from soiltrend.trends import Trend

COLUMNS = (
    "bed",
    "what",
    "year",
    "quantity",
    "low",
    "typical",
    "high",
    "unit",
    "largest",
    "observed",
    "observed_low",
    "observed_high",
)
PUT_ON = "put on"
CHANGE = "change"
_SHOWN = tuple(quantity for quantity in QUANTITIES if quantity != "char_matter")


def to_records(balance: Balance, trends: "Sequence[Trend]" = ()) -> list[dict[str, Any]]:
    """Return one row per bed, year (or ``total``), quantity and unit, then one per bed and fitted change.

    Rows ``put on``: low, typical and high of what was put on, in kg/m2 and in lb/1000 ft2. Rows
    ``change``: what a test could show from the first to the last report (expected low, typical, high,
    and the largest with nothing lost) beside what the tests show with its interval. A bed without
    applications has no rows ``put on``.
    """
    rows = [row for bed in balance.beds for row in _put_on(balance, bed.bed)]
    changes = [row for trend in trends if (row := change_record(balance, trend)) is not None]
    return rows + changes


def _put_on(balance: Balance, bed: str) -> Iterable[dict[str, Any]]:
    years = balance.yearly(bed)
    if not years:
        return
    totals: list[tuple[str, Contents]] = [(str(year), held) for year, held in years.items()]
    for year, held in [*totals, ("total", balance.total(bed))]:
        for quantity in _SHOWN:
            for unit, factor in (("kg/m2", 1.0), ("lb/1000 ft2", pounds_per_1000_ft2())):
                value = held[quantity] * factor
                yield _row(
                    bed=bed,
                    what=PUT_ON,
                    year=year,
                    quantity=quantity,
                    low=value.low,
                    typical=value.typical,
                    high=value.high,
                    unit=unit,
                )


def change_record(balance: Balance, trend: "Trend") -> dict[str, Any] | None:
    """Return what the tests of one series show beside what was possible.

    None where the balance says nothing of the analyte, no application is recorded at all, or no
    change could be fitted.
    """
    possible = possible_for(balance, trend)
    if possible is None or not possible.recorded or trend.total_change is None:
        return None
    return _row(
        bed=trend.bed,
        what=CHANGE,
        year=f"{possible.start.year}-{possible.end.year}",
        quantity=trend.analyte,
        low=possible.expected.low,
        typical=possible.expected.typical,
        high=possible.expected.high,
        unit=trend.unit,
        largest=possible.zero_loss,
        observed=trend.total_change,
        observed_low=trend.total_low,
        observed_high=trend.total_high,
    )


def possible_for(balance: Balance, trend: "Trend") -> Possible | None:
    """Return what was possible between the first and last report of a series, from its fitted start.

    The start is where the fitted line of the latest stretch ends, less its rise: a series that was
    broken by another method or lab has its latest level throughout.
    """
    start = _start(trend)
    if start is None or trend.first_on is None or trend.last_on is None or trend.first_on == trend.last_on:
        return None
    known = start if trend.analyte == "organic_matter" else None
    return balance.possible(
        trend.bed,
        trend.analyte,
        trend.first_on,
        trend.last_on,
        start,
        layer_of(balance.garden, balance.bed(trend.bed), organic_matter_pct=known),
        method=trend.method,
        unit=trend.unit,
    )


def _start(trend: "Trend") -> float | None:
    end = trend.points[-1].fitted if trend.points else None
    if end is None or trend.total_change is None:
        return trend.first_value
    return max(0.0, end - trend.total_change)


def _row(**given: Any) -> dict[str, Any]:
    cells = {column: given.get(column) for column in COLUMNS}
    return {name: rounded(cell) if isinstance(cell, float) else cell for name, cell in cells.items()}

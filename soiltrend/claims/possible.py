"""The highest level that what was put on a bed allows at the end of a fitted series."""

from __future__ import annotations

from typing import TYPE_CHECKING

from soiltrend.claims.evidence import Limit, Possible
from soiltrend.claims.words import shown_unit, unit_word
from soiltrend.trends import Trend
from soiltrend.trends.words import analyte_name

if TYPE_CHECKING:
    from soiltrend.balance import Balance


def most_possible(balance: Balance) -> Possible:
    """Return the bound of a garden's balance as statements need it: None where nothing was recorded."""

    def limit(bed: str, trend: Trend) -> Limit | None:
        if trend.first_on is None or trend.last_on is None or trend.level is None:
            return None
        start = trend.points[0].fitted or trend.first_value or trend.level
        found = balance.possible(
            bed, trend.analyte, trend.first_on, trend.last_on, start, method=trend.method, unit=trend.unit
        )
        if found is None or not found.recorded:
            return None
        most = start + max(found.zero_loss, 0.0)
        unit = unit_word(shown_unit(trend.unit, balance.garden.units), change=False)
        by = unit_word(shown_unit(trend.unit, balance.garden.units), change=True)
        text = (
            f"{bed}: everything put on from {trend.first_on.year} to {trend.last_on.year}, with nothing "
            f"lost, could have raised {analyte_name(trend.analyte)} by {found.zero_loss:.2g} {by} at most, "
            f"to {most:.3g} {unit}".rstrip()
            + "."
        )
        return Limit(most, text, found.arithmetic)

    return limit

"""Trends as records and as a table: exactly the keys of the JSON, in their order."""

import math
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from soiltrend.trends.model import Trend

if TYPE_CHECKING:
    import pandas as pd

KEYS = (
    "bed",
    "analyte",
    "unit",
    "method",
    "segments",
    "n",
    "first_on",
    "last_on",
    "first_value",
    "last_value",
    "slope_per_year",
    "ci_low",
    "ci_high",
    "ci_level",
    "p_value",
    "total_change",
    "smallest_detectable",
    "estimator",
    "p_adjusted",
    "verdict",
)


def to_records(trends: Sequence[Trend]) -> list[dict[str, Any]]:
    """Return one dictionary per trend with the keys of the JSON; None where a key does not apply."""
    return [{key: _plain(getattr(trend, key)) for key in KEYS} for trend in trends]


def to_frame(trends: Sequence[Trend]) -> "pd.DataFrame":
    """Return the same as a table, one row per trend; numbers that do not apply are missing."""
    import pandas as pd

    return pd.DataFrame(to_records(trends), columns=list(KEYS))


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value

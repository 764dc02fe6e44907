"""Any table that the readers could hand on: no crash, no number that is not one, no claim without ground."""

import json
import math
import re

import pandas as pd
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from soiltrend.noise import Noise
from soiltrend.observations import COLUMNS
from soiltrend.trends import fit_trends, garden_trends, to_records
from tests.trends.tables import UNITS

NOISE = Noise()
ANALYTES = ["organic_matter", "ph", "zinc", "base_saturation_k", "leaf_area"]

row = st.fixed_dictionaries(
    {
        "bed": st.sampled_from(["Bed 1", "Bed 2", "Löß <b>", ""]),
        "analyte": st.sampled_from(ANALYTES),
        "sampled_on": st.one_of(
            st.none(), st.dates(pd.Timestamp("2010-01-01").date(), pd.Timestamp("2016-12-31").date())
        ),
        "value": st.one_of(
            st.none(),
            st.sampled_from([0.0, 0.5, 1.0, 1e-9, 1e12, -3.0]),
            st.floats(0.01, 500).map(lambda v: round(v, 2)),
        ),
        "qualifier": st.sampled_from(["", "", "", "<", ">"]),
        "value_printed": st.sampled_from(["", "4", "0", "0.00", "4,25", "n. d.", "1.234,5 H", "²"]),
        "method": st.sampled_from(["", "x", "y"]),
        "lab": st.sampled_from(["", "A", "B"]),
        "depth_from_cm": st.sampled_from([None, 0.0]),
        "depth_to_cm": st.sampled_from([None, 15.0, 15.24, 30.0]),
        "notes": st.sampled_from(["", "", "low-confidence", "duplicate-of:a", "impossible-value"]),
    }
)


def as_table(parts: list[dict]) -> pd.DataFrame:
    frame = pd.DataFrame(parts, columns=list(COLUMNS))
    frame["unit"] = frame["analyte"].map(lambda analyte: UNITS.get(analyte, "%"))
    frame["sampled_on"] = pd.to_datetime(frame["sampled_on"])
    return frame


def check(trend) -> None:
    record = to_records([trend])[0]
    json.dumps(record, allow_nan=False)
    assert trend.n >= 1
    assert trend.first_on <= trend.last_on
    assert trend.verdict in {"rising", "falling", "no-change-shown", "too-few"}
    assert (trend.slope_per_year is None) == (trend.verdict == "too-few")
    assert not re.search(r"\b(nan|None|inf)\b", trend.sentence)
    if trend.slope_per_year is None:
        return
    assert trend.ci_low <= trend.slope_per_year <= trend.ci_high
    assert trend.total_low <= trend.total_change <= trend.total_high
    assert trend.smallest_detectable > 0
    assert trend.span_years > 0
    if trend.verdict == "rising":
        assert trend.ci_low > 0
    if trend.verdict == "falling":
        assert trend.ci_high < 0
    if trend.p_value is not None:
        assert 0 <= trend.p_value <= trend.p_adjusted <= 1
        assert trend.n >= 4
    for point in trend.points:
        assert math.isfinite(point.noise_low)
        assert math.isfinite(point.noise_high)
        assert (point.fitted is None) == (point.low is None) == (point.high is None)


@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(row, max_size=25))
def test_any_table_gives_honest_trends(parts: list[dict]) -> None:
    frame = as_table(parts)
    trends = fit_trends(frame, NOISE)
    kept = [point.row for trend in trends for point in trend.points]
    assert len(set(kept)) == len(kept)
    for trend in trends:
        check(trend)
    for trend in garden_trends(frame, NOISE):
        check(trend)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(row, min_size=1, max_size=20))
def test_every_usable_row_is_in_exactly_one_series(parts: list[dict]) -> None:
    frame = as_table(parts)
    out = frame["notes"].str.contains("duplicate-of|impossible-value")
    raw = frame["analyte"].isin(["ph", "base_saturation_k"])
    usable = frame["value"].notna() & frame["sampled_on"].notna() & ~out & (raw | (frame["value"] >= 0))
    kept = sorted(point.row for trend in fit_trends(frame, NOISE) for point in trend.points)
    assert kept == sorted(frame.index[usable].tolist())

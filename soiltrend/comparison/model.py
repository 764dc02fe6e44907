"""What a comparison says: plain data, for tables, JSON and the page."""

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Literal

from soiltrend.comparison.mixed import SecondOpinion

Verdict = Literal["group-rose-more", "group-rose-less", "no-difference-shown", "too-few"]
Kind = Literal["treatment", "bed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BedSlope:
    """Change of one bed per year in the comparison's ``unit``, against the mean of all beds compared.

    Where the groups share their visits (``Comparison.years_shared``) only differences between beds mean
    anything; else it is the bed's own change. ``reports`` is how many reports it rests on.
    """

    bed: str
    group: str
    change_per_year: float
    reports: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One group of beds against another: first the JSON of ``soiltrend compare``, then the rest.

    ``difference_per_year`` is in ``unit`` per year at the level of the beds compared; ``percent_*`` the
    same as a share of that level per year (None on a raw scale such as pH). ``no_larger_than`` is the
    smallest difference per year that two one-sided tests at 5 % rule out. ``p_value`` is that of the
    permutation where ``estimator`` says so. ``cautions`` are sentences a reader needs beside the number.
    """

    analyte: str
    unit: str
    group: str
    reference: str
    beds: tuple[str, ...]
    reference_beds: tuple[str, ...]
    difference_per_year: float | None = None
    ci_low: float | None = None
    ci_high: float | None = None
    ci_level: float
    p_value: float | None = None
    estimator: str = ""
    verdict: Verdict = "too-few"

    kind: Kind = "treatment"
    method: str = ""
    p_adjusted: float | None = None
    percent_per_year: float | None = None
    percent_low: float | None = None
    percent_high: float | None = None
    no_larger_than: float | None = None
    permutation_p: float | None = None
    smallest_possible_p: float | None = None
    second_opinion: SecondOpinion | None = None
    pooled_difference: float | None = None
    pooled_low: float | None = None
    pooled_high: float | None = None
    spread_per_year: float | None = None
    spread_at_most: float | None = None
    expected_fake_rise: float | None = None
    capped: bool = False
    years_shared: bool = True
    visits: int = 0
    first_on: date | None = None
    last_on: date | None = None
    slopes: tuple[BedSlope, ...] = ()
    sentence: str = ""
    cautions: tuple[str, ...] = ()

    def record(self) -> dict[str, Any]:
        """Return the row for JSON: the keys of the interface first."""
        return asdict(self)


COLUMNS = (
    "analyte",
    "unit",
    "group",
    "reference",
    "beds",
    "reference_beds",
    "difference_per_year",
    "ci_low",
    "ci_high",
    "ci_level",
    "p_value",
    "p_adjusted",
    "estimator",
    "verdict",
    "sentence",
)


def to_records(comparisons: list[Comparison]) -> list[dict[str, Any]]:
    """Return one dictionary for each comparison; ``COLUMNS`` names those of a table."""
    return [comparison.record() for comparison in comparisons]

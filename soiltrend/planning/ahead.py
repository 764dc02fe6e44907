"""What further tests can show of the difference between treated and unamended beds."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from math import expm1

import numpy as np

from soiltrend.comparison import report_noise
from soiltrend.comparison.arrays import Flags, Floats, Labels
from soiltrend.comparison.groups import Pair
from soiltrend.comparison.samples import Samples
from soiltrend.comparison.scale import Reader
from soiltrend.comparison.slopes import shared_slopes, usable
from soiltrend.comparison.twogroup import stated_error
from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.planning.design import decimal_year
from soiltrend.planning.model import DifferenceAhead
from soiltrend.regression import detectable_delta


@dataclass(frozen=True, slots=True)
class Field:
    """The beds of one comparison as a design: dates, levels and visits, without any result."""

    years: Floats
    bed: Labels
    level: Labels
    visit: Labels
    treated: Flags

    @classmethod
    def of(cls, samples: Samples, pair: Pair) -> "Field":
        """Return the design so far of all beds of the pair, those without a report included."""
        names = pair.beds + pair.reference_beds
        ours = samples.only(samples.of(names))
        number = np.array([names.index(bed) for bed in ours.beds], dtype=np.int64)
        treated = np.arange(len(names)) < len(pair.beds)
        return cls(ours.years, number[ours.bed], ours.level, ours.visit, treated)

    def with_new_bed(self) -> "Field":
        """Return the design with one more unamended bed, not tested so far."""
        return replace(self, treated=np.append(self.treated, False))

    def then(self, days: Sequence[date]) -> "Field":
        """Return the design after visits to every bed, each on the level of its latest report."""
        beds = len(self.treated)
        levels = [self._latest_level(number) for number in range(beds)]
        first = int(self.visit.max(initial=-1)) + 1
        years = np.repeat([decimal_year(day) for day in days], beds)
        return Field(
            np.append(self.years, years),
            np.append(self.bed, np.tile(np.arange(beds), len(days))),
            np.append(self.level, np.tile(levels, len(days))),
            np.append(self.visit, np.repeat(first + np.arange(len(days)), beds)),
            self.treated,
        )

    def _latest_level(self, number: int) -> int:
        here = np.flatnonzero(self.bed == number)
        if len(here):
            return int(self.level[here[np.argmax(self.years[here])]])
        return int(self.level.max(initial=-1)) + 1 + number

    def covariance(self) -> tuple[Floats, Flags] | None:
        """Return the covariance of the bed slopes and the group of each, None without shared visits."""
        kept = usable(self.visit, self.bed, self.level, self.treated[self.bed])
        if not kept.any():
            return None
        names, bed = np.unique(self.bed[kept], return_inverse=True)
        treated = self.treated[names]
        level = np.unique(self.level[kept], return_inverse=True)[1]
        found = _covariance(
            *(a.tobytes() for a in (self.years[kept], bed.astype(np.int64), level, self.visit[kept]))
        )
        contrast = treated / treated.sum() - ~treated / (~treated).sum()
        values, vectors = np.linalg.eigh(found)
        null = vectors[:, values < 1e-9 * max(float(values.max()), 1e-9)]
        return (found, treated) if np.abs(null.T @ contrast).max(initial=0.0) < 1e-6 else None


@lru_cache(maxsize=512)
def _covariance(years: bytes, bed: bytes, level: bytes, visit: bytes) -> Floats:
    """Return the covariance of a design; analytes of one garden mostly share theirs."""
    time = np.frombuffer(years, dtype=np.float64)
    labels = [np.frombuffer(text, dtype=np.int64) for text in (bed, level, visit)]
    return shared_slopes(np.zeros(len(time)), time, *labels).covariance


def smallest_difference(field: Field, s0: float, tau0: float, *, moderated: bool = False) -> float | None:
    """Return the smallest true difference of slopes, on the fitting scale, shown with the usual chance.

    ``moderated`` keeps to the estimator for few beds: two designs then differ by their beds alone and not
    by the change of estimator at four beds a side.
    """
    found = field.covariance()
    if found is None:
        return None
    covariance, treated = found
    sides = min(int(treated.sum()), int((~treated).sum()))
    rules, power = load_toml("comparison"), load_toml("planning")["power"]
    pooled = not moderated and sides >= int(rules["pooled_t"]["beds_a_side"])
    prior = 0.0 if pooled else float(rules["prior"]["degrees_of_freedom"])
    delta = detectable_delta(prior, float(len(treated) - 2), float(power["chance"]), float(power["level"]))
    return delta * stated_error(s0**2 * covariance, treated, tau0)


def difference_ahead(samples: Samples, pair: Pair, noise: Noise, future: Sequence[date]) -> DifferenceAhead:
    """Return what the comparison of this pair could show after one, three and five more visits."""
    field, stated = Field.of(samples, pair), report_noise(samples, noise)
    reader = Reader.of(samples)
    found = {
        tests: smallest_difference(field.then(future[:tests]), stated.s0, stated.spread)
        for tests in load_toml("planning")["horizons"]["tests"]
    }
    return DifferenceAhead(
        analyte=samples.analyte,
        unit=samples.unit,
        group=pair.group,
        reference=pair.reference,
        beds=len(pair.beds),
        reference_beds=len(pair.reference_beds),
        per_year=_mapped(found, reader.unit),
        percent=_mapped(found, lambda rate: 100 * expm1(rate)) if samples.scale == "log" else {},
    )


def _mapped(found: dict[int, float | None], turn: Callable[[float], float]) -> dict[int, float | None]:
    return {tests: None if rate is None else turn(rate) for tests, rate in found.items()}

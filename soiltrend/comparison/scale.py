"""From the fitting scale back to what a grower reads."""

from dataclasses import dataclass, replace
from math import exp, expm1

from soiltrend.comparison.mixed import SecondOpinion
from soiltrend.comparison.samples import Samples


@dataclass(frozen=True, slots=True)
class Reader:
    """Turns yearly changes on the fitting scale into the analyte's unit at the level of the beds compared.

    ``level`` is the geometric mean of the results on the log scale, None on a raw scale.
    """

    level: float | None

    @classmethod
    def of(cls, used: Samples) -> "Reader":
        """Return the reader for these reports."""
        return cls(exp(float(used.values.mean())) if used.scale == "log" else None)

    def unit(self, change: float) -> float:
        """Return a change per year in the unit."""
        return change if self.level is None else self.level * expm1(change)

    def share(self, change: float) -> float | None:
        """Return a change per year as a share of the level, None on a raw scale."""
        return None if self.level is None else expm1(change)

    def opinion(self, found: SecondOpinion | None) -> SecondOpinion | None:
        """Return the mixed model's difference and standard error in the unit."""
        if found is None or self.level is None:
            return found
        se = found.se * self.level * exp(found.difference)
        return replace(found, difference=self.unit(found.difference), se=se)

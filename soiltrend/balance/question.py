"""What ``possible`` is asked: one bed, one analyte, two dates, the value at the first."""

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from soiltrend.balance.layer import Layer
from soiltrend.balance.model import Applied, Balance
from soiltrend.balance.ranges import Range
from soiltrend.balance.wording import Masses, masses


@dataclass(frozen=True, kw_only=True)
class Question:
    """A change to be bounded, with the layer it was sampled in and the method it was tested by."""

    balance: Balance
    bed: str
    analyte: str
    start: date
    end: date
    start_value: float
    layer: Layer
    method: str = ""
    organic_matter_pct: float | None = None

    @property
    def years(self) -> float:
        """Return the time between the dates in years."""
        return (self.end - self.start).days / 365.25

    @cached_property
    def applied(self) -> tuple[Applied, ...]:
        """Return what was put on between the dates, both days included."""
        return self.balance.of(self.bed, self.start, self.end)

    @cached_property
    def before(self) -> tuple[Applied, ...]:
        """Return what was put on before the first date: it acted before the baseline."""
        return tuple(one for one in self.balance.of(self.bed) if one.on < self.start)

    @cached_property
    def soil_doubt(self) -> Range:
        """Return how much more or less a kg counts because the soil's mass is only estimated."""
        mass = self.layer.mass
        return Range(mass.typical / mass.high, 1.0, mass.typical / mass.low)

    @property
    def masses(self) -> Masses:
        """Return how this garden reads masses per area."""
        return masses(self.balance.garden.units)

"""What a change could have been: the answer of ``Balance.possible``."""

from dataclasses import dataclass, field
from datetime import date

from soiltrend.balance.layer import Layer
from soiltrend.balance.ranges import Range


@dataclass(frozen=True, slots=True, kw_only=True)
class Possible:
    """How far a test could have moved between two dates, in the analyte's unit; all are changes.

    ``zero_loss``: the most that is possible if nothing was lost, everything lay in the sampled layer
    and every composition was at its rich end; never below ``expected.high``. ``inputs_only`` is its
    part from what was put on (``zero_loss`` also holds what may have grown in place).
    ``expected``: with decay, retention, mixing depth and the soil's own losses.
    ``recorded``: whether the garden's records hold applications at all; if not, the two figures are
    those of a bed on which nothing was put, and nothing can be concluded from them about inputs.
    ``char``: the part of the expected change that is char, as this method counts it (organic matter and
    carbon only). ``applied`` is the mass put on that the figure rests on, kg/m². ``stock`` holds
    fixed-depth against equal-mass stocks for the typical outcome (organic matter and carbon only).
    ``arithmetic`` can be followed line by line with a pocket calculator; ``assumed`` lists what
    was not recorded.
    """

    bed: str
    analyte: str
    unit: str
    method: str
    start: date
    end: date
    start_value: float
    layer: Layer
    recorded: bool
    zero_loss: float
    inputs_only: float
    expected: Range
    char: Range = field(default_factory=Range)
    applied: Range = field(default_factory=Range)
    applications: int = 0
    stock: "Stocks | None" = None
    arithmetic: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    def ratio(self, change: float) -> float | None:
        """Return the mass that ``change`` is in the layer over the mass put on; None where nothing was.

        Above 1 it cannot come from what was put on (organic matter and carbon only, in percent).
        """
        if self.unit != "%" or self.applied.typical <= 0:
            return None
        return self.layer.mass.typical * change / 100.0 / self.applied.typical

    @property
    def years(self) -> float:
        """Return the time between the two dates in years."""
        return (self.end - self.start).days / 365.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Stocks:
    """Organic matter in kg/m²: before, after to the same depth, after in equal mineral-soil mass.

    ``deeper_cm`` is how far the later core must go down to hold as much soil as the first.
    """

    before: float
    fixed_depth: float
    equal_mass: float
    deeper_cm: float

    @property
    def fixed_depth_pct(self) -> float:
        """Return the change at fixed depth in percent of before."""
        return 100.0 * (self.fixed_depth / self.before - 1.0)

    @property
    def equal_mass_pct(self) -> float:
        """Return the change in equal soil mass in percent of before."""
        return 100.0 * (self.equal_mass / self.before - 1.0)

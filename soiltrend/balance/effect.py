"""What a planned dose could change, and whether two single tests could tell."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from soiltrend.balance.counting import UNKNOWN
from soiltrend.balance.kinetics import approach, steady_state, yearly_steps
from soiltrend.balance.layer import Layer
from soiltrend.balance.model import Applied, Balance
from soiltrend.balance.outcome import Possible
from soiltrend.balance.ranges import Range
from soiltrend.balance.retention import retained
from soiltrend.data import load_toml
from soiltrend.records.models import Garden

if TYPE_CHECKING:
    from soiltrend.trends import Trend

ANALYTES = ("organic_matter", "phosphorus", "potassium", "ph")
_YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """One analyte's change after a year: expected beside the same bed without the dose, and the largest.

    ``visible`` is ``yes`` where the low end beats the smallest detectable difference, ``perhaps`` where
    the largest does, ``no`` where nothing does, None where the noise is not known.
    """

    what: str
    analyte: str
    unit: str
    expected: Range
    largest: float | None = None
    smallest_detectable: float | None = None

    @property
    def visible(self) -> str | None:
        """Whether two single tests, one before and one a year after, could tell."""
        if self.smallest_detectable is None:
            return None
        if self.expected.low > self.smallest_detectable:
            return "yes"
        return "perhaps" if max(self.expected.high, self.largest or 0.0) > self.smallest_detectable else "no"


def noise_levels(trends: "Iterable[Trend]") -> dict[tuple[str, str], float]:
    """Return (bed, analyte) → the 95 % difference between two single tests, from the noise of one."""
    factor: float = load_toml("dose")["visible"]["factor"]
    found = {}
    for trend in trends:
        level = trend.last_value if trend.level is None else trend.level
        size = trend.s0 * level if trend.scale == "log" and level is not None else trend.s0
        found[trend.bed, trend.analyte] = factor * size
    return found


def effects(
    garden: Garden,
    layer: Layer,
    applied: Applied,
    trends: "Sequence[Trend]",
    noise: Mapping[tuple[str, str], float],
) -> tuple[Effect, ...]:
    """Return what the dose could change within a year, analyte by analyte, alone on its bed."""
    day, bed = applied.on, applied.bed
    with_it = Balance(garden=garden, today=day + _YEAR, applied=(applied,))
    without = Balance(garden=garden, today=day + _YEAR)
    found = []
    for analyte in ANALYTES:
        start, method = level(trends, bed, analyte), _method(trends, bed, analyte)
        pair = [
            one.possible(bed, analyte, day, day + _YEAR, start, layer, method=method)
            for one in (with_it, without)
        ]
        if pair[0] is not None and pair[1] is not None:
            found.append(_effect(pair[0], pair[1], noise.get((bed, analyte))))
    return tuple(found)


def _effect(dosed: Possible, bare: Possible, detectable: float | None) -> Effect:
    ends = [getattr(dosed.expected, end) - getattr(bare.expected, end) for end in ("low", "typical", "high")]
    return Effect(
        what="change",
        analyte=dosed.analyte,
        unit=dosed.unit,
        expected=Range(*sorted(ends)),
        largest=dosed.inputs_only,
        smallest_detectable=detectable,
    )


def level(trends: "Iterable[Trend]", bed: str, analyte: str) -> float:
    """Return the present level of a bed: its last fitted or measured value, else a usual garden soil's."""
    for trend in trends:
        if trend.bed == bed and trend.analyte == analyte:
            value = trend.points[-1].fitted if trend.points else None
            value = trend.last_value if value is None else value
            if value is not None:
                return value
    return float(load_toml("dose")["start"][analyte])


def _method(trends: "Iterable[Trend]", bed: str, analyte: str) -> str:
    """Return the method the bed's tests go by; of organic matter loss on ignition where none says."""
    known = (
        trend.method for trend in trends if (trend.bed, trend.analyte) == (bed, analyte) and trend.method
    )
    return next(known, UNKNOWN)


def repeated(layer: Layer, applied: Applied, trends: "Sequence[Trend]") -> tuple[Effect, ...]:
    """Return the organic matter after 3 and 10 years if the dose is repeated every year.

    Three years in yearly steps, ten on the way to the level at which gain and loss balance
    (Building Soils for Better Crops); at most that of the material itself.
    """
    figures = load_toml("dose")["repeated"]
    start = level(trends, applied.bed, "organic_matter")
    losses = load_toml("soil")["native_loss"]["per_year"]
    short = [_short(layer, applied, start, loss, end) for loss, end in _ends(losses)]
    long = [_long(layer, applied, start, loss, end) for loss, end in _ends(losses)]
    years = ((figures["short_years"], short), (figures["long_years"], long))
    return tuple(_level_effect(after, values, applied) for after, values in years)


def _ends(losses: Sequence[float]) -> list[tuple[float, str]]:
    return list(zip(reversed(losses), ("low", "typical", "high"), strict=True))


def _level_effect(years: int, values: Sequence[float], applied: Applied) -> Effect:
    dry, organic = applied.contents.dry_mass.typical, applied.contents.organic_matter.high
    most = 100.0 * min(1.0, organic / dry) if dry else 100.0
    ends = sorted(min(value, most) for value in values)
    return Effect(
        what=f"level after {years} yearly doses", analyte="organic_matter", unit="%", expected=Range(*ends)
    )


def _kept(applied: Applied, age: float, end: str) -> float:
    """Return kg/m² of organic matter of one yearly load that is there at the mean age of the loads."""
    return sum(
        float(getattr(part.contents.organic_matter * retained(part.substance.group, age), end))
        for part in applied.portions
    )


def _short(layer: Layer, applied: Applied, start: float, loss: float, end: str) -> float:
    figures = load_toml("dose")["repeated"]
    gain = 100.0 * _kept(applied, figures["short_age"], end) / layer.mass.typical
    return yearly_steps(start, gain, loss, figures["short_years"])


def _long(layer: Layer, applied: Applied, start: float, loss: float, end: str) -> float:
    figures = load_toml("dose")["repeated"]
    kept = _kept(applied, figures["long_age"], end)
    balanced = steady_state(kept, 1.0, loss, layer.mass.typical)
    return approach(start, balanced, loss, figures["long_years"])

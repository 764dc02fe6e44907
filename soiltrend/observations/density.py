"""The density of the sampled soil: printed by the report, measured in the bed, or usual in the garden."""

from collections import defaultdict
from dataclasses import dataclass

from soiltrend import units
from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert
from soiltrend.layout.reading import Reading, ReportReading
from soiltrend.observations.corrections import Corrections
from soiltrend.records.models import Bed, Garden

ANALYTE = "bulk_density"
_Layer = tuple[str, float | None, float | None]


@dataclass(frozen=True, slots=True)
class Density:
    """g/cm3 of dry soil, None where unknown; ``assumed`` where it is only what the garden usually has."""

    g_cm3: float | None = None
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Densities:
    """What one report prints of the density of its samples, before what the records say."""

    printed: dict[_Layer, float]
    garden: Garden | None

    @classmethod
    def of(cls, report: ReportReading, garden: Garden | None, corrections: Corrections) -> "Densities":
        """Collect the densities of a report; two that differ for one sample and layer count as none."""
        found: dict[_Layer, set[float]] = defaultdict(set)
        for reading in report.readings:
            if reading.analyte == ANALYTE and (value := _value(reading, corrections)) is not None:
                found[_layer(reading)].add(value)
        return cls({layer: values.pop() for layer, values in found.items() if len(values) == 1}, garden)

    def of_reading(self, reading: Reading, bed: Bed | None) -> Density:
        """Return the density for one result: the report's own, else the bed's, else the garden's usual."""
        if (printed := self.printed.get(_layer(reading))) is not None:
            return Density(printed)
        if bed is not None and bed.bulk_density_g_cm3 is not None:
            return Density(bed.bulk_density_g_cm3)
        usual = self.garden.soil.bulk_density_g_cm3 if self.garden else None
        return Density(usual, assumed=usual is not None)


def _layer(reading: Reading) -> _Layer:
    return reading.sample, reading.depth_from_cm, reading.depth_to_cm


def _value(reading: Reading, corrections: Corrections) -> float | None:
    """Return a printed or corrected density that a soil can have."""
    corrected = corrections.of_reading(reading)
    number = corrected.value if corrected else reading.result.number
    if number is None or (reading.result.qualifier and not corrected):
        return None
    unit = corrected.unit if corrected else reading.unit
    try:
        value = units.to_canonical(number, analyte=ANALYTE, unit=unit).value
    except CannotConvert:
        return None
    low, high = load_toml("analytes")[ANALYTE]["impossible"]
    return value if low <= value <= high else None

"""One report's readings → rows of the long table: beds matched, units made canonical, corrections applied."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from soiltrend import units
from soiltrend.errors import CannotConvert
from soiltrend.layout.reading import Reading, ReportReading
from soiltrend.observations.corrections import Corrected, Corrections, cannot_correct
from soiltrend.observations.density import Densities, Density
from soiltrend.observations.table import (
    FUTURE_DATE,
    IMPOSSIBLE_DATE,
    IMPOSSIBLE_VALUE,
    NOT_IN_FITS,
    Observation,
)
from soiltrend.records import names
from soiltrend.records.models import Bed, Garden

RESULTS = ("measured", "not-detected")
# No soil was sent to a laboratory by post before; judgement, no source.
FIRST_YEAR = 1900


def observe(
    report: ReportReading, garden: Garden | None, today: date | None = None
) -> tuple[list[Observation], list[str]]:
    """Return the rows of one report, and a sentence for everything that a person should know about them.

    Parameters
    ----------
    report : what the layout engine found in one file
    garden : beds, sampling depth, bulk density and corrections; None for a report without a garden
    today : the day of reading; a sample of a later day is noted ``future-date``. None asks nothing.

    Raises
    ------
    RecordsError
        A correction of this report fits no result, or more than one.
    """
    corrections = Corrections.of(report, garden)
    densities = Densities.of(report, garden, corrections)
    builder = _Builder(report.source, garden, today, corrections, densities)
    rows = [row for reading in report.readings if (row := builder.row(reading)) is not None]
    return rows, [*builder.left_out, *builder.bed_messages(), *builder.dates]


@dataclass(slots=True)
class _Builder:
    source: str
    garden: Garden | None
    today: date | None
    corrections: Corrections
    densities: Densities
    left_out: list[str] = field(default_factory=list)
    dates: list[str] = field(default_factory=list)
    matches: dict[str, names.BedMatch] = field(default_factory=dict)

    def row(self, reading: Reading) -> Observation | None:
        if reading.result.status not in RESULTS:
            return None
        bed = self._bed(reading.sample)
        depth = _Depth.of(reading, self.garden)
        corrected = self.corrections.of_reading(reading)
        try:
            value, unit, qualifier, conversion = self._converted(
                reading, corrected, self.densities.of_reading(reading, bed), depth
            )
        except CannotConvert as error:
            if corrected:
                raise cannot_correct(corrected, str(error)) from error
            printed = f"{reading.value_printed} {reading.unit_printed}".strip()
            self.left_out.append(
                f"{self.source}, {reading.place}: {reading.analyte} {printed} was left out: {error}"
            )
            return None
        sampled_on, date_notes = self._date(reading)
        return Observation(
            bed=bed.bed if bed else reading.sample,
            sample=reading.sample,
            sampled_on=sampled_on,
            date_basis=reading.date_basis if sampled_on else "",
            analyte=reading.analyte,
            value=value,
            unit=unit,
            qualifier=qualifier,
            value_printed=reading.value_printed,
            unit_printed=reading.unit_printed,
            method=reading.method,
            method_printed=reading.method_printed,
            depth_from_cm=depth.top,
            depth_to_cm=depth.bottom,
            lab=reading.lab,
            report=reading.report,
            source=self.source,
            place=reading.place,
            notes=_once(
                reading.notes,
                reading.result.notes,
                conversion,
                depth.notes,
                date_notes,
                self._bed_notes(bed),
                ("corrected",) if corrected else (),
                (IMPOSSIBLE_VALUE,) if _impossible(value, unit) else (),
            ),
        )

    def _converted(
        self, reading: Reading, corrected: Corrected | None, density: Density, depth: "_Depth"
    ) -> tuple[float | None, str, str, tuple[str, ...]]:
        number = corrected.value if corrected else reading.result.number
        converted = units.to_canonical(
            1.0 if number is None else number,
            analyte=reading.analyte,
            unit=corrected.unit if corrected else reading.unit,
            form=corrected.form if corrected else reading.form,
            depth_cm=depth.thickness,
            bulk_density=density.g_cm3,
            layer_assumed=depth.assumed,
            density_assumed=density.assumed,
            method=reading.method,
        )
        value = None if number is None else converted.value
        return value, converted.unit, "" if corrected else reading.result.qualifier, tuple(converted.notes)

    def _bed(self, sample: str) -> Bed | None:
        if self.garden is None:
            return None
        if sample not in self.matches:
            self.matches[sample] = names.match_bed(sample, self.garden)
        return self.matches[sample].bed

    def _bed_notes(self, bed: Bed | None) -> tuple[str, ...]:
        return ("bed-unmatched",) if bed is None and self.garden and self.garden.beds else ()

    def bed_messages(self) -> Iterable[str]:
        """Say which samples are on no bed, with the bed that may be meant."""
        if self.garden is None or not self.garden.beds:
            return
        for sample, match in self.matches.items():
            if match.bed is None:
                hint = (
                    f" Is it {match.suggestion!r}? Then add {sample!r} to its also_called in beds.csv."
                    if match.suggestion
                    else " Add it to beds.csv, or to a bed's also_called."
                )
                yield f"{self.source}: sample {sample!r} is no bed of beds.csv and stays on its own.{hint}"

    def _date(self, reading: Reading) -> tuple[date | None, tuple[str, ...]]:
        found = reading.sampled_on
        if found is None:
            return None, ()
        if found.year < FIRST_YEAR:
            self._say_once(f"{self.source}: the date {found} cannot be right; the rows have no date.")
            return None, (IMPOSSIBLE_DATE,)
        if self.today is not None and found > self.today:
            self._say_once(f"{self.source}: the date {found} is in the future; the rows enter no trend.")
            return found, (FUTURE_DATE, NOT_IN_FITS)
        return found, ()

    def _say_once(self, message: str) -> None:
        if message not in self.dates:
            self.dates.append(message)


@dataclass(frozen=True, slots=True)
class _Depth:
    """The sampled layer: as printed, else as the garden is sampled, which is noted."""

    top: float | None = None
    bottom: float | None = None
    notes: tuple[str, ...] = ()

    @classmethod
    def of(cls, reading: Reading, garden: Garden | None) -> "_Depth":
        if reading.depth_to_cm is not None:
            return cls(reading.depth_from_cm or 0.0, reading.depth_to_cm)
        if garden is not None and garden.sampling.depth_cm is not None:
            return cls(0.0, garden.sampling.depth_cm, ("depth-assumed",))
        return cls()

    @property
    def assumed(self) -> bool:
        return bool(self.notes)

    @property
    def thickness(self) -> float | None:
        if self.top is None or self.bottom is None or self.bottom <= self.top:
            return None
        return self.bottom - self.top


def _impossible(value: float | None, unit: str) -> bool:
    """Whether no soil can have this value: less than nothing, or a pH off the scale."""
    return value is not None and (value < 0 or (unit == "[pH]" and value > 14))


def _once(*groups: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(note for group in groups for note in group))

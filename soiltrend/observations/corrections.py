"""Hand corrections of ``corrections.csv``: each fits exactly one result of its report, or is an error."""

from dataclasses import dataclass

from soiltrend import units
from soiltrend.errors import Problem, RecordsError
from soiltrend.layout.reading import Reading, ReportReading
from soiltrend.records import names
from soiltrend.records.models import Correction, Garden

FILE = "corrections.csv"


@dataclass(frozen=True, slots=True)
class Corrected:
    """The corrected number in ``unit`` (a code) and chemical ``form``."""

    value: float
    unit: str
    form: str


@dataclass(frozen=True, slots=True)
class Corrections:
    """The corrections of one report, by the place and analyte of the result that each corrects."""

    by_place: dict[tuple[str, str, str], Corrected]

    @classmethod
    def of(cls, report: ReportReading, garden: Garden | None) -> "Corrections":
        """Find the result that each correction means.

        Raises
        ------
        RecordsError
            One that fits no result, or several.
        """
        meant: dict[tuple[str, str, str], Corrected] = {}
        problems: list[Problem] = []
        for correction in garden.corrections if garden else ():
            if correction.source != report.source:
                continue
            fitting = [reading for reading in report.readings if _fits(correction, reading)]
            if len(fitting) == 1:
                meant[_key(fitting[0])] = _corrected(correction, fitting[0])
            else:
                problems.append(_not_one(correction, fitting, report))
        if problems:
            raise RecordsError(problems)
        return cls(meant)

    def of_reading(self, reading: Reading) -> Corrected | None:
        """Return the correction of this reading, if there is one."""
        return self.by_place.get(_key(reading))


def _key(reading: Reading) -> tuple[str, str, str]:
    return reading.place, reading.analyte, reading.method


def _slug(name: str) -> str:
    return name.strip().casefold().replace(" ", "_").replace("-", "_")


def _fits(correction: Correction, reading: Reading) -> bool:
    return (
        names.key(correction.sample) == names.key(reading.sample)
        and _slug(correction.analyte) == reading.analyte
        and (not correction.method or _slug(correction.method) == reading.method)
    )


def _corrected(correction: Correction, reading: Reading) -> Corrected:
    """Return the correction in codes; a unit as the report prints it has the report's chemical form too."""
    if correction.unit.strip() in (reading.unit_printed.strip(), reading.unit):
        return Corrected(correction.value, reading.unit, reading.form)
    code = units.match_unit(correction.unit)
    if not code:
        expected = "a unit of soil tests, as mg/kg, or as the report prints it"
        raise RecordsError([Problem(FILE, correction.line, "unit", expected, repr(correction.unit))])
    return Corrected(correction.value, code, "")


def _not_one(correction: Correction, fitting: list[Reading], report: ReportReading) -> Problem:
    wanted = f"{correction.analyte!r} of sample {correction.sample!r}"
    if fitting:
        several = ", ".join(f"{reading.method or 'no method'} at {reading.place}" for reading in fitting)
        advice = "Say which in a column named method."
        return Problem(FILE, correction.line, "method", f"one result for {wanted}", several, advice)
    return Problem(
        FILE,
        correction.line,
        "sample",
        f"a result for {wanted} in {correction.source}",
        "none",
        _nearest_result(correction, report),
    )


def _nearest_result(correction: Correction, report: ReportReading) -> str:
    samples = {reading.sample for reading in report.readings}
    here = [r for r in report.readings if names.key(r.sample) == names.key(correction.sample)]
    if here:
        return "This sample has: " + ", ".join(sorted({reading.analyte for reading in here})) + "."
    return names.advice(correction.sample, sorted(samples))

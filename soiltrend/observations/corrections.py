"""Hand corrections of ``corrections.csv``: each fits exactly one result of its report, or is an error."""

import re
import unicodedata
from dataclasses import dataclass

from soiltrend import units
from soiltrend.errors import Problem, RecordsError
from soiltrend.layout.reading import Reading, ReportReading
from soiltrend.records import names
from soiltrend.records.models import Correction, Garden

FILE = "corrections.csv"


@dataclass(frozen=True, slots=True)
class Corrected:
    """The corrected number in ``unit`` (a code) and chemical ``form``; the line that says so."""

    value: float
    unit: str
    form: str
    line: int


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


def cannot_correct(corrected: Corrected, reason: str) -> RecordsError:
    """Return the error of a correction whose unit does not fit its analyte."""
    expected = "a value and unit that fit the analyte"
    return RecordsError([Problem(FILE, corrected.line, "unit", expected, repr(corrected.unit), reason)])


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
    """Return the correction in codes; where the report prints an oxide or ion, it must say which it means."""
    text = unicodedata.normalize("NFKC", correction.unit)
    as_printed = correction.unit.strip() == reading.unit_printed.strip()
    code = reading.unit if as_printed else units.match_unit(text) or units.match_unit(_without_names(text))
    form = _form(text)
    if not code and not as_printed:
        raise _bad_unit(correction, "a unit of soil tests, as mg/kg, or as the report prints it")
    if reading.form and not form and not _names(units.element_fractions()[reading.form][0], text):
        element = units.element_fractions()[reading.form][0]
        expected = f"a unit that says {element} or {reading.form}, as mg {reading.form}/kg"
        raise _bad_unit(correction, expected, f"The report prints it as {reading.form}.")
    return Corrected(correction.value, code, form, correction.line)


def _bad_unit(correction: Correction, expected: str, advice: str = "") -> RecordsError:
    return RecordsError([Problem(FILE, correction.line, "unit", expected, repr(correction.unit), advice)])


def _form(unit: str) -> str:
    """Return the chemical form that a unit names (``mg P2O5/100 g``); ``NO3-N`` is the element."""
    for form, (element, _) in units.element_fractions().items():
        if _names(form, unit) and not _names(f"{form}-{element}", unit):
            return form
    return ""


def _without_names(unit: str) -> str:
    """Take chemical forms and elements out of a unit (``ppm P2O5`` → ``ppm``)."""
    formulas = {name for form, (element, _) in units.element_fractions().items() for name in (form, element)}
    return " ".join(word for word in unit.split() if word not in formulas)


def _names(formula: str, text: str) -> bool:
    return re.search(rf"(?<![A-Za-z0-9]){re.escape(formula)}(?![A-Za-z0-9])", text) is not None


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

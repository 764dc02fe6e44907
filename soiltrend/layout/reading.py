"""What the layout engine hands on: one printed result, with the words it came from."""

from dataclasses import dataclass, field
from datetime import date

from soiltrend.values import Result


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One result as a report prints it, before any conversion.

    ``form`` is the chemical form printed (``""`` for the element itself, else ``"P2O5"``, ``"K2O"``,
    ``"NO3"``, ``"SO4"`` …); ``unit`` is a code of :mod:`soiltrend.units` or ``""`` where none is printed.
    ``reason`` tells a person why this number was taken for this analyte.
    """

    sample: str
    analyte: str
    form: str = ""
    result: Result
    value_printed: str
    unit_printed: str = ""
    unit: str = ""
    method: str = ""
    method_printed: str = ""
    depth_from_cm: float | None = None
    depth_to_cm: float | None = None
    sampled_on: date | None = None
    date_basis: str = ""
    lab: str = ""
    report: str = ""
    place: str
    notes: tuple[str, ...] = ()
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAlone:
    """A number near a known analyte that was not taken, and why."""

    text: str
    near: str
    place: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportReading:
    """All that one file says. ``looks_like`` is ``"soil test"`` or what the file is instead."""

    source: str
    sha256: str
    looks_like: str = "soil test"
    readings: tuple[Reading, ...] = ()
    left_alone: tuple[LeftAlone, ...] = ()
    messages: tuple[str, ...] = field(default=())

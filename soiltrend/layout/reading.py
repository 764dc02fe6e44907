"""What the layout engine hands on: one printed result, with the words it came from."""

from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any

from soiltrend.readers.document import Box
from soiltrend.values import Result


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One result as a report prints it, before any conversion.

    ``form`` is the chemical form printed (``""`` for the element itself, else ``"P2O5"``, ``"K2O"``,
    ``"NO3"``, ``"SO4"`` …); ``unit`` is a code of :mod:`soiltrend.units` or ``""`` where none is printed.
    ``reason`` tells a person why this number was taken for this analyte; ``confirmed`` is True where the
    document's own arithmetic agrees. ``page`` counts from 1, ``box`` is in the page's own measure.
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
    confirmed: bool = False
    page: int = 1
    box: Box | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAlone:
    """A number near a known analyte that was not taken, and why."""

    text: str
    near: str
    place: str
    reason: str
    page: int = 1
    box: Box | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportReading:
    """All that one file says. ``looks_like`` is ``"soil test"`` or what the file is instead.

    ``turned`` says for each page how many degrees to the left it was turned to be read.
    """

    source: str
    sha256: str
    looks_like: str = "soil test"
    readings: tuple[Reading, ...] = ()
    left_alone: tuple[LeftAlone, ...] = ()
    messages: tuple[str, ...] = field(default=())
    turned: tuple[float, ...] = field(default=())


def to_json(report: ReportReading) -> dict[str, Any]:
    """Return a report's reading as plain lists, texts and numbers, for a cache or ``--explain``."""
    plain = asdict(report)
    for reading in plain["readings"]:
        day = reading["sampled_on"]
        reading["sampled_on"] = day.isoformat() if day else None
    return plain


def from_json(plain: dict[str, Any]) -> ReportReading:
    """Build again what :func:`to_json` took apart.

    Raises
    ------
    KeyError, TypeError, ValueError
        ``plain`` was written by another version of the program or is cut short.
    """
    return ReportReading(
        source=plain["source"],
        sha256=plain["sha256"],
        looks_like=plain["looks_like"],
        readings=tuple(_reading(item) for item in plain["readings"]),
        left_alone=tuple(LeftAlone(**item | {"box": _box(item)}) for item in plain["left_alone"]),
        messages=tuple(plain["messages"]),
        turned=tuple(plain["turned"]),
    )


def _reading(plain: dict[str, Any]) -> Reading:
    day = plain["sampled_on"]
    result = plain["result"] | {"notes": tuple(plain["result"]["notes"])}
    return Reading(
        **plain
        | {
            "sampled_on": date.fromisoformat(day) if day else None,
            "result": Result(**result),
            "notes": tuple(plain["notes"]),
            "box": _box(plain),
        }
    )


def _box(plain: dict[str, Any]) -> Box | None:
    if plain["box"] is None:
        return None
    left, top, right, bottom = plain["box"]
    return float(left), float(top), float(right), float(bottom)

"""One result printed in several units or forms: one is kept, the others are checks on it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert
from soiltrend.layout.reading import LeftAlone, Reading
from soiltrend.units import to_canonical, units

FAILED = "self-check-failed"
DOUBTFUL = "low-confidence"
# The units that need least to be understood come first.
PREFERRED = ("mass", "charge", "area")


@dataclass(slots=True)
class Kept:
    """The readings that count, and the ones that only confirm or contradict them."""

    readings: list[Reading] = field(default_factory=list)
    left: list[LeftAlone] = field(default_factory=list)


def keep_one(readings: Sequence[Reading]) -> Kept:
    """Keep one of the readings of the same sample, layer, date, analyte and method in several units.

    ppm beside lb/acre, meq/100 g beside ppm, P2O5 beside P: the one in ppm as the element stays. Where the
    others say the same, that is told in its reason; where they do not, it is noted ``self-check-failed``.
    """
    kept = Kept()
    for members in _groups(readings).values():
        first, *others = sorted(members, key=_rank)
        for other in others:
            if _is_the_same_print(first, other):
                first = _repeated(first, other, kept)
                continue
            first = _confirmed(first, other)
            kept.left.append(
                LeftAlone(text=other.value_printed, near=other.analyte, place=other.place, reason=_why(first))
            )
        kept.readings.append(first)
    order = {reading.place: position for position, reading in enumerate(readings)}
    kept.readings.sort(key=lambda reading: order[reading.place])
    return kept


def _groups(readings: Sequence[Reading]) -> dict[tuple[object, ...], list[Reading]]:
    groups: dict[tuple[object, ...], list[Reading]] = defaultdict(list)
    stated = defaultdict(set)
    for reading in readings:
        stated[_sample(reading)].add(reading.method)
    for reading in readings:
        methods = stated[_sample(reading)] - {""}
        method = reading.method or (next(iter(methods)) if len(methods) == 1 else "")
        groups[(*_sample(reading), method)].append(reading)
    return groups


def _sample(reading: Reading) -> tuple[object, ...]:
    return (
        reading.sample,
        reading.sampled_on,
        reading.depth_from_cm,
        reading.depth_to_cm,
        reading.report,
        reading.analyte,
    )


def _rank(reading: Reading) -> tuple[int, int]:
    quantity = units()[reading.unit].quantity if reading.unit else ""
    return (PREFERRED.index(quantity) if quantity in PREFERRED else len(PREFERRED), bool(reading.form))


def _is_the_same_print(one: Reading, other: Reading) -> bool:
    """Whether both are printed in one unit and form (a repeated test), or cannot be compared."""
    return (one.unit, one.form) == (other.unit, other.form) or not (one.unit and other.unit)


def _repeated(first: Reading, other: Reading, kept: Kept) -> Reading:
    """Keep one of two equal results; doubt both of two unequal ones, for nothing tells them apart."""
    if first.result == other.result:
        again = f"it is the same result as at {first.place}, printed again"
        kept.left.append(
            LeftAlone(text=other.value_printed, near=other.analyte, place=other.place, reason=again)
        )
        return first
    kept.readings.append(_doubted(other, first))
    return _doubted(first, other)


def _doubted(one: Reading, other: Reading) -> Reading:
    if DOUBTFUL in one.notes:
        return one
    said = f"The report gives another result for the same sample, {other.value_printed} at {other.place}."
    return replace(one, notes=(*one.notes, DOUBTFUL), reason=f"{one.reason} {said}")


def _confirmed(first: Reading, other: Reading) -> Reading:
    expected, found = _number(first), _number(other)
    if expected is None or found is None:
        return first
    share = float(
        load_toml("arithmetic")["tolerance"]["twice_area" if _is_area(first) or _is_area(other) else "twice"]
    )
    step = _step(first) + _step(other)
    agrees = abs(found - expected) <= share * max(abs(expected), abs(found)) + step
    said = f"{other.value_printed} {other.unit_printed}".strip()
    if agrees:
        return replace(first, reason=f"{first.reason} It agrees with {said}.")
    notes = first.notes if FAILED in first.notes else (*first.notes, FAILED)
    return replace(
        first, notes=notes, reason=f"{first.reason} It does not agree with {said}, printed beside it."
    )


def _why(first: Reading) -> str:
    return (
        f"it is the same result in another unit; {first.value_printed} {first.unit_printed} is kept".replace(
            " ;", ";"
        )
    )


def _is_area(reading: Reading) -> bool:
    return bool(reading.unit) and units()[reading.unit].quantity == "area"


def _number(reading: Reading) -> float | None:
    """Return the canonical value, by the furrow slice of two million pounds where an area needs a depth."""
    if reading.result.number is None:
        return None
    return _canonical(float(reading.result.number), reading.analyte, reading.unit, reading.form)


def _step(reading: Reading) -> float:
    """Return what half a unit of the last printed digit is worth."""
    text = reading.value_printed.replace(",", ".")
    decimals = len(text.partition(".")[2].rstrip(" abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ%/"))
    worth = _canonical(0.5 * 10.0**-decimals, reading.analyte, reading.unit, reading.form)
    return worth or 0.0


@cache
def _canonical(number: float, analyte: str, unit: str, form: str) -> float | None:
    if unit and units()[unit].quantity == "area":
        per_ppm = float(load_toml("arithmetic")["area_per_ppm"].get(unit, 0.0))
        return number / per_ppm if per_ppm and not form else None
    try:
        return to_canonical(number, analyte=analyte, unit=unit, form=form).value
    except CannotConvert:
        return None

"""The document's own arithmetic: what must add up, and does or does not."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cache

from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert
from soiltrend.layout.reading import Reading
from soiltrend.units import to_canonical

FAILED = "self-check-failed"
SATURATIONS = ("base_saturation_ca", "base_saturation_mg", "base_saturation_k", "base_saturation_h")
TEXTURE = ("sand", "silt", "clay")


def check_arithmetic(readings: Sequence[Reading]) -> list[Reading]:
    """Return the readings; a check that holds is added to the reason, one that fails is noted.

    Each check looks at one sample at a time: saturations and sand, silt and clay total 100, and a cation's
    saturation times the CEC gives its ppm.
    """
    groups: dict[tuple[str, object, object], list[int]] = defaultdict(list)
    for index, reading in enumerate(readings):
        groups[(reading.sample, reading.sampled_on, reading.depth_to_cm)].append(index)
    checked = list(readings)
    for members in groups.values():
        for check in CHECKS:
            for touched, holds, text in check([(i, checked[i]) for i in members]):
                for index in touched:
                    checked[index] = _told(checked[index], holds, text)
    return checked


Member = tuple[int, Reading]
Outcome = tuple[list[int], bool, str]
Check = Callable[[Sequence[Member]], Iterable[Outcome]]


def _told(reading: Reading, holds: bool, text: str) -> Reading:
    if holds:
        return replace(reading, reason=f"{reading.reason} {text}".strip(), confirmed=True)
    if FAILED in reading.notes:
        return reading
    return replace(reading, notes=(*reading.notes, FAILED), reason=f"{reading.reason} {text}".strip())


@cache
def _tolerance(name: str) -> float:
    return float(load_toml("arithmetic")["tolerance"][name])


def _one_each(members: Sequence[Member], wanted: Sequence[str]) -> dict[str, tuple[int, float]]:
    """Return analyte → (index, number) of those measured exactly once; what is printed in g/kg in percent."""
    found: dict[str, list[tuple[int, float]]] = defaultdict(list)
    for index, reading in members:
        if reading.analyte in wanted and reading.result.number is not None and not reading.result.qualifier:
            part = 10 if reading.unit == "g/kg" else 1
            found[reading.analyte].append((index, reading.result.number / part))
    return {name: numbers[0] for name, numbers in found.items() if len(numbers) == 1}


def _total_100(
    members: Sequence[Member], names: Sequence[str], what: str, more: Sequence[str] = ()
) -> Iterable[Outcome]:
    found = _one_each(members, (*names, *more))
    if any(name not in found for name in names):
        return
    total = sum(number for _, number in found.values())
    holds = abs(total - 100) <= _tolerance("total")
    verb = "total" if holds else "should total 100 and total"
    yield [index for index, _ in found.values()], holds, f"The {what} {verb} {total:.4g}."


def _saturations(members: Sequence[Member]) -> Iterable[Outcome]:
    return _total_100(members, SATURATIONS, "saturations", ("base_saturation_na",))


def _texture(members: Sequence[Member]) -> Iterable[Outcome]:
    """Hold the total of the fractions against 100; French laboratories count the organic matter as one."""
    outcomes = list(_total_100(members, TEXTURE, "sand, silt and clay"))
    if any(holds for _, holds, _ in outcomes):
        return outcomes
    whole = list(_total_100(members, (*TEXTURE, "organic_matter"), "sand, silt, clay and organic matter"))
    return whole if any(holds for _, holds, _ in whole) else outcomes


def _cations(members: Sequence[Member]) -> Iterable[Outcome]:
    """Hold a cation's ppm against its saturation times the CEC times its equivalent weight."""
    pairs: dict[str, str] = load_toml("arithmetic")["saturation_of"]
    found = _one_each(members, ("cec", *pairs.values()))
    if "cec" not in found:
        return
    cec_at, cec = found["cec"]
    for analyte, saturation in pairs.items():
        content = _ppm(members, analyte)
        if saturation not in found or content is None:
            continue
        index, ppm = content
        weight = float(load_toml("arithmetic")["equivalent_weight"][analyte])
        expected = found[saturation][1] / 100 * cec * weight * 10
        slack = _tolerance("share") * expected + 0.006 * cec * weight * 10 + 0.5
        if abs(ppm - expected) <= slack:
            text = f"CEC {cec:g} × {found[saturation][1]:g} % gives {expected:.0f} ppm: it agrees."
            yield [index, cec_at], True, text


def _ppm(members: Sequence[Member], analyte: str) -> tuple[int, float] | None:
    found = [
        (index, reading)
        for index, reading in members
        if reading.analyte == analyte and reading.result.number is not None
    ]
    if len(found) != 1:
        return None
    index, reading = found[0]
    try:
        made = to_canonical(
            float(reading.result.number or 0), analyte=analyte, unit=reading.unit, form=reading.form
        )
    except CannotConvert:
        return None
    return (index, made.value) if made.unit == "mg/kg" else None


CHECKS: tuple[Check, ...] = (_saturations, _texture, _cations)

"""Exchangeable cations: sums, acidity from a buffer pH, saturations."""

from collections.abc import Mapping

from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert
from soiltrend.units.chemistry import equivalent_weight

BASES = ("calcium", "magnesium", "potassium", "sodium")


def cation_meq(analyte: str, mg_per_kg: float, divisor: float | None = None) -> float:
    """Return meq/100 g of a cation; ``divisor`` (mg/kg per meq/100 g) replaces the exact one."""
    return mg_per_kg / (divisor if divisor is not None else equivalent_weight(analyte))


def cation_sum_meq(
    mg_per_kg: Mapping[str, float], *, acidity: float = 0.0, divisors: Mapping[str, float] | None = None
) -> float:
    """Return bases plus ``acidity`` in meq/100 g: the CEC by summation.

    ``mg_per_kg`` maps cation names (``calcium`` …) to mg/kg; ``divisors`` holds a laboratory's own
    rounded equivalent weights where they are known.
    """
    own = divisors or {}
    return acidity + sum(cation_meq(name, value, own.get(name)) for name, value in mg_per_kg.items())


def acidity_meq(buffer: str, buffer_ph: float) -> float:
    """Return exchangeable acidity in meq/100 g from a buffer pH (data/buffers.toml); 0 where negative.

    The Mehlich buffer gives it per 100 cm3 of soil.

    Raises
    ------
    CannotConvert
        No formula is known for ``buffer``.
    """
    rows = load_toml("buffers")
    if buffer not in rows:
        raise CannotConvert(f"buffer: expected one of {', '.join(rows)}; found {buffer!r}.")
    return max(0.0, float(rows[buffer]["slope"] * (rows[buffer]["start"] - buffer_ph)))


def saturation_pct(cation: float, cec: float) -> float:
    """Return the percentage of the exchange capacity that ``cation`` fills (both in meq/100 g).

    Raises
    ------
    CannotConvert
        The exchange capacity is not above zero.
    """
    if cec <= 0:
        raise CannotConvert(f"cec: expected more than 0 meq/100 g, found {cec}.")
    return 100.0 * cation / cec

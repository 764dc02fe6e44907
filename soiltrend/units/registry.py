"""Printed units and their codes (data/units.toml)."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from soiltrend.data import load_toml
from soiltrend.data.unit_spelling import bare_unit, whole_unit
from soiltrend.errors import SoiltrendError


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit a laboratory prints.

    ``quantity`` is ``mass``, ``charge``, ``volume``, ``volume-charge``, ``area``, ``conductivity``,
    ``density``, ``ph`` or ``index``; ``factor`` turns a number into the base unit of that quantity.
    ``moles`` marks a unit that does not say whether it counts moles or charge, ``furrow_slice`` one that
    laboratories reckon from ppm through the furrow slice, whatever the soil weighs.
    """

    code: str
    quantity: str
    factor: float
    spellings: tuple[str, ...]
    moles: bool = False
    furrow_slice: bool = False


@cache
def units() -> Mapping[str, Unit]:
    """Return every known unit by its code."""
    rows = load_toml("units")["unit"]
    return MappingProxyType(
        {
            code: Unit(
                code=code,
                quantity=row["quantity"],
                factor=row["factor"],
                spellings=tuple(row["spellings"]),
                moles=row.get("moles", False),
                furrow_slice=row.get("furrow_slice", False),
            )
            for code, row in rows.items()
        }
    )


def unit(code: str) -> Unit:
    """Return the unit with this code.

    Raises
    ------
    SoiltrendError
        The code is not in the registry.
    """
    try:
        return units()[code]
    except KeyError:
        raise SoiltrendError(f"unit: expected one of {', '.join(units())}; found {code!r}.") from None


@cache
def match_unit(text: str) -> str:
    """Return the code of a printed unit, or ``""`` where all of ``text`` is not one known unit.

    An element inside the unit is allowed (``mg P2O5/100 g``); its form is for the vocabulary to read.
    """
    if code := whole_unit(text):
        return code
    bare = text.rstrip(")] ")
    cores = (bare[: -len(basis) - 1] for basis in _bases() if bare.lower().endswith(f" {basis}"))
    return next((code for core in cores if (code := whole_unit(core))), "")


@cache
def _bases() -> tuple[str, ...]:
    return tuple(basis.lower() for basis in load_toml("units")["basis"])


@cache
def match_unit_cell(text: str) -> str:
    """Return the code of what stands in a column of units, where a substance may follow: ``mg/kg P2O5``."""
    return match_unit(text) or match_unit(bare_unit(text))

"""Atomic weights, oxides and ions, and charge: what one printed form holds of the element."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert


def atomic_weight(element: str) -> float:
    """Return the IUPAC abridged standard atomic weight of ``element`` in g/mol."""
    return float(load_toml("atomic_weights")["weight"][element])


@cache
def element_fractions() -> Mapping[str, tuple[str, float]]:
    """Return for each printed form (``P2O5``, ``NO3`` …) its element and the element's mass fraction."""
    rows: dict[str, Any] = load_toml("atomic_weights")["form"]
    found = {}
    for form, row in rows.items():
        molar = sum(atomic_weight(element) * count for element, count in row["formula"].items())
        found[form] = (row["element"], atomic_weight(row["element"]) * row["atoms"] / molar)
    return MappingProxyType(found)


def element_fraction(form: str, element: str) -> float:
    """Return the mass of ``element`` in one unit mass of ``form``; 1 for the empty form.

    Raises
    ------
    CannotConvert
        The form is not known or holds another element.
    """
    if not form:
        return 1.0
    holds, fraction = element_fractions().get(form, ("", 0.0))
    if not holds or holds != element:
        raise CannotConvert(
            f"form: expected {element or 'no other form'} or a compound of it, found {form!r}. "
            "The value is left as printed; name the form in a layout file if it is another."
        )
    return fraction


def equivalent_weight(analyte: str) -> float:
    """Return mg/kg for each meq/100 g of a cation: ten times atomic weight over charge.

    Raises
    ------
    CannotConvert
        The analyte is not a cation, so charge says nothing about its mass.
    """
    row = load_toml("analytes").get(analyte, {})
    if "charge" not in row or "weight" not in row:
        raise CannotConvert(
            f"{analyte}: milliequivalents become mg/kg for cations only; expected a mass unit."
        )
    return 10.0 * atomic_weight(row["weight"]) / float(row["charge"])

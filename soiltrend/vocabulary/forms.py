"""The chemical form a heading prints: the element, an oxide or an ion."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from soiltrend.vocabulary.choice import STANDS_FOR, Chosen

FORM_ASSUMED = "form-assumed"
IONS = frozenset({"NO3", "NH4", "SO4", "PO4"})
UNCLEAR = "phosphate?"


@dataclass(frozen=True, slots=True)
class FormFound:
    """The form (``""`` is the element), whether a word left it open, and the notes that it earns."""

    form: str
    unclear: bool = False
    notes: tuple[str, ...] = ()


def find_form(chosen: Sequence[Chosen], analyte: str) -> FormFound:
    """Return the form in which ``analyte`` is printed.

    ``NO3-N``, ``Sulfur (SO4)`` and ``nitrate as N`` are the element; ``NO3`` alone is the ion. A bare
    ``nitrate`` is taken as the ion and noted; a bare ``phosphate`` (P2O5 or PO4?) is unclear.
    """
    stated = _after_connector(chosen, analyte)
    if stated is not None:
        return FormFound(stated)
    printed = {c.entry.value for c in chosen if c.entry.role == "form" and not c.entry.assumed} - {UNCLEAR}
    element = any(_names_element(c, analyte) for c in chosen)
    if printed:
        return _of_printed(printed, element, analyte)
    if element:
        return FormFound("")
    assumed = [c.entry.value for c in chosen if c.entry.role == "form"]
    if UNCLEAR in assumed:
        return FormFound("", unclear=True)
    return FormFound(assumed[0], notes=(FORM_ASSUMED,)) if assumed else FormFound("")


def _of_printed(printed: set[str], element: bool, analyte: str) -> FormFound:
    if len(printed) > 1:
        return FormFound("", unclear=True)
    form = next(iter(printed))
    if element and form in IONS:
        return FormFound("", notes=(FORM_ASSUMED,) if analyte == "sulfur" else ())
    return FormFound(form)


def _names_element(chosen: Chosen, analyte: str) -> bool:
    if chosen.entry.role == "generic":
        return analyte in STANDS_FOR[chosen.entry.value]
    return chosen.entry.role == "analyte" and chosen.entry.analyte == analyte


def _after_connector(chosen: Sequence[Chosen], analyte: str) -> str | None:
    """Return the form after ``as``, ``als``, ``en``, ``como``; None where there is no such word."""
    for before, after in pairwise(chosen):
        if before.entry.role == "connect" and before is not chosen[0]:
            if after.entry.role == "form" and after.entry.value != UNCLEAR:
                return after.entry.value
            if _names_element(after, analyte):
                return ""
    return None

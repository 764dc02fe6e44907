"""Which of its meanings each word of a phrase has, decided by the other words and the unit."""

from dataclasses import dataclass

from soiltrend.units import units, usual_unit
from soiltrend.vocabulary.analytes import analytes, methods
from soiltrend.vocabulary.lexicon import Case, Entry, Item

CATIONS = frozenset({"calcium", "magnesium", "potassium", "sodium", "exchangeable_acidity"})
SATURATION_OF = {
    "calcium": "base_saturation_ca",
    "magnesium": "base_saturation_mg",
    "potassium": "base_saturation_k",
    "sodium": "base_saturation_na",
    "exchangeable_acidity": "base_saturation_h",
    "base_saturation": "base_saturation",
}
STANDS_FOR = {
    "N": frozenset({"nitrate_n", "ammonium_n", "total_n"}),
    "C": frozenset({"organic_carbon", "total_carbon"}),
}
_BY_QUANTITY = {
    "mg/kg": {"mass", "charge", "volume", "volume-charge", "area"},
    "meq/(100.g)": {"charge", "volume-charge"},
    "[pH]": {"ph"},
    "dS/m": {"conductivity"},
    "g/cm3": {"density"},
}
_CASE_PENALTY = {"exact": 0.0, "any": 0.0, "upper": 0.4, "lower": 0.5}


@dataclass(frozen=True, slots=True)
class Chosen:
    """A run of words with the one meaning it has here."""

    item: Item
    entry: Entry
    case: Case


def accepts(analyte: str, unit: str) -> bool:
    """Whether laboratories print this analyte in this unit at all."""
    if not unit:
        return True
    canonical, printed = usual_unit(analyte), units()[unit]
    if analyte.startswith("base_saturation"):
        return unit == "%"
    if canonical == "%":
        coarse = printed.quantity == "mass" and (printed.factor >= 1000 or analyte == "total_n")
        return coarse or unit in {"g/dm3", "t/ha"}
    if analyte == "exchangeable_acidity" and printed.quantity == "mass":
        return unit != "%"  # that is a share of the exchange capacity
    return printed.quantity in _BY_QUANTITY[canonical]


def choose(items: tuple[Item, ...], unit: str) -> tuple[Chosen, ...]:
    """Choose one meaning for each run of words."""
    stand_for = [_may_stand_for(item) for item in items]
    chosen = []
    for place, item in enumerate(items):
        beside = frozenset().union(*(s for i, s in enumerate(stand_for) if i != place))
        chosen.append(_choose_one(item, beside, unit))
    return tuple(chosen)


def _may_stand_for(item: Item) -> frozenset[str]:
    found: set[str] = set()
    for entry, _ in item.entries:
        if entry.role == "generic":
            found |= STANDS_FOR[entry.value]
        elif entry.role in ("analyte", "form"):
            found.add(entry.analyte)
    return frozenset(found & analytes().keys())


def _choose_one(item: Item, beside: frozenset[str], unit: str) -> Chosen:
    if not item.entries:
        return Chosen(item, Entry(role=""), "any")
    best = min(item.entries, key=lambda met: _rank(met[0], beside, unit) + _penalty(item, met[1], beside))
    return Chosen(item, *best)


def _penalty(item: Item, case: Case, beside: frozenset[str]) -> float:
    """Return what a symbol in the wrong case loses: much where its word has another meaning (``as``)."""
    if (
        case in ("upper", "lower")
        and beside
        and any(e.role in ("connect", "filler") for e, _ in item.entries)
    ):
        return 5.0
    return _CASE_PENALTY[case]


def _rank(entry: Entry, beside: frozenset[str], unit: str) -> float:
    """Return how far a meaning is from the likeliest one; lower is likelier."""
    if entry.role == "method":
        if methods()[entry.method].applies & beside:
            return 0.0
        return 2.5 if entry.analyte else 5.0
    if entry.role == "kind":
        return 0.0 if entry.value == "saturation" and beside & CATIONS else 3.5
    if entry.role == "analyte":
        hidden = entry.analyte == "base_saturation" and bool(beside & CATIONS)
        return 1.0 + 0.3 * entry.weak if accepts(entry.analyte, unit) and not hidden else 6.0
    return {"form": 1.0, "generic": 2.0, "other": 3.0, "connect": 3.9, "stop": 4.5}.get(entry.role, 4.0)

"""What a mix-up of units, forms or methods multiplies a result by (data/confusions.toml)."""

from dataclasses import dataclass
from functools import cache

from soiltrend.data import load_toml
from soiltrend.units.chemistry import element_fractions, equivalent_weight


@dataclass(frozen=True, slots=True)
class Confusion:
    """One mix-up: a result read wrongly is ``factor`` times the right one."""

    code: str
    factor: float
    text: str
    source: str = ""


@cache
def confusions(analyte: str) -> tuple[Confusion, ...]:
    """Return every mix-up that could multiply a result of ``analyte``, both ways round."""
    found: list[Confusion] = []
    for code, row in load_toml("confusions").items():
        if analyte in row["analytes"]:
            factor = _factor(row, analyte)
            found.append(Confusion(code, factor, row["text"], row["source"]))
            found.append(Confusion(f"{code}-inverse", 1.0 / factor, row["inverse"], row["source"]))
    return tuple(found)


def _factor(row: dict[str, object], analyte: str) -> float:
    """Return the factor printed in the row, or computed from a form or an equivalent weight."""
    if "form" in row:
        return 1.0 / element_fractions()[str(row["form"])][1]
    if row.get("equivalent"):
        return equivalent_weight(analyte) / float(str(row.get("per", 1.0)))
    return float(str(row["factor"]))

"""False alarms are counted per garden: one budget, shared out over everything the checks look at."""

import math

from soiltrend.data import load_toml


def allowance(family: str) -> float:
    """Return the chance per honest garden that ``family`` may raise a doubtful finding."""
    table = load_toml("check_budget")
    return float(table["budget"]["per_garden"] * table["share"][family])


def note_allowance() -> float:
    """Return how many notes per honest garden noise alone may make in one family."""
    return float(load_toml("check_budget")["budget"]["notes_per_garden"])


def sidak(chance: float, looks: int) -> float:
    """Return the chance for one look that gives ``chance`` over ``looks`` independent ones.

    Sidak 1967, JASA 62:626: ``1 - (1 - chance)^(1/looks)``; it holds for positively dependent looks too.
    """
    return -math.expm1(math.log1p(-min(chance, 0.999)) / max(looks, 1))


def setting(table: str, key: str) -> float:
    """Return one number of ``data/check_budget.toml``."""
    return float(load_toml("check_budget")[table][key])

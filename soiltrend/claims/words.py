"""Amounts inside sentences: rounded by what is known of them, with their unit and direction."""

import math

from soiltrend.data import load_toml
from soiltrend.trends.words import tidy


def unit_word(unit: str, *, change: bool) -> str:
    """Return the unit as a grower says it: 'points' for a change of a percentage, 'pH units', 'ppm'."""
    words = load_toml("display")["units"].get(unit)
    if words is None:
        return unit
    metric, _, of_change = words
    return str((of_change or metric) if change else metric)


def amount(size: float, mode: str, unit: str, sign: int) -> str:
    """Say one size in the claimed direction."""
    if mode == "share":
        return f"{_signed(100 * size * sign, abs(100 * size) / 10)} %"
    return f"{_signed(size * sign, abs(size) / 10)} {unit_word(unit, change=True)}".rstrip()


def pair(low: float, high: float, mode: str, unit: str, sign: int, *, to: str = "and") -> str:
    """Say an interval, given in the claimed direction, from its lower to its upper end."""
    ends = sorted((low * sign, high * sign))
    scale, word = (100.0, "%") if mode == "share" else (1.0, unit_word(unit, change=True))
    half = scale * (ends[1] - ends[0]) / 2
    return f"{_signed(scale * ends[0], half)} {to} {_signed(scale * ends[1], half)} {word}".rstrip()


def years_text(years: float) -> str:
    """Say a span: 'one year', '3 years', '18 months'."""
    if years < 0.95:
        return f"{max(1, round(12 * years))} months"
    whole = round(years)
    if abs(years - whole) < 0.15:
        return "one year" if whole == 1 else f"{whole} years"
    return f"{years:.1f} years"


def level_text(low: float, high: float, unit: str) -> str:
    """Say the interval of a level."""
    half = (high - low) / 2
    return f"{tidy(low, half)} and {tidy(high, half)} {unit_word(unit, change=False)}".rstrip()


def _signed(value: float, uncertainty: float) -> str:
    if not math.isfinite(value):
        return "an unknown amount"
    text = tidy(abs(value), uncertainty)
    if float(text) == 0:
        return "0"
    return f"{'+' if value > 0 else '−'}{text}"

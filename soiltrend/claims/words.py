"""Amounts inside sentences: rounded by what is known of them, with their unit and direction."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.data import load_toml
from soiltrend.trends.words import tidy

if TYPE_CHECKING:
    import pandas as pd


def unit_word(unit: str, *, change: bool) -> str:
    """Return the unit as a grower says it: 'points' for a change of a percentage, 'pH units', 'ppm'."""
    words = load_toml("display")["units"].get(unit)
    if words is None:
        return unit
    metric, _, of_change = words
    return str((of_change or metric) if change else metric)


def shown_unit(unit: str, system: str) -> str:
    """Return the unit in which this grower reads the same numbers: 'ppm' for mg/kg where units are us."""
    metric, us, _ = load_toml("display")["units"].get(unit, (unit, unit, ""))
    same_number = unit not in load_toml("display")["conversions"]["shown"]
    return str(us) if system == "us" and us != metric and same_number else unit


def method_name(method: str) -> str:
    """Return the trade's name of a method: 'loss on ignition' for ``loss_on_ignition``."""
    return str(load_toml("display")["methods"].get(method, method.replace("_", " ")))


def own_measurement(rows: pd.DataFrame) -> bool:
    """Whether all of these rows are measurements of the grower's own."""
    return bool((rows["method"] == "own_measurement").all())


def amount(size: float, mode: str, unit: str, sign: int) -> str:
    """Say one size in the claimed direction."""
    if mode == "share":
        return f"{_claimed(100 * size * sign)} %"
    return f"{_claimed(size * sign)} {unit_word(unit, change=True)}".rstrip()


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


def counted_days(days: Sequence[date]) -> str:
    """Say on how many days, in which years: 'On 4 days, 2023–2026'."""
    first, last = days[0].year, days[-1].year
    years = f"{first}" if first == last else f"{first}–{last}"
    return f"On {len(days)} {'day' if len(days) == 1 else 'days'}, {years}"


def break_words(breaks: Sequence[str]) -> str:
    """Say where nothing is compared; of several changes only their days and kinds."""
    if len(breaks) == 1:
        told = re.sub(r"\bmethod (\w+) to (\w+)", _method_change, breaks[0])
        return f"Nothing is compared across this change: {told}."
    kinds = [kind for kind in ("laboratory", "method", "layer") if any(f"{kind} " in text for text in breaks)]
    days = [text.split(" ", 1)[0] for text in breaks]
    named = ", ".join(kinds) or "what was measured"
    return f"Nothing is compared across the changes of {named} on {', '.join(days[:-1])} and {days[-1]}."


def _method_change(found: re.Match[str]) -> str:
    return f"method {method_name(found[1])} to {method_name(found[2])}"


def first_sentence(text: str) -> str:
    """Return the first sentence: one that ends before a capital letter, not at '0.5' or 'St. John'."""
    end = re.search(r"(?<![A-Z][a-z])(?<=[^\W_])[.](?=\s+[A-Z])|(?<=[)%])[.](?=\s+[A-Z])", text)
    return text[: end.end()] if end else text


def level_text(low: float, high: float, unit: str) -> str:
    """Say the interval of a level."""
    half = (high - low) / 2
    return f"{tidy(low, half)} and {tidy(high, half)} {unit_word(unit, change=False)}".rstrip()


def _claimed(value: float) -> str:
    """Write a size as it was said, to three digits."""
    sign = "" if value == 0 else "+" if value > 0 else "−"
    return f"{sign}{float(f'{abs(value):.3g}'):g}"


def _signed(value: float, uncertainty: float) -> str:
    if not math.isfinite(value):
        return "an unknown amount"
    text = tidy(abs(value), uncertainty)
    if float(text) == 0:
        return "0"
    return f"{'+' if value > 0 else '−'}{text}"

"""Organic matter over the years under a yearly input: where it levels off and how fast it gets there."""

import math


def steady_state(yearly_kg_m2: float, kept: float, loss_per_year: float, soil_kg_m2: float) -> float:
    """Return the organic matter in percent at which gain and loss balance.

    100 (R h / k) / M: Magdoff and van Es, Building Soils for Better Crops, table 3.2. Any unit of mass
    does, as long as input and soil are in the same.
    """
    return 100.0 * yearly_kg_m2 * kept / loss_per_year / soil_kg_m2


def yearly_input(level_pct: float, kept: float, loss_per_year: float, soil_kg_m2: float) -> float:
    """Return the yearly input that holds a level: :func:`steady_state` turned round."""
    return level_pct / 100.0 * soil_kg_m2 * loss_per_year / kept


def approach(start_pct: float, level_pct: float, loss_per_year: float, years: float) -> float:
    """Return the organic matter in percent after ``years`` on the way from start to level."""
    return level_pct + (start_pct - level_pct) * math.exp(-loss_per_year * years)


def yearly_steps(start_pct: float, gain_pct: float, loss_per_year: float, years: int) -> float:
    """Return the organic matter in percent after whole years: each loses its share, then gains."""
    value = start_pct
    for _ in range(years):
        value = value * (1.0 - loss_per_year) + gain_pct
    return value

"""Metric amounts as a reader of US units sees them. For display only."""

from soiltrend.data import load_toml


def to_us(value: float, unit: str) -> tuple[float, str]:
    """Return ``value`` and its unit in US customary units; a unit without a counterpart stays."""
    rows = load_toml("measures")["us"]
    if unit not in rows:
        return value, unit
    return value * rows[unit]["factor"], str(rows[unit]["unit"])

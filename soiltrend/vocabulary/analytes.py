"""The analytes a soil report can print and the methods behind them (data/analytes.toml, methods.toml)."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from soiltrend.data import load_toml
from soiltrend.errors import SoiltrendError


@dataclass(frozen=True, slots=True, kw_only=True)
class Analyte:
    """One thing a soil report measures.

    ``unit`` is the canonical unit code; ``scale`` the scale a trend is fitted on; ``weight`` the element
    whose atomic weight counts (``N`` for nitrate nitrogen). Values below or above ``impossible`` cannot be,
    those outside ``suspicious`` need a second look; both are in ``unit``. ``decimals`` is how many
    decimals laboratories usually print.
    """

    name: str
    label: str
    symbol: str
    unit: str
    scale: Literal["log", "raw"]
    group: str
    charge: int | None = None
    weight: str | None = None
    impossible: tuple[float, float]
    suspicious: tuple[float, float]
    decimals: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """One way to extract or measure. ``applies`` holds the analytes the words are believed for."""

    name: str
    label: str
    spellings: tuple[str, ...]
    applies: frozenset[str]
    generic: bool = False


@cache
def analytes() -> Mapping[str, Analyte]:
    """Return every analyte by its vocabulary name, in the order reports are read."""
    return MappingProxyType({name: _analyte(name, row) for name, row in load_toml("analytes").items()})


def _analyte(name: str, row: Mapping[str, Any]) -> Analyte:
    return Analyte(
        name=name,
        label=row["label"],
        symbol=row["symbol"],
        unit=row["unit"],
        scale=row["scale"],
        group=row["group"],
        charge=row.get("charge"),
        weight=row.get("weight"),
        impossible=(row["impossible"][0], row["impossible"][1]),
        suspicious=(row["suspicious"][0], row["suspicious"][1]),
        decimals=row["decimals"],
        source=row["source"],
    )


def analyte(name: str) -> Analyte:
    """Return the analyte with this vocabulary name.

    Raises
    ------
    SoiltrendError
        There is none; the message names the nearest.
    """
    found = analytes().get(name)
    if found is None:
        near = difflib.get_close_matches(name.lower(), analytes(), n=3, cutoff=0.4)
        advice = f"Did you mean {' or '.join(near)}?" if near else f"Known: {', '.join(analytes())}."
        raise SoiltrendError(f"analyte: expected a name of the vocabulary, found {name!r}. {advice}")
    return found


@cache
def methods() -> Mapping[str, Method]:
    """Return every method by its vocabulary name."""
    rows = load_toml("methods")["method"]
    return MappingProxyType({name: _method(name, row) for name, row in rows.items()})


def _method(name: str, row: Mapping[str, Any]) -> Method:
    spelled = [*row.get("spellings", ()), *row.get("cased", ()), *row.get("assumed", ())]
    return Method(
        name=name,
        label=row["label"],
        spellings=tuple(spelled),
        applies=frozenset(a for entry in row["applies"] for a in _members(entry)),
        generic=row.get("generic", False) or row.get("detail", False),
    )


def _members(entry: str) -> tuple[str, ...]:
    """Return one analyte, or the analytes of a group written ``:group``."""
    if not entry.startswith(":"):
        return (entry,)
    return tuple(name for name, known in analytes().items() if known.group == entry[1:])

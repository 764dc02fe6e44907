"""Published constants, every row with its source. Files are read on first use, never on import."""

import csv
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def load_toml(name: str) -> dict[str, Any]:
    """Return one TOML file of this folder (``name`` without the ending). Callers must not change it."""
    return tomllib.loads((files(__name__) / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def load_csv(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of one CSV file of this folder (``name`` without the ending) as dictionaries."""
    text = (files(__name__) / f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))

"""``garden.toml``: the garden's name, how it is sampled, what is known of its soil."""

import re
import tomllib
from typing import Any, Literal

from pydantic import Field, ValidationError

from soiltrend.data import load_toml
from soiltrend.errors import Problem
from soiltrend.records import names
from soiltrend.records.models import Record, Sampling, Soil
from soiltrend.records.problems import expected
from soiltrend.records.tables import NotText, decode

FILE = "garden.toml"


class Settings(Record):
    """Everything that ``garden.toml`` may hold."""

    name: str = ""
    units: Literal["metric", "us"] = "metric"
    sampling: Sampling = Sampling()
    soil: Soil = Soil()
    noise: dict[str, dict[str, float]] = Field(default_factory=dict)


def parse(content: bytes) -> tuple[Settings, list[Problem]]:
    """Return the settings and what is wrong with them; where anything is wrong, the defaults."""
    try:
        text = decode(content)
        tree = tomllib.loads(text)
    except NotText as error:
        return Settings(), [Problem(FILE, None, None, "a text file", str(error), "Save it as plain text.")]
    except (ValueError, RecursionError) as error:  # tomllib's own error, a number of 5,000 digits, 1,000 [[[
        return Settings(), [_broken(str(error), text)]
    problems = _unknown_keys(tree, text) + _inches_to_cm(tree, text)
    try:
        settings = Settings.model_validate(tree)
    except ValidationError as error:
        problems += [
            _problem(dict(item), text) for item in error.errors() if item["type"] != "extra_forbidden"
        ]
        return Settings(), problems
    return settings, problems


def _broken(message: str, text: str) -> Problem:
    found = re.search(r"\(at (?:line (\d+), column \d+|end of document)\)", message)
    line = int(found[1]) if found and found[1] else len(text.splitlines()) or 1
    reason = message[: found.start()].strip() if found else message
    advice = 'A text stands in quotation marks: name = "Home garden".'
    return Problem(FILE, line, None, "TOML that can be read", reason, advice)


def _unknown_keys(tree: dict[str, Any], text: str) -> list[Problem]:
    """Name every key that has no meaning, and take it out of ``tree``."""
    problems = []
    for section, fields in (("", Settings), ("sampling", Sampling), ("soil", Soil)):
        table = tree.get(section, {}) if section else tree
        known = [name for name in fields.model_fields if name != "line"]
        known += ["depth_in"] if section == "sampling" else []
        for name in [name for name in table if name not in known] if isinstance(table, dict) else []:
            where = f"[{section}] {name}" if section else name
            found = f"one of {', '.join(known)}"
            line = _line_of(text, section, name)
            problems.append(Problem(FILE, line, where, found, repr(name), names.advice(name, known)))
            del table[name]
    return problems


def _inches_to_cm(tree: dict[str, Any], text: str) -> list[Problem]:
    sampling = tree.get("sampling")
    if not isinstance(sampling, dict) or "depth_in" not in sampling:
        return []
    inches = sampling.pop("depth_in")
    line = _line_of(text, "sampling", "depth_in")
    if "depth_cm" in sampling:
        return [Problem(FILE, line, "[sampling] depth_in", "depth_cm or depth_in", "both", "Leave one out.")]
    if isinstance(inches, bool) or not isinstance(inches, int | float):
        return [Problem(FILE, line, "[sampling] depth_in", "a number", repr(inches))]
    factor = next(
        row["factor"] for row in load_toml("record_units")["column"] if row["printed"] == "depth_in"
    )
    sampling["depth_cm"] = inches * factor
    return []


def _problem(error: dict[str, Any], text: str) -> Problem:
    path = [str(part) for part in error["loc"]]
    section, key = ".".join(path[:-1]), path[-1]
    where = f"[{section}] {key}" if section else key
    line = _line_of(text, section, key) or _line_of(text, section, "depth_in" if key == "depth_cm" else key)
    return Problem(FILE, line, where, expected(error), repr(error["input"]))


def _line_of(text: str, section: str, name: str) -> int | None:
    """Return the line on which ``name`` is set in ``[section]`` (or ``[section]`` itself starts)."""
    here = ""
    for line, content in enumerate(text.splitlines(), start=1):
        if heading := re.match(r"\s*\[+\s*([^\]]+?)\s*\]", content):
            here = re.sub(r'["\s]', "", heading[1])
            if not section and here.split(".")[0] == name:
                return line
        elif here == section and re.match(rf"\s*[\"']?{re.escape(name)}[\"']?\s*=", content):
            return line
    return None

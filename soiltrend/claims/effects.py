"""What published trials found, told beside a statement as plausibility: a source and its number each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from soiltrend.claims.gates import Verdict
from soiltrend.claims.scope import Reason
from soiltrend.claims.statement import Statement
from soiltrend.data import load_toml

MOST = 2


def published(statement: Statement) -> list[tuple[Verdict, Reason]]:
    """Return at most two findings that bear on a statement, each with the best verdict that it leaves.

    A size beyond what trials explain caps a statement that credits a material: the records may show the
    change, but hardly that this did it.
    """
    found = [outcome for row in load_toml("claim_effects")["effect"] for outcome in _told(row, statement)]
    return found[:MOST]


def limits_of_measure(statement: Statement) -> list[Reason]:
    """Return what the grower's own number cannot say, however it comes out."""
    text = load_toml("claim_effects")["own"].get(statement.measure or "")
    return [Reason("what-it-measures", str(text))] if text else []


def _told(row: Mapping[str, Any], statement: Statement) -> Iterator[tuple[Verdict, Reason]]:
    if statement.measure not in (row["measure"], row.get("or")) or not _fits(row, statement):
        return
    yield "supported", Reason("published", str(row["text"]))
    size, wrong_way = _share(statement), row.get("direction") != statement.direction
    if "most_percent" not in row or size is None or wrong_way or statement.negated:
        return
    if 100 * size > float(row["most_percent"]) and statement.comparator != "at-most":
        yield (
            ("unproven" if statement.cause else "supported"),
            Reason("beyond-published", str(row["beyond"])),
        )


def _fits(row: Mapping[str, Any], statement: Statement) -> bool:
    said = " ".join([statement.cause, *statement.treatments]).casefold()
    if any(word in said for word in row.get("unless", [])):
        return False
    if "amounts" in row:
        low, high = row["amounts"]
        size = statement.change if statement.change is not None else statement.level_to
        return statement.unit == row["unit"] and size is not None and low <= size <= high
    if row.get("direction") not in (None, statement.direction):
        return False
    return not row["about"] or any(word in said for word in row["about"])


def _share(statement: Statement) -> float | None:
    """Return the size of the claimed change as a share of what it was."""
    if statement.times is not None:
        return abs(statement.times - 1)
    return statement.percent / 100 if statement.percent is not None else None

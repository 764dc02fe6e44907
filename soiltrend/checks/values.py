"""Values that no soil of a vegetable bed can have, and parts that do not make a whole."""

from collections.abc import Iterable, Iterator
from typing import Any

import pandas as pd

from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding
from soiltrend.checks.wording import amount, analyte_name, figure, printed, sentence
from soiltrend.data import load_toml
from soiltrend.units import confusions

TEXTURE = ("sand", "silt", "clay")
SAMPLE = ["bed", "sample", "sampled_on", "source", "report"]


def impossible_value(evidence: Evidence) -> Iterable[Finding]:
    """Find values outside what is possible (unbelievable) or beyond published ranges (a note)."""
    table = evidence.measured
    for (analyte, method), group in table.groupby(["analyte", "method"], dropna=False, sort=False):
        limits = _limits(str(analyte), str(method))
        if not group["unit"].isin(load_toml("check_limits")["other"]["units"]).all():
            continue
        for severity, kind in (("unbelievable", "hard"), ("note", "soft")):
            if kind in limits:
                yield from _outside(group, limits, severity, kind, evidence)
    yield from _texture(table, evidence)


def _limits(analyte: str, method: str) -> dict[str, Any]:
    table = load_toml("check_limits")
    row = table.get(analyte, table["other"])
    return dict(row | row.get("methods", {}).get(method, {}))


def _outside(
    group: pd.DataFrame, limits: dict[str, Any], severity: str, kind: str, evidence: Evidence
) -> Iterator[Finding]:
    low, high = limits[kind]
    value = group["value"]
    out = (value < low) | (value > high)
    if kind == "soft" and "hard" in limits:
        out &= value.between(*limits["hard"])
    for row in group.index[out]:
        yield _finding(int(row), (low, high), severity, limits["source"], evidence)


def _finding(row: int, ends: tuple[float, float], severity: str, source: str, evidence: Evidence) -> Finding:
    value, unit = float(evidence.cell(row, "value")), str(evidence.cell(row, "unit"))
    analyte = str(evidence.cell(row, "analyte"))
    bound = ends[0] if value < ends[0] else ends[1]
    beyond = "below" if value < ends[0] else "above"
    limit = "the least" if value < ends[0] else "the most"
    word = "possible" if severity == "unbelievable" else "usual in soil"
    help_text = load_toml("check_help")["impossible-value"]
    printed = str(evidence.cell(row, "value_printed"))
    return Finding(
        code="impossible-value",
        severity=severity,  # type: ignore[arg-type]
        bed=str(evidence.cell(row, "bed")),
        analyte=analyte,
        observations=evidence.places_of([row]),
        text=f"{evidence.cell(row, 'bed')}: {analyte_name(analyte)} {amount(value, unit)} is {beyond} "
        f"{limit} that is {word} ({amount(bound, unit)}).",
        numbers={"value": value, "low": ends[0], "high": ends[1], "unit": unit, "printed": printed},
        causes=_repairs(analyte, value, ends) if value > 0 else (),
        next_step=help_text["do"],
        arithmetic=(
            f"printed {printed}; {figure(value)} against {figure(ends[0])} to {figure(ends[1])} ({source})",
        ),
        would_change=help_text["would_change"],
    )


def _repairs(analyte: str, value: float, ends: tuple[float, float]) -> tuple[Cause, ...]:
    """Return the mix-ups that would bring the value back into range, alike in weight."""
    mending = [c for c in confusions(analyte) if ends[0] <= value / c.factor <= ends[1]]
    return tuple(
        Cause(
            f"unit-{c.code}",
            f"{sentence(c.text)}: {figure(value, 4)} ÷ {figure(c.factor, 4)} = "
            f"{figure(printed(value, 4) / printed(c.factor, 4))}.",
            round(1 / len(mending), 3),
        )
        for c in mending
    )


def _texture(table: pd.DataFrame, evidence: Evidence) -> Iterator[Finding]:
    """Sand, silt and clay are parts of one whole."""
    tolerance = load_toml("check_limits")["sums"]["texture"]
    parts = table[table["analyte"].isin(TEXTURE)]
    for _, sample in parts.groupby(SAMPLE, dropna=False, sort=False):
        total = float(sample["value"].sum())
        if sample["analyte"].nunique() == len(TEXTURE) == len(sample) and abs(total - 100) > tolerance:
            yield _texture_finding(sample, total, evidence)


def _texture_finding(sample: pd.DataFrame, total: float, evidence: Evidence) -> Finding:
    bed = str(sample["bed"].iloc[0])
    sums = " + ".join(figure(v) for v in sample["value"])
    help_text = load_toml("check_help")["impossible-value"]
    return Finding(
        code="impossible-value",
        severity="doubtful",
        bed=bed,
        analyte=None,
        observations=evidence.places_of(list(sample.index)),
        text=f"{bed}: sand, silt and clay make {figure(total)} %, not 100 %.",
        numbers={"total": total, **dict(zip(sample["analyte"], sample["value"].astype(float), strict=True))},
        next_step=help_text["do"],
        arithmetic=(f"{sums} = {figure(total)}",),
        would_change=help_text["would_change"],
    )

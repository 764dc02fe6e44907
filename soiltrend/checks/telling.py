"""A departure told: the sentence, the numbers, the arithmetic and what to do."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import cast

import numpy as np

from soiltrend.checks.anomalies import (
    Anomaly,
)
from soiltrend.checks.budget import allowance
from soiltrend.checks.departed import UNIT, Departed, History, histories
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding, Severity
from soiltrend.checks.wording import (
    SHOWN_BEDS,
    amount,
    analyte_name,
    change,
    day,
    figure,
    listed,
    once_in,
    sentence,
)
from soiltrend.data import load_toml


def finding(found: Departed, evidence: Evidence, code: str, severity: str) -> Finding:
    """Return the finding for one departed series under ``code``."""
    anomaly, panel = found.anomaly, found.anomaly.panel
    seen = histories(anomaly)
    moved = float(np.median([h.moved(panel.log) for h in seen]))
    help_text = load_toml("check_help")[code]
    return Finding(
        code=code,
        severity=cast(Severity, severity),
        bed=found.bed,
        analyte=panel.analyte,
        observations=evidence.places_of([row for history in seen for row in history.rows]),
        text=_text(found, evidence, seen, moved),
        numbers=_numbers(found, evidence, seen, moved),
        causes=found.causes,
        next_step=next_step(found.causes, panel.analyte),
        arithmetic=_arithmetic(found, seen, moved),
        would_change=help_text["would_change"],
    )


def next_step(causes: Sequence[Cause], analyte: str) -> str:
    """Return what to do about the most believed cause."""
    code = causes[0].code if causes else "noise"
    table = load_toml("check_causes")
    row = table["unit"] if code.startswith(UNIT) else table[code]
    return str(row["ask"]).format(analyte=analyte_name(analyte))


def when(found: Departed, evidence: Evidence) -> str:
    """Return ``the report of 12 April 2021`` or ``the reports from 12 April 2021 on``."""
    on = day(evidence.round_days[found.round])
    return f"the report of {on}" if found.anomaly.kind == "one" else f"the reports from {on} on"


def _text(found: Departed, evidence: Evidence, seen: Sequence[History], moved: float) -> str:
    panel = found.anomaly.panel
    how_far = change(moved, panel.log, panel.unit)
    name = analyte_name(panel.analyte)
    against = "its other reports" if found.anomaly.kind == "one" else "the reports before"
    if found.bed is None:
        subject = f"{sentence(name)} of {_all_beds(seen, moved, panel.log)}"
        moved_to = f"stands at {how_far} in {when(found, evidence)}, against {against}"
        return f"{subject} {moved_to}. {found.causes[0].text}"
    here, others = float(np.mean(seen[0].here)), float(np.mean(seen[0].others))
    values = (
        f"{amount(here, panel.unit)} in {when(found, evidence)}, {amount(others, panel.unit)} in {against}"
    )
    return f"{found.bed}: {name} is {values}: {how_far}. {found.causes[0].text}"


def _all_beds(seen: Sequence[History], moved: float, log: bool) -> str:
    alike = sum(np.sign(h.moved(log)) == np.sign(moved) for h in seen)
    return f"all {len(seen)} beds" if alike == len(seen) else f"{alike} of {len(seen)} beds"


def _numbers(found: Departed, evidence: Evidence, seen: Sequence[History], moved: float) -> dict[str, object]:
    anomaly, panel = found.anomaly, found.anomaly.panel
    key = "times" if panel.log else "change"
    return {
        "date": evidence.round_days[found.round].date().isoformat(),
        "pattern": anomaly.kind,
        "unit": panel.unit,
        "here": round(float(np.mean([np.mean(h.here) for h in seen])), 4),
        "elsewhere": round(float(np.mean([np.mean(h.others) for h in seen])), 4),
        key: round(_shown(moved, panel.log), 4),
        f"fitted_{key}": round(_shown(anomaly.size, panel.log), 4),
        "standard_errors": round(abs(anomaly.size) / anomaly.se, 2),
        "degrees_of_freedom": round(anomaly.df, 1),
        f"doubtful_from_{key}": round(_shown(anomaly.doubtful_from, panel.log), 4),
        "chance_of_one_look": anomaly.chance,
        "looks": anomaly.looks,
        "beds": len(seen),
    }


def _shown(size: float, log: bool) -> float:
    return float(np.exp(size)) if log else size


def _arithmetic(found: Departed, seen: Sequence[History], moved: float) -> tuple[str, ...]:
    anomaly, panel = found.anomaly, found.anomaly.panel
    lines = [_sum(history, panel.log, panel.unit) for history in seen[:SHOWN_BEDS]]
    if len(seen) > SHOWN_BEDS:
        rest = [_result(h.moved(panel.log), panel.log) for h in seen[SHOWN_BEDS:]]
        lines.append(f"the other beds in the same way: {listed(rest)}")
    if found.bed is None:
        lines.append(f"middle of the {len(seen)} beds: {_result(moved, panel.log)}")
    elif panel.shares(found.round):
        shared = _shared_move(anomaly)
        alone = _apart(_result(moved, panel.log), _result(shared, panel.log), panel.log)
        sign = "÷" if panel.log else "−"
        apart = _result(shared, panel.log)
        apart = f"({apart})" if apart.startswith("−") else apart
        lines.append(
            f"all beds of that report together: {_result(shared, panel.log)}; "
            f"this bed by itself: {_result(moved, panel.log)} {sign} {apart} = {alone}"
        )
    return (*lines, _rarity(anomaly))


def _rarity(anomaly: Anomaly) -> str:
    """Say how far noise goes in this garden, and how rarely it goes as far as this."""
    panel = anomaly.panel
    reach = change(anomaly.doubtful_from, panel.log, panel.unit)
    gardens = figure(1 / allowance(anomaly.family), 2)
    less = abs(anomaly.size) < abs(anomaly.doubtful_from)
    only = "; this one stays below that and is a note only" if less else ""
    return (
        f"one report scatters by about {panel.prior.text}; over the {anomaly.looks} comparisons of this "
        f"garden noise alone reaches {reach} in less than 1 garden of {gardens}; "
        f"one comparison goes as far as this one {once_in(anomaly.chance)}{only}"
    )


def _shared_move(anomaly: Anomaly) -> float:
    panel, column = anomaly.panel, anomaly.column
    here = [c for c in anomaly.columns if c == column or (anomaly.kind == "from" and c > column)]
    others = [c for c in anomaly.columns if c not in here]
    return float(np.nanmean(panel.shared[here]) - np.nanmean(panel.shared[others]))


def _sum(history: History, log: bool, unit: str) -> str:
    here, others = float(np.mean(history.here)), float(np.mean(history.others))
    spelled = ", ".join(figure(v) for v in history.others)
    mean = (
        f"other reports {spelled}, mean {figure(others, 4)}"
        if len(history.others) > 1
        else f"other report {spelled}"
    )
    top = f"this report {figure(here, 4)}"
    if len(history.here) > 1:
        top = f"from then on {', '.join(map(figure, history.here))}, mean {figure(here, 4)}"
    sign = "÷" if log else "−"
    sums = f"{figure(here, 4)} {sign} {figure(others, 4)} = {_result(history.moved(log), log)}"
    return f"{history.bed}: {mean}; {top}; {sums}"


def _result(size: float, log: bool) -> str:
    return figure(float(np.exp(size))) if log else figure(size, 2)


def _apart(moved: str, shared: str, log: bool) -> str:
    """Return what is left of a printed move after the printed move that all beds share."""
    one, all_beds = (float(text.replace("−", "-").replace(" ", "")) for text in (moved, shared))
    return figure(one / all_beds) if log else figure(one - all_beds, 2)


def merged(findings: Sequence[Finding]) -> Finding:
    """Return one finding for several analytes of one report that moved for the same reason."""
    first = findings[0]
    if len(findings) == 1:
        return first
    names = [analyte_name(f.analyte or "") for f in findings]
    by_analyte = {f.analyte: f.numbers for f in findings}
    moved = listed(f"{name} {_moved_of(f)}" for name, f in zip(names, findings, strict=True))
    return replace(
        first,
        analyte=None,
        severity=min((f.severity for f in findings), key=("unbelievable", "doubtful", "note").index),
        observations=tuple(dict.fromkeys(p for f in findings for p in f.observations)),
        text=f"Several analytes moved together in all beds{_of_date(first)}: {moved}. {first.causes[0].text}",
        numbers={key: first.numbers[key] for key in ("date", "pattern", "beds")} | {"analytes": by_analyte},
        arithmetic=tuple(
            f"{name}: {line}" for name, f in zip(names, findings, strict=True) for line in f.arithmetic
        ),
    )


def _of_date(found: Finding) -> str:
    when = day(date.fromisoformat(str(found.numbers["date"])))
    return f" in the report of {when}" if found.numbers["pattern"] == "one" else f" from {when} on"


def _moved_of(found: Finding) -> str:
    times = found.numbers.get("times")
    if times is not None:
        return change(float(np.log(times)), True, "")
    return change(float(found.numbers["change"]), False, str(found.numbers["unit"]))

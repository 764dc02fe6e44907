"""Departures from a history, explained: what the checks of jumps, units and whole reports share."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import cast

import numpy as np

from soiltrend.checks.anomalies import (
    Anomaly,
    moved_rounds,
    own_departures,
    shared_departures,
    strongest,
)
from soiltrend.checks.budget import allowance
from soiltrend.checks.causes import Case, weigh
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding, Severity
from soiltrend.checks.panels import Panel
from soiltrend.checks.records import own_effects
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

UNIT = "unit-"
HALF = 0.5


@dataclass(frozen=True)
class Departed:
    """An anomaly with its causes; ``bed`` is None for a whole round.

    ``together``: in this round too many analytes moved at once for noise, whatever each did alone.
    """

    anomaly: Anomaly
    causes: tuple[Cause, ...]
    together: bool = False

    @property
    def bed(self) -> str | None:
        """The bed's name, None where all beds of the round moved."""
        bed = self.anomaly.bed
        return None if bed is None else self.anomaly.panel.beds[bed]

    @property
    def round(self) -> int:
        """Number of the round of sampling in which it departed."""
        return self.anomaly.round

    @property
    def severity(self) -> str:
        """``doubtful`` within the garden's budget, alone or together with the round's other analytes."""
        return "doubtful" if self.together and self.bed is None else self.anomaly.severity

    def belief(self, prefix: str) -> float:
        """Return the share of belief in all causes whose code starts with ``prefix``."""
        return sum(cause.weight for cause in self.causes if cause.code.startswith(prefix))

    @property
    def unit(self) -> str | None:
        """The code of the mix-up that explains it best, None where units are not the best explanation."""
        codes = [cause.code for cause in self.causes if cause.code.startswith(UNIT)]
        return codes[0] if codes and self.belief(UNIT) > HALF else None


def departed(evidence: Evidence) -> list[Departed]:
    """Return everything that departed from its history, with weighed causes; worked out once.

    What is only large enough for a note, and is most likely noise after all, is left out.
    """
    return evidence.once("departed", _departed)


def _departed(evidence: Evidence) -> list[Departed]:
    own = strongest([pair for panel in evidence.panels for pair in own_departures(panel)], "jump")
    together = shared_departures(evidence.panels)
    moved = moved_rounds(together)
    shared = strongest(together, "report")
    found = [
        Departed(anomaly, weigh(_case(anomaly, evidence), evidence), anomaly.round in moved)
        for anomaly in [*own, *shared]
    ]
    return [one for one in found if one.severity == "doubtful" or one.belief("noise") <= HALF]


def _case(anomaly: Anomaly, evidence: Evidence) -> Case:
    panel, at = anomaly.panel, anomaly.at
    rounds = [int(number) for number in panel.rounds[anomaly.columns]]
    turn = max(at, 1)
    bed = None if anomaly.bed is None else panel.beds[anomaly.bed]
    effects = _expected(anomaly, bed, (rounds[turn - 1], rounds[turn]), evidence) if bed is not None else {}
    return Case(panel, bed, rounds[at], rounds[turn], rounds[turn - 1], anomaly.looks, own_effects=effects)


def _expected(
    anomaly: Anomaly, bed: str, rounds: tuple[int, int], evidence: Evidence
) -> dict[str, tuple[float, float]]:
    """Return what the records of this bed let one expect between two rounds."""
    history = histories(anomaly)[0]
    before = history.here if anomaly.at == 0 else history.others
    span = (evidence.round_days[rounds[0]].date(), evidence.round_days[rounds[1]].date())
    return own_effects(anomaly.panel, bed, span, float(np.mean(before)), evidence)


@dataclass(frozen=True)
class History:
    """Printed values of one bed here and elsewhere: the departed ones and those they are held against."""

    bed: str
    here: tuple[float, ...]
    others: tuple[float, ...]
    rows: tuple[int, ...]

    def moved(self, log: bool) -> float:
        """Return how far, on the scale of the fit, from the plain means of the printed values."""
        here, others = float(np.mean(self.here)), float(np.mean(self.others))
        return float(np.log(here / others)) if log else here - others


def histories(anomaly: Anomaly) -> list[History]:
    """Return the values behind an anomaly, bed by bed."""
    panel, column = anomaly.panel, anomaly.column
    beds = range(len(panel.beds)) if anomaly.bed is None else [anomaly.bed]
    found = []
    for b in beds:
        has = [c for c in anomaly.columns if not np.isnan(panel.y[b, c])]
        here = [c for c in has if c == column or (anomaly.kind == "from" and c > column)]
        others = [c for c in has if c not in here]
        if here and others:
            rows = tuple(int(panel.row[b, c]) for c in here)
            found.append(History(panel.beds[b], _printed(panel, b, here), _printed(panel, b, others), rows))
    return found


def _printed(panel: Panel, bed: int, columns: Sequence[int]) -> tuple[float, ...]:
    values = panel.y[bed, list(columns)]
    return tuple(float(v) for v in (np.exp(values) if panel.log else values))


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
        alone = _result(moved - shared, panel.log)
        sign = "÷" if panel.log else "−"
        lines.append(
            f"all beds of that report together: {_result(shared, panel.log)}; "
            f"this bed by itself: {_result(moved, panel.log)} {sign} {_result(shared, panel.log)} = {alone}"
        )
    return (*lines, _rarity(anomaly))


def _rarity(anomaly: Anomaly) -> str:
    """Say how far noise goes in this garden, and how rarely it goes as far as this."""
    panel = anomaly.panel
    reach = change(anomaly.doubtful_from, panel.log, panel.unit)
    gardens = figure(1 / allowance(anomaly.family), 2)
    return (
        f"one report scatters by about {panel.prior.text}; over the {anomaly.looks} comparisons of this "
        f"garden noise alone reaches {reach} in less than 1 garden of {gardens}; "
        f"one comparison goes as far as this one {once_in(anomaly.chance)}"
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

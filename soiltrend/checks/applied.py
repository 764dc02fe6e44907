"""What was put on against what the tests show, and char that a test counts as organic matter."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np

from soiltrend.balance import Balance, Possible
from soiltrend.checks.budget import setting
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding, Severity
from soiltrend.checks.pace import (
    alone,
    causes_of,
    layer_for,
    rise_lines,
    rise_numbers,
    span_of,
    taken_words,
    with_taken,
)
from soiltrend.checks.panels import Panel
from soiltrend.checks.rises import Rise, rises
from soiltrend.checks.telling import next_step
from soiltrend.checks.wording import amount, analyte_name, change, day, figure, method_name, printed
from soiltrend.data import load_toml


@dataclass(frozen=True)
class Limits:
    """How far a rise can go: nothing is believed above ``most``, doubted above ``likely``.

    ``alone`` is the largest rise documented in this time without anything put on: a bed that rose no
    faster is not held against its records.
    """

    could: Possible
    alone: float

    @property
    def most(self) -> float:
        """Everything put on, nothing lost, on top of the most that beds did by themselves."""
        return max(self.could.zero_loss, self.could.inputs_only + self.alone)

    @property
    def likely(self) -> float:
        """The high end of what is expected, or what beds did by themselves."""
        return max(self.could.expected.high, self.alone)

    def severity_of(self, rise: Rise) -> str:
        """Return how hard the rise is to believe, empty if it is not."""
        if rise.least > self.most:
            return "unbelievable"
        belief = float(load_toml("check_ceilings")["doubtful"]["belief"])
        beyond = rise.change > self.likely and rise.belief_above(self.likely) >= belief
        return "doubtful" if beyond else ""


def more_than_applied(evidence: Evidence) -> Iterable[Finding]:
    """Find rises beyond what everything put on could give."""
    balance = evidence.balance
    if balance is None or not balance.recorded:
        return
    for rise in rises(evidence):
        could = _possible(rise, balance, evidence)
        if could is not None:
            limits = Limits(could, alone(rise))
            if limits.severity_of(rise):
                yield _finding(rise, limits, evidence)


def _possible(rise: Rise, balance: Balance, evidence: Evidence) -> Possible | None:
    start, end = span_of(rise, evidence)
    panel = rise.panel
    layer = layer_for(panel, rise.name, rise.start, evidence)
    return balance.possible(
        rise.name, panel.analyte, start, end, rise.start, layer, method=panel.method, unit=panel.unit
    )


def _finding(rise: Rise, limits: Limits, evidence: Evidence) -> Finding:
    causes, could = causes_of(rise, evidence), limits.could
    help_text = load_toml("check_help")["more-than-applied"]
    taken = taken_words(rise, evidence)
    severity = limits.severity_of(rise)
    return Finding(
        code="more-than-applied",
        severity=cast(Severity, severity),
        bed=rise.name,
        analyte=rise.panel.analyte,
        observations=evidence.places_of(rise.rows()),
        text=with_taken(_text(rise, limits, severity, evidence), taken, evidence),
        numbers=rise_numbers(rise, evidence)
        | {
            "zero_loss": round(could.zero_loss, 4),
            "most": round(limits.most, 4),
            "expected_low": round(could.expected.low, 4),
            "expected": round(could.expected.typical, 4),
            "expected_high": round(could.expected.high, 4),
            "applications": could.applications,
            "applied_kg_m2": round(could.applied.typical, 4),
        },
        causes=causes,
        next_step=next_step(causes, rise.panel.analyte),
        arithmetic=(*rise_lines(rise, evidence), *could.arithmetic, *_against(rise, limits, severity)),
        would_change=help_text["would_change"],
    )


def _text(rise: Rise, limits: Limits, severity: str, evidence: Evidence) -> str:
    unit = rise.panel.unit
    if severity == "unbelievable":
        most = change(limits.most, False, unit)
        beside = limits.most > limits.could.zero_loss
        put_on = "everything put on" + (" and the most that beds do by themselves" if beside else "")
        bound = f"{put_on} could make at most {most} even if nothing of it was lost"
    else:
        bound = f"what was put on is expected to make at most {change(limits.likely, False, unit)}"
    rose = f"rose by {change(rise.change, False, unit)} (at least {change(rise.least, False, unit)})"
    until = day(rise.date(rise.last, evidence))
    return f"{rise.name}: {analyte_name(rise.panel.analyte)} {rose} up to {until}, but {bound}."


def _against(rise: Rise, limits: Limits, severity: str) -> Iterator[str]:
    """Yield the last lines: what beds did by themselves, and the comparison."""
    unbelievable = severity == "unbelievable"
    limit = limits.most if unbelievable else limits.likely
    if unbelievable and limits.most > limits.could.zero_loss:
        limit = printed(limits.could.inputs_only) + printed(limits.alone)
        yield (
            f"put on {figure(limits.could.inputs_only)} + the most that beds are documented to do by "
            f"themselves in this time {figure(limits.alone)} = {figure(limit)}"
        )
    elif not unbelievable and limits.alone > limits.could.expected.high:
        yield f"the most that beds are documented to do by themselves in this time: {figure(limits.alone)}"
    shown = rise.least if unbelievable else rise.change
    yield (
        f"shown: {'at least' if unbelievable else 'about'} {figure(shown)}; possible: {figure(limit)}; "
        f"{figure(shown)} is more than {figure(limit)}"
    )


def char_counted(evidence: Evidence) -> Iterable[Finding]:
    """Find organic matter tests that count char put on between a bed's first and last report."""
    balance = evidence.balance
    if balance is None or not balance.recorded:
        return
    for panel in evidence.panels:
        if panel.analyte in ("organic_matter", "organic_carbon"):
            for bed in range(len(panel.beds)):
                yield from _char(panel, bed, balance, evidence)


def _char(panel: Panel, bed: int, balance: Balance, evidence: Evidence) -> Iterator[Finding]:
    columns = np.flatnonzero(~np.isnan(panel.y[bed]))
    if columns.size < 2:
        return
    first, last = int(panel.row[bed, columns[0]]), int(panel.row[bed, columns[-1]])
    start, end = evidence.date_of(first).date(), evidence.date_of(last).date()
    before, after = (float(evidence.cell(row, "value")) for row in (first, last))
    if balance.total(panel.beds[bed], start, end).char_carbon.high == 0:
        return
    layer = layer_for(panel, panel.beds[bed], before, evidence)
    could = balance.possible(panel.beds[bed], panel.analyte, start, end, before, layer, method=panel.method)
    if could is not None and could.char.typical >= setting("char", "smallest_points"):
        yield _char_finding(panel, (first, last), could, after - before, evidence)


def _char_finding(
    panel: Panel, rows: tuple[int, int], could: Possible, shown: float, evidence: Evidence
) -> Finding:
    help_text = load_toml("check_help")["char-counted-as-organic-matter"]
    char, unit = could.char, panel.unit
    left = shown - char.typical
    name = analyte_name(panel.analyte)
    how = method_name(panel.method) if panel.method else "a method that is not named"
    when = f"between {day(could.start)} and {day(could.end)}"
    points = [change(value, False, unit) for value in (char.typical, shown, left)]
    return Finding(
        code="char-counted-as-organic-matter",
        severity="note",
        bed=could.bed,
        analyte=panel.analyte,
        observations=evidence.places_of(rows),
        text=f"{could.bed}: char put on {when} is counted as {name} by {how}: about "
        f"{points[0]} ({figure(char.low, 2)} to {figure(char.high, 2)}) of the {points[1]} that the reports "
        f"show is char; {points[2]} is left.",
        numbers={
            "char": round(char.typical, 4),
            "char_low": round(char.low, 4),
            "char_high": round(char.high, 4),
            "change": round(shown, 4),
            "left": round(left, 4),
            "unit": unit,
            "method": panel.method,
        },
        causes=_char_causes(shown, char.typical),
        next_step=help_text["do"],
        arithmetic=(
            f"reports: {amount(could.start_value, unit)} to {amount(could.start_value + shown, unit)} = "
            f"{change(shown, False, unit)}",
            *could.arithmetic,
            f"{figure(shown)} − {figure(char.typical)} from char = {figure(left)}",
        ),
        would_change=help_text["would_change"],
    )


def _char_causes(shown: float, char: float) -> tuple[Cause, ...]:
    """Return how much of a shown rise is char: the share it explains, at most all of it."""
    text = load_toml("check_causes")["char"]["text"]
    share = min(char / shown, 1.0) if shown > 0 else 1.0
    return (Cause("char", text, round(share, 3)),)

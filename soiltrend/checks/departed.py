"""Departures from a history, explained: what the checks of jumps, units and whole reports share."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from soiltrend.checks.anomalies import (
    Anomaly,
    moved_rounds,
    own_departures,
    shared_departures,
    strongest,
)
from soiltrend.checks.budget import setting
from soiltrend.checks.causes import Case, weigh
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause
from soiltrend.checks.panels import Panel
from soiltrend.checks.profiles import swap_explanation
from soiltrend.checks.records import own_effects
from soiltrend.checks.selection import luck_effect

UNIT = "unit-"


def half() -> float:
    """Return the belief above which a cause is more likely than all others together."""
    return setting("belief", "more_likely_than_not")


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
        return codes[0] if codes and self.belief(UNIT) > half() else None


def departed(evidence: Evidence) -> list[Departed]:
    """Return everything that departed from its history, with weighed causes; worked out once.

    What is only large enough for a note, and is most likely noise after all, is left out.
    """
    return evidence.once("departed", _departed)


def _departed(evidence: Evidence) -> list[Departed]:
    panels = evidence.telling_panels
    own = strongest([pair for panel in panels for pair in own_departures(panel)], "jump")
    together = shared_departures(panels)
    shared = strongest(together, "report")
    moved = moved_rounds(together, shared)
    found = [
        Departed(anomaly, _causes(_case(anomaly, evidence), evidence), anomaly.round in moved)
        for anomaly in [*own, *shared]
    ]
    return [one for one in found if one.severity == "doubtful" or one.belief("noise") <= half()]


def _causes(case: Case, evidence: Evidence) -> tuple[Cause, ...]:
    """Return the weighed causes; a single bed's sample may be another bed's."""
    swap = swap_explanation(case, evidence) if case.bed is not None else None
    return weigh(case, evidence, [swap] if swap is not None else [])


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
    luck = luck_effect(anomaly.panel, bed, evidence)
    return own_effects(anomaly.panel, bed, span, float(np.mean(before)), evidence) | luck


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

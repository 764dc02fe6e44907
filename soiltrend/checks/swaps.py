"""Bags that changed places: beds of one round whose values fit each other's history, all analytes together.

For bed i with values x in one round and histories h of its other rounds (what all beds share taken out),
v the variance of x - h, and a bed j that i may really be::

    L = sum over i and analytes of [ (x_i - h_i)² - (x_i - h_j)² ] / 2v          (log likelihood ratio)
    q = sum of (h_i - h_j)² / v

If nothing was swapped, L is about normal with mean -q/2 + k sum of 1/(n + 1) and variance q: a history of n
reports is itself noisy, which makes q too large and draws the samples of an exchange of k beds together. As
each analyte's v is an estimate of some degrees of freedom d, t with q² / sum(q_analyte² / d) of them
(Satterthwaite 1946) is used. If they were swapped, L is about normal with mean +q/2 - k sum of 1/(n + 1).
Beds that were alike until compost went on some of them give an L near 0, which fits neither: no exchange. The
best assignment of samples to histories (Kuhn 1955, Naval Res. Logist. 2:83) is taken apart into its cycles; a
cycle of k of m beds is one of m!/((m - k)! k) that could have been.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from math import lgamma, log

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from soiltrend.checks.budget import allowance, setting
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding
from soiltrend.checks.panels import Panel
from soiltrend.checks.profiles import Profiles, costs, profiles_of
from soiltrend.checks.wording import amount, analyte_name, day, figure, listed, once_in
from soiltrend.data import load_toml
from soiltrend.records.models import Amendment
from soiltrend.records.names import beds_named

Array = NDArray[np.float64]
INTP = NDArray[np.intp]
SHOWN = 5


@dataclass(frozen=True)
class Cycle:
    """Beds whose samples went round: the sample called ``beds[i]`` is really of ``truly[i]``.

    ``chance`` is that of so large a ``gain`` where nothing was swapped, ``exchanged`` that of so small a one
    where they were.
    """

    profiles: Profiles
    members: tuple[int, ...]
    truly: tuple[int, ...]
    gain: float
    expected: float
    chance: float
    exchanged: float

    @property
    def beds(self) -> tuple[str, ...]:
        """Names of the beds in the cycle."""
        return tuple(self.profiles.beds[i] for i in self.members)


def samples_swapped(evidence: Evidence) -> Iterable[Finding]:
    """Find samples of one report that belong to each other's beds."""
    return [_finding(cycle, evidence) for cycle in swapped(evidence)]


def swapped(evidence: Evidence) -> list[Cycle]:
    """Return the cycles beyond the garden's budget; worked out once."""
    return evidence.once("swapped", _swapped)


def _swapped(evidence: Evidence) -> list[Cycle]:
    rounds = range(len(evidence.round_days))
    profiles = [p for number in rounds if (p := profiles_of(number, evidence)) is not None]
    share = allowance("swaps") / max(len(profiles), 1)
    found = [cycle for p in profiles for cycle in cycles(p) if cycle.chance < share]
    return [cycle for cycle in found if not _treated_apart(cycle, evidence)]


def _treated_apart(cycle: Cycle, evidence: Evidence) -> bool:
    """Whether all other rounds lie beyond an application that not every bed of the cycle got.

    The histories then tell of other soil than the samples are of, and cannot say whose they are.
    """
    number, days = cycle.profiles.round, evidence.round_days
    others = {int(r) for panel in cycle.profiles.panels for r in panel.rounds} - {number}
    if not others or min(others) < number < max(others):
        return False
    start, end = sorted((days[number], days[min(others, key=lambda other: abs(other - number))]))
    got = [_applied_between(evidence, bed, start, end) for bed in cycle.beds]
    return any(one != got[0] for one in got)


def _applied_between(evidence: Evidence, bed: str, start: pd.Timestamp, end: pd.Timestamp) -> list[Amendment]:
    garden = evidence.garden
    return [
        a
        for a in garden.amendments
        if start <= pd.Timestamp(a.date) < end
        and (a.bed == bed or any(bed == other.bed for other in beds_named(a.bed, garden.beds)))
    ]


def cycles(profiles: Profiles) -> Iterator[Cycle]:
    """Yield the cycles of the best assignment that is not everybody's own bed.

    A longer cycle gives way to a plain exchange of two of its beds where that is the better explained.
    """
    from scipy.optimize import linear_sum_assignment

    cost, apart = costs(profiles)
    _, truly = linear_sum_assignment(cost)
    for members in _taken_apart(truly):
        ways = [(members, tuple(int(truly[i]) for i in members))]
        if len(members) > 2:
            ways += [(pair, pair[::-1]) for pair in combinations(members, 2)]
        made = [_cycle(profiles, way, cost, apart) for way in ways]
        fitting = [
            c
            for c in made
            if c.expected > 0 and _fits(c, cost) and c.exchanged > setting("swaps", "gains_enough")
        ]
        if fitting:
            yield min(fitting, key=lambda c: c.chance)


def _cycle(
    profiles: Profiles, way: tuple[tuple[int, ...], tuple[int, ...]], cost: Array, apart: Array
) -> Cycle:
    steps = list(zip(*way, strict=True))
    gain = float(sum(cost[i, i] - cost[i, j] for i, j in steps))
    each = np.sum([apart[i, j] for i, j in steps], axis=0)
    chance, exchanged = (
        _chance(gain, each, len(steps), profiles),
        _exchanged(gain, each, len(steps), profiles),
    )
    return Cycle(profiles, *way, gain, float(each.sum()), chance, exchanged)


def _taken_apart(truly: INTP) -> Iterator[tuple[int, ...]]:
    seen: set[int] = set()
    for start in range(truly.size):
        members = []
        at = start
        while at not in seen:
            seen.add(at)
            members.append(at)
            at = int(truly[at])
        if len(members) > 1:
            yield tuple(members)


def _chance(gain: float, each: Array, size: int, profiles: Profiles) -> float:
    """Return the chance that noise makes any cycle of this size fit so much better in this round."""
    if each.sum() <= 0:
        return 1.0
    m = len(profiles.beds)
    ways = lgamma(m + 1) - lgamma(m - size + 1) - log(size)
    return min(_tail(gain + _short_of(each, size, profiles), each, profiles) * float(np.exp(ways)), 1.0)


def _exchanged(gain: float, each: Array, size: int, profiles: Profiles) -> float:
    """Return the chance that this very cycle, if it is true, gains no more than this."""
    return _tail(_short_of(each, size, profiles) - gain, each, profiles) if each.sum() > 0 else 0.0


def _short_of(each: Array, size: int, profiles: Profiles) -> float:
    """Return what a true cycle gains on average, and a false one loses."""
    return float(each.sum()) / 2 - size * float((1 / (profiles.reports + 1))[each > 0].sum())


def _tail(above: float, each: Array, profiles: Profiles) -> float:
    from scipy.special import stdtr

    expected = float(each.sum())
    df = expected**2 / float((each**2 / profiles.df).sum())
    return float(stdtr(df, -above / np.sqrt(expected)))


def _fits(cycle: Cycle, cost: Array) -> bool:
    """Whether the samples lie as near to the other histories as noise lets them."""
    from scipy.special import chdtrc

    left = 2 * sum(cost[i, j] for i, j in zip(cycle.members, cycle.truly, strict=True))
    count = int((~np.isnan(cycle.profiles.x[list(cycle.members)])).sum())
    return bool(chdtrc(count, left) > setting("swaps", "fits_itself"))


def _finding(cycle: Cycle, evidence: Evidence) -> Finding:
    profiles, date = cycle.profiles, evidence.round_days[cycle.profiles.round]
    to = [profiles.beds[j] for j in cycle.truly]
    rows = [
        int(p.row[p.beds.index(bed), p.column_of(profiles.round)])
        for bed in cycle.beds
        for p in profiles.panels
        if bed in p.beds
    ]
    really = listed(
        f"the sample called {bed} is like {other}" for bed, other in zip(cycle.beds, to, strict=True)
    )
    help_text = load_toml("check_help")["samples-swapped"]
    odds = cycle.gain
    belief = 1 / (1 + cycle.chance / allowance("swaps"))
    return Finding(
        code="samples-swapped",
        severity="doubtful",
        bed=None,
        analyte=None,
        observations=evidence.places_of(rows),
        text=f"In the report of {day(date)} {really}: over {len(profiles.panels)} analytes together the "
        f"values fit the other bed's history far better than their own.",
        numbers={
            "date": date.date().isoformat(),
            "beds": list(cycle.beds),
            "like": to,
            "log_likelihood_ratio": round(odds, 2),
            "chance": cycle.chance,
            "analytes": len(profiles.panels),
        },
        causes=(
            Cause("samples-swapped", "The samples or their names changed places.", round(belief, 3)),
            Cause("noise", "Both beds really changed, each towards the other.", round(1 - belief, 3)),
        ),
        next_step=help_text["do"],
        arithmetic=_arithmetic(cycle),
        would_change=help_text["would_change"],
    )


def _arithmetic(cycle: Cycle) -> tuple[str, ...]:
    """Show the analytes that tell the beds apart best."""
    profiles = cycle.profiles
    i, j = cycle.members[0], cycle.truly[0]
    telling = np.argsort(-np.nan_to_num(np.abs(profiles.h[i] - profiles.h[j])), kind="stable")[:SHOWN]
    lines = [_line(profiles, i, j, int(a)) for a in telling if not np.isnan(profiles.x[i, a])]
    scale = np.sqrt(cycle.expected)
    scored = (
        f"over all analytes and {len(cycle.members)} samples the other history is "
        f"e^{figure(cycle.gain)} times as likely; "
    )
    usual = (
        f"unswapped one finds about e^−{figure(cycle.expected / 2)}, give or take {figure(scale)} up there: "
    )
    rare = f"{once_in(max(cycle.chance, 1e-300))} for all swaps possible in this report"
    return (*lines, scored + usual + rare)


def _line(profiles: Profiles, i: int, j: int, a: int) -> str:
    panel = profiles.panels[a]
    column = panel.column_of(profiles.round)
    name = f"{analyte_name(panel.analyte)}, sample called {profiles.beds[i]}"
    here = _printed(panel, profiles.beds[i], column)
    own, other = (_usual(panel, profiles.beds[b], column) for b in (i, j))
    return (
        f"{name}: {amount(here, panel.unit)}; {profiles.beds[i]} in its other reports {figure(own)}, "
        f"{profiles.beds[j]} {figure(other)}"
    )


def _printed(panel: Panel, bed: str, column: int | None) -> float:
    value = float(panel.y[panel.beds.index(bed), column])
    return float(np.exp(value)) if panel.log else value


def _usual(panel: Panel, bed: str, column: int | None) -> float:
    others = np.delete(panel.y[panel.beds.index(bed)], [] if column is None else [column])
    middle = float(np.nanmedian(others))
    return float(np.exp(middle)) if panel.log else middle

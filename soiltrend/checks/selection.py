"""Beds picked because a test was poor: part of a poor test is bad luck, and luck does not repeat.

Regression to the mean (Barnett, van der Pols and Dobson 2005, Int. J. Epidemiol. 34:215): of a bed that
stands ``mu - y0`` below the mean of all, ``(1 - rho) (mu - y0)`` comes back by itself, with rho the share
of the spread between beds that is real: ``rho = s_b² / (s_b² + s_w² / m)`` for m reports before treatment.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from soiltrend.checks.budget import setting
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding
from soiltrend.checks.panels import Panel
from soiltrend.checks.records import amendments_of
from soiltrend.checks.wording import amount, analyte_name, change, figure, printed
from soiltrend.data import load_toml

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Chosen:
    """One chosen bed in one panel, on the scale of the fit: where it started and what came back.

    ``rebound`` is the rise that luck alone is expected to give, ``rise`` what the later reports show
    against the other beds, ``se`` its standard error.
    """

    panel: Panel
    bed: int
    before: tuple[int, ...]
    after: tuple[int, ...]
    mean: float
    start: float
    reliability: float
    rebound: float
    rise: float
    se: float


def reliability(between_variance: float, noise_variance: float, reports: int = 1) -> float:
    """Return rho: the share of the spread of beds that another report would show again."""
    total = between_variance + noise_variance / reports
    return between_variance / total if total > 0 else 1.0


def rebound(reliability: float, deficit: float) -> float:
    """Return the rise that is expected of a bed ``deficit`` below the mean although nothing changed."""
    return (1 - reliability) * deficit


def chosen_because_low(evidence: Evidence) -> Iterable[Finding]:
    """Find beds that were picked for a poor report, and what of their rise that explains."""
    for bed in evidence.garden.beds:
        if bed.chosen_because:
            for panel in _panels(bed.chosen_because, evidence):
                if bed.bed in panel.beds and (chosen := _chosen(panel, bed.bed, evidence)) is not None:
                    yield _finding(chosen, bed.chosen_because, evidence)


def luck_effect(panel: Panel, bed: str, evidence: Evidence) -> dict[str, tuple[float, float]]:
    """Return what bad luck in a chosen bed's first report did to it, as mean and SD; empty if not chosen."""
    if not evidence.bed(bed).chosen_because or bed not in panel.beds:
        return {}
    chosen = _chosen(panel, bed, evidence)
    if chosen is None:
        return {}
    return {"chosen-because-low": (-chosen.rebound, float(panel.own_sd[chosen.bed]))}


def _panels(reason: str, evidence: Evidence) -> list[Panel]:
    """Return the panels that the reason names; where it names none, all."""
    named = [panel for panel in evidence.panels if _named(panel.analyte, reason)]
    return named or list(evidence.panels)


def _named(analyte: str, reason: str) -> bool:
    names = load_toml("display")["analytes"].get(analyte, [analyte.replace("_", " ")] * 2)
    words = [rf"\b{re.escape(str(names[0]).casefold())}\b"]
    if re.search(rf"\b{re.escape(str(names[1]))}\b", reason):
        return True
    return any(re.search(word, reason.casefold()) for word in words)


def _chosen(panel: Panel, name: str, evidence: Evidence) -> Chosen | None:
    """Return the case of one bed; None if it was not low, has no later report or too few beds beside it."""
    bed = panel.beds.index(name)
    before, after = _sides(panel, bed, name, evidence)
    at_start = panel.y[:, list(before)]
    peers = ~np.isnan(at_start).all(axis=1)
    if not before or not after or peers.sum() < setting("chosen", "fewest_beds"):
        return None
    means = np.nanmean(at_start[peers], axis=1)
    start, mean = float(np.nanmean(panel.y[bed, list(before)])), float(means.mean())
    noise = float(panel.own_sd[bed]) ** 2
    between = max(float(means.var(ddof=1)) - noise / len(before), 0.0)
    rho = reliability(between, noise, len(before))
    rise = float(np.nanmean(panel.rest[bed, list(after)]) - np.nanmean(panel.rest[bed, list(before)]))
    se = float(np.sqrt(noise * (1 / len(before) + 1 / len(after))))
    back = rebound(rho, mean - start)
    if start >= mean or back <= 0:
        return None
    return Chosen(panel, bed, before, after, mean, start, rho, back, rise, se)


def _sides(panel: Panel, bed: int, name: str, evidence: Evidence) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the bed's columns before its first application and after; without records the first alone."""
    columns = [int(c) for c in np.flatnonzero(~np.isnan(panel.y[bed]))]
    first = min((row.date for row in amendments_of(name, evidence)), default=None)
    before = [c for c in columns if first and evidence.date_of(int(panel.row[bed, c])) <= pd.Timestamp(first)]
    before = before or columns[:1]
    return tuple(before), tuple(c for c in columns if c not in before)


def _finding(chosen: Chosen, reason: str, evidence: Evidence) -> Finding:
    panel = chosen.panel
    bed = panel.beds[chosen.bed]
    help_text = load_toml("check_help")["chosen-because-low"]
    start, mean = (_value(panel, x) for x in (chosen.start, chosen.mean))
    fake = _value(panel, chosen.start + chosen.rebound) - start
    shown = _value(panel, chosen.start + chosen.rise) - start
    name, unit = analyte_name(panel.analyte), panel.unit
    rows = [int(panel.row[chosen.bed, c]) for c in (*chosen.before, *chosen.after)]
    return Finding(
        code="chosen-because-low",
        severity="doubtful" if _only_luck(chosen) else "note",
        bed=bed,
        analyte=panel.analyte,
        observations=evidence.places_of(rows),
        text=f"{bed} was chosen ({reason}) when its {name} stood at {amount(start, unit)}; all beds had "
        f"{amount(mean, unit)}. Luck alone is expected to bring {change(fake, False, unit)} back; the later "
        f"reports show {change(shown, False, unit)}.",
        numbers={
            "start": round(start, 4),
            "mean_of_beds": round(mean, 4),
            "reliability": round(chosen.reliability, 3),
            "expected_fake_rise": round(fake, 4),
            "shown_rise": round(shown, 4),
            "unit": unit,
            "baseline_reports": len(chosen.before),
        },
        causes=_causes(chosen),
        next_step=help_text["do"],
        arithmetic=tuple(_arithmetic(chosen, mean, start)),
        would_change=help_text["would_change"],
    )


def _value(panel: Panel, scaled: float) -> float:
    return float(np.exp(scaled)) if panel.log else scaled


def _only_luck(chosen: Chosen) -> bool:
    """Whether a rise that would be shown by itself is not shown once the rebound is taken off."""
    from scipy.special import stdtrit

    reach = float(stdtrit(chosen.panel.prior.d0, (1 + setting("chosen", "level")) / 2)) * chosen.se
    return chosen.rise > reach >= chosen.rise - chosen.rebound


def _causes(chosen: Chosen) -> tuple[Cause, ...]:
    """Weigh luck against a real rise: how near the rise lies to the rebound, and to itself."""
    text = load_toml("check_causes")
    luck = np.exp(-(((chosen.rise - chosen.rebound) / chosen.se) ** 2) / 2)
    spread = np.hypot(chosen.se, float(text["real-change"]["effect"].get(chosen.panel.analyte, [0, 0.25])[1]))
    real = chosen.se / spread * np.exp(-(((chosen.rise - chosen.rebound) / spread) ** 2) / 2)
    share = float(luck / (luck + real))
    return tuple(
        sorted(
            (
                Cause("chosen-because-low", text["chosen-because-low"]["text"], round(share, 3)),
                Cause("real-change", "The bed itself changed.", round(1 - share, 3)),
            ),
            key=lambda cause: -cause.weight,
        )
    )


def _arithmetic(chosen: Chosen, mean: float, start: float) -> Iterator[str]:
    panel = chosen.panel
    noise, spread = float(panel.own_sd[chosen.bed]), chosen.reliability
    yield (
        f"of the spread between beds {figure(100 * spread)} % is real, the rest is one report's scatter "
        f"(about {_percent(panel, noise)} beside what all beds share, {len(chosen.before)} report(s) before)"
    )
    if panel.log:
        ratio, share = printed(mean) / printed(start), 1 - spread
        back = printed(printed(ratio, 4) ** printed(share, 3), 4)
        yield f"{figure(mean)} ÷ {figure(start)} = {figure(ratio, 4)}"
        yield f"{figure(ratio, 4)} to the power {figure(share)} = {figure(back, 4)}"
        yield f"{figure(start)} × {figure(back, 4)} = {figure(end := printed(start) * back, 4)}"
        yield f"{figure(end, 4)} − {figure(start)} = {figure(printed(end, 4) - printed(start), 2)}"
    else:
        fake = (1 - printed(spread)) * (printed(mean) - printed(start))
        yield f"(1 − {figure(spread)}) × ({figure(mean)} − {figure(start)}) = {figure(fake, 2)}"


def _percent(panel: Panel, sd: float) -> str:
    return f"{figure(100 * sd, 2)} %" if panel.log else amount(sd, panel.unit, 2)

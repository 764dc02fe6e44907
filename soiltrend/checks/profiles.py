"""A round of samples beside the histories of the beds, all analytes together, in units of their noise."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from soiltrend.checks.budget import setting
from soiltrend.checks.causes import Case, Effect, Explanation
from soiltrend.checks.departures import from_others
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.panels import Panel, derived, natural
from soiltrend.data import load_toml

Array = NDArray[np.float64]
# Half a squared distance that no sample reaches.
NEVER = 1e6


@dataclass(frozen=True)
class Profiles:
    """One round: values ``x`` and histories ``h`` of beds × analytes, in units of the SD of x - h.

    ``scale`` is that SD, ``df`` its degrees of freedom and ``reports`` the number behind a history, analyte
    by analyte.
    """

    round: int
    beds: tuple[str, ...]
    panels: tuple[Panel, ...]
    x: Array
    h: Array
    scale: Array
    df: Array
    reports: Array


def profiles_of(number: int, evidence: Evidence) -> Profiles | None:
    """Return values and histories of one round, scaled; None where no two beds can be compared."""
    panels = [p for p in evidence.panels if p.shares(number) and not derived(p.analyte)]
    beds = sorted({bed for p in panels for bed in p.beds}, key=natural)
    if len(beds) < 2:
        return None
    x, h = np.full((len(beds), len(panels)), np.nan), np.full((len(beds), len(panels)), np.nan)
    scale, reports = [], []
    for a, panel in enumerate(panels):
        at = np.array([beds.index(bed) for bed in panel.beds])
        x[at, a], h[at, a], one = _scaled(panel, number)
        scale.append(one)
        reports.append(_usual_count(panel, number))
    here = ~np.isnan(x) & ~np.isnan(h)
    kept = here.any(axis=1)
    if kept.sum() < 2:
        return None
    x = np.where(here, x, np.nan)
    df = np.array([_spread(panel)[1] for panel in panels])
    names = tuple(bed for bed, keep in zip(beds, kept, strict=True) if keep)
    return Profiles(number, names, tuple(panels), x[kept], h[kept], np.array(scale), df, np.array(reports))


def _scaled(panel: Panel, number: int) -> tuple[Array, Array, float]:
    """Return value and history of each bed in units of the SD of their difference, and that SD."""
    column = panel.column_of(number)
    rest = panel.rest
    others = _others(panel, number)
    known = ~np.isnan(others).all(axis=1)
    history = np.full(rest.shape[0], np.nan)
    history[known] = np.nanmean(others[known], axis=1)
    spread = _spread(panel)[0] * np.sqrt(1 + 1 / _usual_count(panel, number))
    return rest[:, column] / spread, history / spread, float(spread)


def _others(panel: Panel, number: int) -> Array:
    column = panel.column_of(number)
    return panel.rest if column is None else np.delete(panel.rest, column, axis=1)


def _usual_count(panel: Panel, number: int) -> float:
    """Return how many other reports a bed of this panel usually has."""
    return max(float(np.median((~np.isnan(_others(panel, number))).sum(axis=1))), 1.0)


def _spread(panel: Panel) -> tuple[float, float]:
    """Return the SD of one value of this panel and its degrees of freedom, moderated by what is stated."""
    stated, d0 = float(np.median(panel.own_sd)), panel.prior.d0
    away = panel.rest - np.nanmean(panel.rest, axis=1, keepdims=True)
    free = (~np.isnan(away)).sum(axis=1) - 1.0
    seen = np.nansum(away**2, axis=1) / stated**2
    prior, df = from_others(np.append(seen, 0.0)[None, :], np.append(free, 0.0)[None, :], d0)
    # The last, empty series has all beds for its others.
    return stated * float(np.sqrt(prior[0, -1])), float(df[0, -1])


def costs(profiles: Profiles) -> tuple[Array, Array]:
    """Return how far samples are from histories, and histories from each other.

    Half the squared distance of each sample to each history (beds × beds), and the squared distance of
    the histories (beds × beds × analytes).
    """
    gap = profiles.x[:, None, :] - profiles.h[None, :, :]
    own = profiles.h[:, None, :] - profiles.h[None, :, :]
    telling = ~np.isnan(profiles.x - profiles.h) & ~_far_from_all(gap)
    known = telling[:, None, :] & ~np.isnan(gap)
    missing = (telling[:, None, :] & ~known).any(axis=2)
    cost = (np.where(known, gap, 0.0) ** 2).sum(axis=2) / 2
    # A history that lacks an analyte of the sample cannot be shown to be its own.
    return np.where(missing, NEVER, cost), np.where(known, own, 0.0) ** 2


def _far_from_all(gap: Array) -> NDArray[np.bool_]:
    """Whether a value is far from every history: a lost decimal point must not decide who is who."""
    distance = np.where(np.isnan(gap), np.inf, np.abs(gap))
    far = distance.min(axis=1) > setting("swaps", "farthest_sd")
    return np.asarray(far, dtype=bool)


def swap_explanation(case: Case, evidence: Evidence) -> Explanation | None:
    """Return the cause that this bed's sample is another bed's, one way for every other bed of the round."""
    row = load_toml("check_causes")["samples-swapped"]
    profiles = evidence.once(f"profiles {case.round}", lambda e: profiles_of(case.round, e))
    if profiles is None or case.bed not in profiles.beds:
        return None
    here = profiles.beds.index(case.bed)
    ways = [
        tuple(_as_other(profiles, (here, other), a) for a in range(len(profiles.panels)))
        for other in range(len(profiles.beds))
        if other != here and not np.isnan(profiles.h[[here, other]]).any()
    ]
    like = profiles.beds[_nearest(profiles, here)]
    return (
        Explanation("samples-swapped", row["text"].format(what=like), row["prior"], tuple(ways))
        if ways
        else None
    )


def _as_other(profiles: Profiles, pair: tuple[int, int], a: int) -> Effect:
    """Return what one analyte does if this bed's sample is the other's; both histories are noisy."""
    known = profiles.reports[a]
    mean = float(profiles.h[pair[1], a] - profiles.h[pair[0], a]) * profiles.scale[a]
    sd = float(profiles.scale[a] * np.sqrt(2 / (known + 1)))
    return Effect(profiles.panels[a], profiles.beds[pair[0]], "one", mean, sd)


def _nearest(profiles: Profiles, here: int) -> int:
    """Return the other bed whose history lies nearest to this bed's sample."""
    distance = costs(profiles)[0][here].copy()
    distance[here] = np.inf
    return int(np.argmin(distance))

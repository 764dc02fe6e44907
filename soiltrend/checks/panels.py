"""The long table as panels: beds down, rounds of sampling across, one panel per comparable quantity."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from soiltrend.checks.budget import setting
from soiltrend.data import load_toml
from soiltrend.noise import Noise, Prior
from soiltrend.noise import setting as noise_setting
from soiltrend.observations import table

Array = NDArray[np.float64]
INTP = NDArray[np.intp]
KEY = ["analyte", "unit", "method", "depth_from_cm", "depth_to_cm"]
POLISH_ROUNDS = 8


@dataclass(frozen=True)
class Panel:
    """One analyte by one method in one layer: ``y`` is beds × rounds on the scale of its noise.

    ``row`` holds the position of each value in the long table (−1 where there is none), ``rounds`` the
    number of each round of sampling, ``years`` its time, ``lab`` the number of its laboratory.
    ``own_sd`` is the stated noise of one value of each bed without the year's part, ``year_sd`` that part.
    """

    analyte: str
    unit: str
    method: str
    depth: tuple[float, float]
    prior: Prior
    beds: tuple[str, ...]
    rounds: INTP
    years: Array
    lab: INTP
    y: Array
    row: INTP
    own_sd: Array

    @property
    def year_sd(self) -> float:
        """SD of what all beds of a round share."""
        return self.prior.year

    @property
    def key(self) -> tuple[str, str, str, tuple[float, float]]:
        """What makes the panel's values comparable."""
        return self.analyte, self.unit, self.method, self.depth

    def column_of(self, number: int) -> int | None:
        """Return the column of a round of sampling, None where this panel has no value of it."""
        at = int(np.searchsorted(self.rounds, number))
        return at if at < self.rounds.size and self.rounds[at] == number else None

    def in_round(self, number: int) -> bool:
        """Whether any bed has a value in this round of sampling."""
        return self.column_of(number) is not None

    def shares(self, number: int) -> bool:
        """Whether enough beds were sampled in this round to say what they did together."""
        column = self.column_of(number)
        return column is not None and not np.isnan(self.shared[column])

    def changed_laboratory(self, number: int) -> bool:
        """Whether this round went to another laboratory than the one before it."""
        column = self.column_of(number)
        return column is not None and column > 0 and bool(self.lab[column] != self.lab[column - 1])

    @property
    def log(self) -> bool:
        """Whether a difference on the scale of the fit is a ratio of values."""
        return self.prior.scale == "log"

    @cached_property
    def shared(self) -> Array:
        """What all beds of each round did together, NaN where too few beds were sampled to say."""
        return self._polished[0]

    @cached_property
    def rest(self) -> Array:
        """Each value without what its round shared (where that is known)."""
        return self._polished[1]

    @cached_property
    def _polished(self) -> tuple[Array, Array]:
        enough = (~np.isnan(self.y)).sum(axis=0) >= setting("occasion", "fewest_beds")
        shared = np.zeros(self.y.shape[1])
        for _ in range(POLISH_ROUNDS):
            level = np.nanmedian(self.y - shared, axis=1, keepdims=True)
            shared[enough] = np.nanmedian((self.y - level)[:, enough], axis=0)
            if enough.any():
                shared[enough] -= np.median(shared[enough])
        rest = self.y - shared
        return np.where(enough, shared, np.nan), rest


def usable(observations: pd.DataFrame, usual_depth: float | None) -> pd.DataFrame:
    """Return the rows that can enter a comparison, with ``day``, ``round``, ``row`` and filled-in keys.

    ``observations`` must be numbered from 0.
    """
    columns = ["bed", "analyte", "value", "unit", "method", "depth_from_cm", "depth_to_cm", "lab"]
    kept = table.usable(observations)
    kept = kept[~kept["qualifier"].isin(["<", ">"])]
    frame = kept[columns].copy()
    frame["row"] = frame.index.to_numpy()
    frame["day"] = pd.to_datetime(kept["sampled_on"])
    frame["value"] = frame["value"].astype(float)
    frame["lab"] = frame["lab"].fillna("")
    _fill_keys(frame, usual_depth)
    return _numbered_rounds(frame)


def _fill_keys(frame: pd.DataFrame, usual_depth: float | None) -> None:
    """Where a report says nothing of depth or method, take what the garden's other reports say."""
    upper = frame["depth_to_cm"].astype(float)
    mode = upper.dropna().mode()
    fallback = usual_depth or (float(mode.iloc[0]) if len(mode) else 0.0)
    frame["depth_to_cm"] = _snapped(upper.fillna(fallback))
    frame["depth_from_cm"] = _snapped(frame["depth_from_cm"].astype(float).fillna(0.0))
    named = frame[frame["method"].fillna("") != ""]
    single = named.groupby("analyte")["method"].agg(["nunique", "first"])
    only = single.loc[single["nunique"] == 1, "first"]
    blank = frame["method"].fillna("") == ""
    frame["method"] = frame["method"].where(~blank, frame["analyte"].map(only)).fillna("")


def _snapped(depth: pd.Series) -> pd.Series:
    """Return depths with those that differ only by rounding of inches set to the most usual of them."""
    slack = noise_setting("segments", "same_layer_within")
    usual = list(depth.value_counts().index)
    nearest = {d: next(u for u in usual if abs(d - u) <= slack * max(u, d)) for d in usual}
    return depth.map(nearest)


def _numbered_rounds(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the rows with the number of their round of sampling, in the order of its first day."""
    frame = frame.sort_values(["lab", "day", "row"], kind="stable")
    gap = frame["day"].diff() > pd.Timedelta(days=setting("occasion", "days_together"))
    starts = gap | (frame["lab"] != frame["lab"].shift())
    frame["round"] = starts.cumsum()
    first = frame.groupby("round")["day"].min().sort_values(kind="stable")
    frame["round"] = frame["round"].map({old: new for new, old in enumerate(first.index)})
    return frame.sort_values("row", kind="stable")


def panels(frame: pd.DataFrame, printed: pd.Series, noise: Noise) -> tuple[Panel, ...]:
    """Return one panel for each analyte, unit, method and layer of the usable rows."""
    times = frame.groupby("round")["day"].median()
    years = ((times - pd.Timestamp(2000, 1, 1)) / pd.Timedelta(days=365.25)).to_numpy(dtype=float)
    labs = frame.groupby("round")["lab"].first().astype("category").cat.codes.to_numpy(dtype=np.intp)
    axes = (np.asarray(years, dtype=np.float64), np.asarray(labs, dtype=np.intp))
    groups = frame.groupby(KEY, sort=True)
    return tuple(_build(key, group, axes, printed, noise) for key, group in _valid(groups, noise))


def _valid(
    groups: "pd.api.typing.DataFrameGroupBy[Any, Any]", noise: Noise
) -> Iterator[tuple[tuple[Any, ...], pd.DataFrame]]:
    for key, group in groups:
        logged = noise.of(key[0], key[1]).scale == "log"
        kept = group[group["value"] > 0] if logged else group
        if len(kept):
            yield key, kept


def _build(
    key: tuple[Any, ...], group: pd.DataFrame, axes: tuple[Array, INTP], printed: pd.Series, noise: Noise
) -> Panel:
    prior = noise.of(key[0], key[1])
    beds = sorted(group["bed"].unique(), key=natural)
    b = pd.Categorical(group["bed"], categories=beds).codes
    rounds, t = np.unique(group["round"].to_numpy(dtype=np.intp), return_inverse=True)
    value = group["value"].to_numpy(dtype=float)
    scaled = np.log(value) if prior.scale == "log" else value
    count, total = np.zeros((len(beds), rounds.size)), np.zeros((len(beds), rounds.size))
    np.add.at(count, (b, t), 1.0)
    np.add.at(total, (b, t), scaled)
    row = np.full(count.shape, -1, dtype=np.intp)
    row[b[::-1], t[::-1]] = group["row"].to_numpy(dtype=np.intp)[::-1]
    y = np.divide(total, count, out=np.full(count.shape, np.nan), where=count > 0)
    step = rounding_step(printed.iloc[group["row"].to_numpy()])
    return Panel(
        analyte=key[0],
        unit=key[1],
        method=key[2],
        depth=(float(key[3]), float(key[4])),
        prior=prior,
        beds=tuple(beds),
        rounds=rounds,
        years=axes[0][rounds],
        lab=axes[1][rounds],
        y=y,
        row=row,
        own_sd=_own_sd(prior, y, step),
    )


def natural(name: str) -> list[tuple[int, int, str]]:
    """Return a sort key that puts ``Bed 2`` before ``Bed 10``."""
    parts = re.split(r"(\d+)", name.casefold())
    return [(0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts]


def derived(analyte: str) -> bool:
    """Whether a laboratory works this analyte out from others: it brings no news of its own."""
    return analyte in load_toml("check_budget")["derived"]["analytes"]


def rounding_step(printed: "pd.Series") -> float:
    """Return the size of the last decimal place that these printed values carry."""
    decimals = printed.astype(str).str.extract(r"[.,](\d+)\s*$")[0].str.len().max()
    return float(10.0 ** -(0 if pd.isna(decimals) else int(decimals)))


def _own_sd(prior: Prior, y: Array, step: float) -> Array:
    """Return each bed's stated noise without the year's part, near the limit and rounding included.

    Close to the reporting limit: ``s² = CV² + (a/y)² + rounding²/(12 y²)``; rounding is uniform.
    """
    own = max(prior.s0**2 - prior.year**2, 0.0)
    level = np.exp(np.nanmedian(y, axis=1)) if prior.scale == "log" else np.ones(y.shape[0])
    extra = prior.near_limit**2 if prior.scale == "log" else 0.0
    return np.asarray(np.sqrt(own + (extra + step**2 / 12) / level**2))

"""What could be done to see more, and how many yearly tests each step is worth."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from math import log
from statistics import median

import numpy as np

from soiltrend.comparison import report_noise
from soiltrend.comparison.groups import Pair
from soiltrend.comparison.samples import Samples
from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.planning.ahead import Field, smallest_difference
from soiltrend.planning.design import Design
from soiltrend.planning.model import Lever
from soiltrend.trends import Trend

Reached = Callable[[int], float | None]
"""The smallest rate shown after so many further tests."""


def years_earned(present: Reached, better: Reached) -> float | None:
    """Return how many more yearly tests the present practice needs to see what ``better`` sees.

    Between whole tests the logarithm of the smallest rate is taken as a straight line. None where the
    present practice does not get there within the furthest horizon.
    """
    rules = load_toml("planning")["horizons"]
    tests = int(rules["lever_tests"])
    target = better(tests)
    if target is None:
        return 0.0
    before: float | None = None
    for later in range(tests, tests + int(rules["furthest"]) + 1):
        now = present(later)
        if now is not None and now <= target:
            if before is None or now == target:
                return float(later - tests)
            return later - tests - log(target / now) / log(before / now)
        before = now
    return None


def levers(
    analyte: str, trends: Sequence[Trend], noise: Noise, future: Sequence[date], earlier_lab: str
) -> Iterator[Lever]:
    """Yield what more cores, a second bag and a split sample are worth for one analyte.

    ``earlier_lab`` is the laboratory before the present one, empty where it never changed.
    """
    begun = [Design.of(trend) for trend in trends if any(not point.qualifier for point in trend.points)]
    if not begun:
        return
    unit, cores = trends[0].unit, noise.cores or int(load_toml("planning")["cores"]["usual"])
    more = _more_cores(cores)
    if more is not None:
        lesser = _ratio(analyte, unit, noise, more)
        yield _typical("more-cores", analyte, _cores_text(cores, more), _quieter(begun, future, lesser))
    half = _second_bag(analyte, unit, noise)
    yield _typical("second-bag", analyte, SECOND_BAG, _quieter(begun, future, half))
    step = _split_variance(analyte, unit, noise, len(begun))
    broken = [so_far for so_far in begun if len(np.unique(so_far.segment)) > 1]
    if earlier_lab and 2 * len(broken) > len(begun):
        yield _typical("split-sample", analyte, _back_text(earlier_lab), _tied(broken, future, step))
    else:
        yield _typical("split-sample", analyte, SPLIT, _joined(begun, future, step))


SECOND_BAG = "A second bag of fresh cores from each bed, tested as a sample of its own in the same visit"
SPLIT = "When the laboratory has to change: each sample of one visit halved and sent to both laboratories"
CONTROL = "One more bed left unamended and tested with the others from the next visit on"
FIRST_CONTROL = "One bed left unamended and tested with the others: without it no comparison is possible"


def _more_cores(cores: int) -> int | None:
    """Return the usual number where fewer are taken, else twice as many; None where that is too many."""
    rules = load_toml("planning")["cores"]
    if cores >= int(rules["most"]):
        return None
    return int(rules["usual"]) if cores < int(rules["usual"]) else min(2 * cores, int(rules["most"]))


def _cores_text(cores: int, more: int) -> str:
    return f"{more} cores in each bag instead of {cores}"


def _ratio(analyte: str, unit: str, noise: Noise, cores: int) -> float:
    """Return the variance of a report of ``cores`` cores as a multiple of the present one."""
    return (replace(noise, cores=cores).of(analyte, unit).s0 / noise.of(analyte, unit).s0) ** 2


def _second_bag(analyte: str, unit: str, noise: Noise) -> float:
    """Return the variance of the mean of two bags: half of all but the year, which both share."""
    prior = noise.of(analyte, unit)
    year = min(1.0, (prior.year / prior.s0) ** 2)
    return (1 - year) / 2 + year


def _split_variance(analyte: str, unit: str, noise: Noise, beds: int) -> float:
    """Return the variance of the step between two laboratories, learned from ``beds`` split samples.

    One split sample carries two laboratory errors and nothing else; what is left of a report's noise with
    cores without number and without the year is the laboratory's.
    """
    here = noise.of(analyte, unit)
    endless = replace(noise, cores=10**9).of(analyte, unit)
    lab = max(endless.s0**2 - endless.year**2, 0.0) / here.s0**2
    return 2 * lab / beds


def _quieter(begun: Sequence[Design], future: Sequence[date], variance: float) -> list[float | None]:
    """Return the years earned in each bed when reports to come have this variance."""

    def earned(so_far: Design) -> float | None:
        return years_earned(
            lambda tests: so_far.then(future[:tests]).smallest_rate(),
            lambda tests: so_far.then(future[:tests], variance=variance).smallest_rate(),
        )

    return [earned(so_far) for so_far in begun]


def _joined(begun: Sequence[Design], future: Sequence[date], step: float) -> list[float | None]:
    """Return the years earned in each bed when the step of a laboratory change is known this well."""

    def earned(so_far: Design) -> float | None:
        def changed(tests: int) -> Design:
            return so_far.then(future[:tests], new_segment=True)

        return years_earned(
            lambda tests: changed(tests).smallest_rate(),
            lambda tests: replace(changed(tests), join=step).smallest_rate(),
        )

    return [earned(so_far) for so_far in begun]


def _tied(begun: Sequence[Design], future: Sequence[date], step: float) -> list[float | None]:
    """Return the years earned in each bed when the step of the latest change so far gets known this well."""

    def earned(so_far: Design) -> float | None:
        return years_earned(
            lambda tests: so_far.then(future[:tests]).smallest_rate(),
            lambda tests: replace(so_far.then(future[:tests]), join=step).smallest_rate(),
        )

    return [earned(so_far) for so_far in begun]


def _back_text(lab: str) -> str:
    return (
        f"Each sample of the next visit halved, one half to {lab}: ties the years before the change of "
        "laboratory to those since"
    )


def _typical(code: str, analyte: str, text: str, earned: Sequence[float | None]) -> Lever:
    """Return the lever with the median over beds; beds that never get there count as the longest."""
    most = int(load_toml("planning")["horizons"]["furthest"])
    middle = median([most + 1.0 if years is None else years for years in earned])
    return Lever(
        code=code, analyte=analyte, text=text, years_earned=None if middle > most else middle, at_most=most
    )


def control_lever(samples: Samples, pair: Pair, noise: Noise, future: Sequence[date]) -> Lever:
    """Return what one more unamended bed is worth for the comparison of this pair."""
    stated, field = report_noise(samples, noise), Field.of(samples, pair)
    more = field.with_new_bed()

    def smallest(design: Field, tests: int) -> float | None:
        return smallest_difference(design.then(future[:tests]), stated.s0, stated.spread, moderated=True)

    if bool(field.treated.all()):
        return _typical("control-bed", samples.analyte, FIRST_CONTROL, [None])
    earned = years_earned(lambda k: smallest(field, k), lambda k: smallest(more, k))
    return _typical("control-bed", samples.analyte, CONTROL, [earned])

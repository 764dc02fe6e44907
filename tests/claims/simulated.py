"""Simulated gardens as evidence for statements, each made once."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pandas as pd

from soiltrend.balance import build
from soiltrend.checks import run_checks
from soiltrend.claims import Evidence
from soiltrend.claims.possible import most_possible
from soiltrend.comparison import compare
from soiltrend.noise import Noise
from soiltrend.trends import fit_trends
from tests.checks.gardens import TODAY
from tests.checks.gardens import simulated_evidence as for_checks
from tests.simulated_gardens import Simulated, deep_compost, doubling, honest, oxide_report, worst_bed

STORIES: dict[str, Callable[[int, int, int], Simulated]] = {
    "honest": honest,
    "doubling": doubling,
    "deep_compost": deep_compost,
    "oxide_report": oxide_report,
    "worst_bed": worst_bed,
}


@cache
def evidence(story: str, seed: int, beds: int = 5, years: int = 5, treated: int = 0) -> Evidence:
    """A garden of ``story``; its first ``treated`` beds have the treatment compost, drawn by lot."""
    made = STORIES[story](seed, beds, years)
    garden, noise = made.garden, Noise()
    table = made.observations.assign(sampled_on=pd.to_datetime(made.observations["sampled_on"]))
    rows = tuple(
        bed.model_copy(update={"treatment": "compost" if i < treated else "", "assigned": "random"})
        for i, bed in enumerate(garden.beds)
    )
    garden = garden.model_copy(update={"beds": rows}) if treated else garden
    trends = fit_trends(table, noise)
    return Evidence(
        garden=garden,
        observations=table,
        trends=trends,
        noise=noise,
        comparisons=compare(table, trends, garden, noise) if treated else (),
        findings=run_checks(replace(for_checks(made), trends=trends)),
        possible=most_possible(build(garden, TODAY)),
        today=TODAY,
    )

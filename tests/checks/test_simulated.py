"""Whole gardens: honest ones are left alone, planted stories are found.

Small numbers here, with bounds that a binomial of the promised rate meets in all but one run of 10 000;
``tests/generators/believability_study.py`` runs the large ones.
"""

import pytest
from scipy import stats

from tests.checks.gardens import findings_of
from tests.simulated_gardens import STORIES, Simulated, deep_compost, honest

GARDENS = 40
PER_STORY = 12
RARE = 1e-4


def hard(simulated: Simulated) -> list:
    return [finding for finding in findings_of(simulated) if finding.severity != "note"]


@pytest.mark.parametrize("noise", [0.7, 1.0, 1.3])
def test_honest_gardens_of_twelve_beds_are_seldom_doubted_and_never_called_unbelievable(noise):
    found = [hard(honest(seed, noise=noise)) for seed in range(GARDENS)]
    assert sum(map(bool, found)) <= stats.binom.isf(RARE, GARDENS, 0.05)
    assert not [f for garden in found for f in garden if f.severity == "unbelievable"]


@pytest.mark.parametrize(("beds", "years"), [(1, 6), (3, 4), (12, 2), (20, 8)])
def test_honest_gardens_of_other_sizes_are_seldom_doubted(beds, years):
    accused = sum(bool(hard(honest(seed, beds, years))) for seed in range(12))
    assert accused <= stats.binom.isf(RARE, 12, 0.05)


@pytest.mark.parametrize("story", STORIES)
def test_planted_stories_are_found(story):
    found = 0
    for seed in range(PER_STORY):
        planted = STORIES[story](seed)
        found += planted.planted["code"] in {finding.code for finding in hard(planted)}
    assert found >= stats.binom.ppf(RARE, PER_STORY, 0.9)


def test_deep_compost_that_is_in_the_records_is_not_doubted():
    doubted = sum(bool(hard(deep_compost(seed))) for seed in range(PER_STORY))
    assert doubted <= stats.binom.isf(RARE, PER_STORY, 0.05)


def test_a_planted_story_accuses_nobody_else():
    """Findings about single beds name the bed that something happened to."""
    others = 0
    for seed in range(PER_STORY):
        planted = STORIES["doubling"](seed)
        others += any(f.bed not in (None, planted.planted["bed"]) for f in hard(planted))
    assert others <= stats.binom.isf(RARE, PER_STORY, 0.05)

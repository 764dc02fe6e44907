"""The false-alarm budget: one sum for the garden, shared out; quantiles against scipy.stats."""

import numpy as np
import pytest
from scipy import stats

from soiltrend.checks.budget import allowance, sidak
from soiltrend.data import load_toml


def test_the_shares_make_the_budget_of_one_garden_in_twenty():
    table = load_toml("check_budget")
    families = [name for name in table["share"] if name != "source"]
    assert sum(table["share"][name] for name in families) == pytest.approx(1.0)
    assert sum(allowance(name) for name in families) == pytest.approx(0.05)


@pytest.mark.parametrize(("chance", "looks"), [(0.05, 1), (0.05, 10), (0.0125, 1080), (0.9, 3)])
def test_sidak_over_independent_looks_gives_the_chance_back(chance, looks):
    one = sidak(chance, looks)
    assert 1 - (1 - one) ** looks == pytest.approx(chance)
    assert one >= chance / looks  # never stricter than Bonferroni


@pytest.mark.parametrize("name", ["check_budget", "check_causes", "check_ceilings", "check_limits"])
def test_every_table_of_constants_has_a_source(name):
    for key, value in load_toml(name).items():
        assert value.get("source"), f"{name}.{key}"


def test_every_code_has_its_help():
    codes = set(load_toml("check_help"))
    assert len(codes) == 16
    for row in load_toml("check_help").values():
        assert all(row[part] for part in ("means", "do", "would_change"))


def test_a_larger_family_has_a_wider_reach():
    reaches = [stats.t.isf(sidak(0.0125, looks) / 2, 16) for looks in (1, 10, 100, 1000)]
    assert (np.diff(reaches) > 0).all()

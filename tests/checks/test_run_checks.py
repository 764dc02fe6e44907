"""All checks together: order, consequences, every finding in words, and gardens with almost nothing."""

import json
import re
from dataclasses import asdict

import pandas as pd
import pytest

from soiltrend.checks import CHECKS, Evidence, run_checks
from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.observations import to_frame
from tests.checks.gardens import evidence, findings_of, garden, row, series
from tests.simulated_gardens import STORIES, deep_compost, worst_bed

EVERYTHING = [*STORIES.values(), deep_compost, worst_bed]
NUMBER = r"−?\d[\d ]*(?:\.\d+)?"


@pytest.fixture(scope="module")
def all_findings():
    return [finding for story in EVERYTHING for finding in findings_of(story(4))]


def value(text):
    return float(text.replace(" ", "").replace("−", "-"))


def test_the_worst_comes_first_then_the_garden_then_the_beds():
    rows = [
        row("Bed 10", 2020, "ph", 15.0),
        row("Bed 2", 2020, "ph", 15.0),
        row("Bed 1", 2020, "organic_matter", 25.0),
    ]
    found = run_checks(evidence(rows))
    assert [(f.severity, f.bed) for f in found[:2]] == [("unbelievable", "Bed 2"), ("unbelievable", "Bed 10")]
    assert {f.severity for f in found[2:]} == {"note"}


def test_every_code_is_one_of_the_documented_ones(all_findings):
    assert {f.code for f in all_findings} <= set(load_toml("check_help"))


def test_every_finding_is_told_in_full(all_findings):
    for f in all_findings:
        assert f.text.endswith("."), f.text
        assert f.observations, f.text
        assert f.next_step and f.would_change, f.code
        assert f.arithmetic or f.severity == "note", f.code
        assert not re.search(r"\bnan\b|\binf\b|None|e-\d", f.text + " ".join(f.arithmetic)), f.text


def test_a_pocket_calculator_gives_the_same_results(all_findings):
    """Every printed division and subtraction comes out as printed, within the rounding of its terms."""
    checked = 0
    for f in all_findings:
        for line in f.arithmetic:
            for a, sign, b, c in re.findall(
                rf"(?<![\w.(])({NUMBER}) ([÷−]) ({NUMBER}) (?:years )?= ({NUMBER})", line
            ):
                x, y, result = value(a), value(b), value(c)
                exact = x / y if sign == "÷" else x - y
                assert result == pytest.approx(exact, rel=0.012, abs=0.06), line
                checked += 1
    assert checked > 50


def sums_of(line):
    """Return each sum of a line as (what is printed, result, decimals of the result, computed result)."""
    found = []
    for terms, result in re.findall(r"([\d(][\d .()%×÷+/−]*|−[\d .÷−]+) = (−?[\d ]*\d(?:\.\d+)?)", line):
        text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", terms)
        text = re.sub(r"([\d.]+) %", r"(\1/100)", text)
        text = text.replace("−", "-").replace("×", "*").replace("÷", "/").strip()
        if not re.search(r"\d\)? [-+*/] \(?-?\d", text):
            continue
        exact = eval(text)
        percent = f"= {result} %" in line and "%" in terms
        decimals = len(result.partition(".")[2])
        found.append((f"{terms} = {result}", value(result), decimals, 100 * exact if percent else exact))
    return found


def test_every_sum_comes_out_to_its_last_printed_digit(all_findings):
    """A reader with a calculator gets what is printed from what is printed, not from hidden digits."""
    sums = [one for f in all_findings for line in f.arithmetic for one in sums_of(line)]
    assert len(sums) > 50
    for text, result, decimals, exact in sums:
        assert abs(result - exact) <= 0.5005 * 10.0**-decimals, text


def test_every_check_of_the_interface_can_be_called_on_its_own():
    e = evidence(series("Bed 1", "ph", [6.4, 6.5]))
    assert len(CHECKS) == len({check.__name__ for check in CHECKS}) == 16
    assert all(check.__doc__ for check in CHECKS)
    for check in CHECKS:
        list(check(e))


@pytest.mark.parametrize(
    "rows",
    [
        [],
        [row("Bed 1", 2020, "ph", 6.4)],
        [row("Bed 1", 2020, "ph", None)],
        [row("Bed 1", 2020, "ph", 6.4, sampled_on=None)],
        [row("Bed 1", 2020, "zinc", 0.5, qualifier="<")],
        [row("Bed 1", 2020, "zinc", 0.0), row("Bed 1", 2021, "zinc", 0.0)],
        series("Bed 1", "organic_matter", [3.0, 3.1]),
        [row("Bed 1", 2020, "phosphorus", -4.0, notes=("impossible-value",))],
        [row("Bed 1", 2020, "ph", 6.4), row("Bed 1", 2020, "ph", 6.4, lab="Moorend Laboratory")],
        [row("Bed 1", 2020, "phosphorus", 40.0), row("Bed 1", 2020, "phosphorus", 44.0)],
        [row(f"Bed {i}", 2020, "phosphorus", 40.0 + i) for i in range(20)],
    ],
    ids=lambda rows: f"{len(rows)} rows",
)
def test_gardens_with_almost_nothing_raise_no_error_and_no_doubt(rows):
    assert all(f.severity != "doubtful" for f in run_checks(evidence(rows)))


def test_an_empty_table_has_no_findings():
    empty = to_frame([])
    assert run_checks(Evidence(garden(), empty, (), Noise())) == []


def test_rows_in_any_order_give_the_same_findings():
    table = STORIES["oxide"](5)
    shuffled = table.observations.sample(frac=1.0, random_state=1)
    noise = Noise(cores=15)
    plain, mixed = (run_checks(Evidence(table.garden, t, (), noise)) for t in (table.observations, shuffled))
    assert [(f.code, f.bed, f.analyte, f.severity) for f in plain] == [
        (f.code, f.bed, f.analyte, f.severity) for f in mixed
    ]


def test_a_copied_row_is_told_once():
    found = findings_of(STORIES["copied"](5))
    planted = STORIES["copied"](5).planted["bed"]
    assert [f.code for f in found if f.bed == planted and f.severity != "note"] == ["repeated-values"]


def test_a_risen_bed_is_not_also_told_as_a_jump():
    for seed in range(6):
        planted = STORIES["doubling"](seed)
        codes = {f.code for f in findings_of(planted) if f.bed == planted.planted["bed"]}
        assert not {"faster-than-documented", "jump-beyond-noise"} <= codes


def test_a_table_with_dates_as_text_is_understood():
    table = to_frame(series("Bed 1", "ph", [6.4, 6.5, 9.9, 6.4, 6.4]))
    table["sampled_on"] = table["sampled_on"].dt.strftime("%Y-%m-%d")
    found = run_checks(Evidence(garden(), pd.DataFrame(table), (), Noise()))
    assert {f.code for f in found} >= {"jump-beyond-noise", "impossible-value"}


def test_every_finding_can_be_written_as_json(all_findings):
    for f in all_findings:
        back = json.loads(json.dumps(asdict(f), allow_nan=False))
        assert back["numbers"] == json.loads(json.dumps(f.numbers))

"""The sentence of a trend: plain words, numbers with their uncertainty, and what cannot be told."""

import re

import pytest

from soiltrend.noise import Noise
from soiltrend.trends import fit_trends
from soiltrend.trends.words import tidy
from tests.trends.tables import flat_garden, rows, table

NOISE = Noise()


def say(values, analyte="organic_matter", **more) -> str:
    return fit_trends(table(rows(values, analyte, **more)), NOISE)[0].sentence


@pytest.mark.parametrize(
    ("value", "uncertainty", "written"),
    [
        (0.2137, 0.05, "0.21"),
        (0.2137, 0.012, "0.214"),
        (0.2137, 0.4, "0.2"),
        (1234.5, 50, "1230"),
        (1234.5, 200, "1230"),
        (1234.5, 400, "1200"),
        (-0.0004, 0.05, "0.00"),
        (4.0, 0.0, "4"),
        (4.0, float("nan"), "4"),
    ],
)
def test_numbers_are_rounded_by_their_uncertainty(value, uncertainty, written) -> None:
    assert tidy(value, uncertainty) == written


CASES = {
    "rise": (
        [2.0, 2.6, 3.3, 4.4, 5.6],
        {},
        ["a rise is shown", "points a year", "5 reports from 2015 to 2019"],
    ),
    "fall": ([5.6, 4.4, 3.3, 2.6, 2.0], {}, ["a fall is shown", "Over 4 years that makes -"]),
    "flat": ([4.0, 4.1, 3.9, 4.0], {}, ["no rise or fall is shown", "would often be missed"]),
    "three": ([4.0, 4.1, 3.9], {}, ["Three reports cannot tell a steady change from one odd sample"]),
    "two": ([4.0, 4.4], {}, ["over one year", "Two reports cannot tell"]),
    "one": ([4.0], {}, ["one report (4 %, of 2015)", "One report says nothing about change"]),
    "apart": ([4.0, 5.0], {"lab": ["A", "B"]}, ["no two of the same laboratory, method and layer"]),
    "change": (
        [4.0, 4.1, 5.0, 5.1],
        {"lab": ["A", "A", "B", "B"]},
        ["not compared across a change (2017-10-01 laboratory)"],
    ),
    "unnamed": ([4.0, 4.1, 4.2], {"method": ["", "x", "x"]}, ["Some reports do not name the method; it is"]),
    "wild": ([4.0, 9.0, 3.0, 8.0, 2.5, 9.0], {}, ["times the stated noise"]),
    "hidden": ([0.5, 0.5], {"qualifier": "<"}, ["all beyond the limit of the method"]),
    "half": ([0.5, 0.5, 0.9], {"qualifier": ["<", "<", ""]}, ["2 of them beyond the limit"]),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_said(case: str) -> None:
    values, more, expected = CASES[case]
    sentence = say(values, **more)
    for words in expected:
        assert words in sentence


@pytest.mark.parametrize("case", CASES)
def test_words_that_promise_too_much_are_not_used(case: str) -> None:
    values, more, _ = CASES[case]
    sentence = say(values, **more).lower()
    for word in ("significant", "proven", "proves", "no effect", "trend", "nan", "none", "inf"):
        assert not re.search(rf"\b{word}\b", sentence), (word, sentence)


def test_units_are_as_a_grower_reads_them() -> None:
    assert "pH units a year" in say([6.0, 6.4, 6.8, 7.2], "ph")
    assert "mg/kg a year" in say([20.0, 40, 80, 160], "phosphorus")
    assert "Bed 1, pH (" in say([6.0, 6.4], "ph")


def test_a_limit_next_to_zero_is_never_printed_as_zero() -> None:
    sentence = say([4.0, 4.2, 5.2, 5.6])
    low = re.search(r"interval (\S+) to", sentence)
    assert low is not None
    assert float(low.group(1)) > 0


def test_a_lean_among_many_is_called_chance() -> None:
    crowd = table(
        rows([3.0, 3.3, 3.5, 4.1, 4.2]),
        *(rows([4.0, 4.1, 4.0, 4.05, 4.0], bed=f"Flat {i}") for i in range(200)),
    )
    noise = Noise({"organic_matter": {"cv_pct": 10, "df": 1000}})
    sentence = next(t for t in fit_trends(crowd, noise) if t.bed == "Bed 1").sentence
    assert "lean up" in sentence
    assert "among the 201 series judged together" in sentence
    assert "a rise is shown" not in sentence


def test_the_source_of_the_noise_figure_is_said() -> None:
    assert "wobble by 10 % (published figures)" in say([4.0, 4.1])
    own = Noise({"organic_matter": {"cv_pct": 6}})
    assert "by 6 % (garden.toml)" in fit_trends(table(rows([4.0, 4.1])), own)[0].sentence
    learned = fit_trends(flat_garden(1, 8, 5, noise=2.0), NOISE)[0]
    assert "scatter more than the published figure" in learned.sentence
    shown = re.search(r"wobble by (\d+) %", learned.sentence)
    assert shown is not None
    assert int(shown.group(1)) > 13

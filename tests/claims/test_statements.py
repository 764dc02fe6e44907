"""200 statements in growers' own wording, written without knowledge of the reader, against the demo garden.

``fixtures/claims/*.csv`` hold what each says, the verdicts that an honest judge could give and those that
would be wrong. The aims are those of the project: 0.9 of all fields understood, 0.9 of all verdicts among the
allowed ones, and no statement ever supported that the records do not carry.
"""

import csv
import re
import shutil
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from soiltrend.claims import check_claim, to_records
from soiltrend.pipeline import Study

TOP = Path(__file__).parents[2]
NUMBERS = ("from", "to", "change", "percent", "times", "span_years")
FLAGS = ("negated", "per_year")
WORDS = ("measure", "direction", "unit")
FILES = ("first_hundred", "fresh_fifty", "second_fifty")


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder = tmp_path_factory.mktemp("statements") / "garden"
    shutil.copytree(TOP / "fixtures" / "demo", folder, ignore=shutil.ignore_patterns("out"))
    return Study(folder, date(2026, 11, 25))


def statements(name: str) -> dict[str, list[dict[str, str]]]:
    parts: dict[str, list[dict[str, str]]] = defaultdict(list)
    with (TOP / "fixtures" / "claims" / f"{name}.csv").open(encoding="utf-8") as stream:
        for row in csv.DictReader(stream):
            parts[row["sentence"]].append(row)
    return parts


def fields(wanted: dict[str, str], got: dict[str, Any]) -> Iterator[bool]:
    for key in NUMBERS:
        want = float(wanted[key]) if wanted[key] else None
        yield (
            got[key] == want
            if want is None or got[key] is None
            else got[key] == pytest.approx(want, rel=0.02)
        )
    for key in FLAGS:
        yield bool(got[key]) == (wanted[key] == "true")
    for key in WORDS:
        yield got[key] == (wanted[key] or None)
    yield set(got["beds"] or []) == {bed for bed in wanted["beds"].split(";") if bed}


@pytest.mark.parametrize("name", FILES)
def test_statements_in_free_wording_are_understood_and_judged(study: Study, name: str) -> None:
    right: list[bool] = []
    allowed: list[bool] = []
    wrongly_supported: list[str] = []
    for sentence, parts in statements(name).items():
        judged = to_records(check_claim(sentence, study.evidence))
        assert len(judged) == len(parts), sentence
        for wanted, got in zip(parts, judged, strict=True):
            right += fields(wanted, got["understood"])
            allowed.append(got["verdict"] in wanted["verdict_ok"].split("|"))
            if got["verdict"] == "supported" and "supported" in wanted["never"].split("|"):
                wrongly_supported.append(sentence)
    assert wrongly_supported == []
    assert sum(right) / len(right) >= 0.9
    assert sum(allowed) / len(allowed) >= 0.9


REPHRASED = [
    ("Organic matter rose in North 2", "OM in the north 2 bed went up"),
    ("OM in South 2 doubled in 3 years", "OM in South 2 doubled in 36 months"),
    (
        "Organic matter in North 2 rose by 1 point since 2020",
        "Organic matter in N2 is up a full point since 2020",
    ),
    ("Potassium in South 1 fell by half", "Potassium in South 1 halved"),
    ("Calcium in North 1 went from 1500 to 1700 ppm", "Calcium in North 1 went from 1500 to 1700 mg/kg"),
]


@pytest.mark.parametrize(("one", "other"), REPHRASED)
def test_rephrasing_keeps_the_verdict(study: Study, one: str, other: str) -> None:
    (first,) = check_claim(one, study.evidence)
    (second,) = check_claim(other, study.evidence)
    assert first.verdict == second.verdict


RANK = {"supported": 3, "unproven": 2, "contradicted": 1, "unbelievable": 1}
POINTS = (0.1, 0.3, 0.6, 1, 2, 3, 5, 9)
LADDERS = [
    [f"Organic matter in {bed} rose by {points} points since 2020" for points in POINTS]
    for bed in ("North 1", "North 2", "South 2", "Kitchen Bed")
] + [
    [f"pH in Orchard Strip went up {units} units since 2021" for units in (0.1, 0.3, 0.5, 0.8, 1.5, 3)],
    [f"Potassium in South 3 rose by {percent} % since 2020" for percent in (1, 5, 10, 30, 60, 100, 300)],
    [f"Yield in North 2 fell {percent} %" for percent in (1, 5, 20, 40, 80)],
]  # fmt: skip


@pytest.mark.parametrize("ladder", LADDERS, ids=[ladder[0] for ladder in LADDERS])
def test_a_stronger_claim_never_gets_a_better_verdict(study: Study, ladder: list[str]) -> None:
    ranks = [RANK[check_claim(text, study.evidence)[0].verdict] for text in ladder]
    assert ranks == sorted(ranks, reverse=True)


def test_a_direction_is_never_judged_worse_than_an_amount_in_that_direction(study: Study) -> None:
    for bed in ("North 1", "North 2", "South 1", "South 2"):
        plain = check_claim(f"Organic matter in {bed} rose", study.evidence)[0].verdict
        sized = check_claim(f"Organic matter in {bed} rose by 1 point", study.evidence)[0].verdict
        assert RANK[plain] >= RANK[sized]


def test_from_one_amended_bed_without_comparison_no_cause_is_granted(study: Study) -> None:
    (judged,) = check_claim("Charged char raised the organic matter in South 2", study.evidence)
    assert judged.verdict != "supported"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("things went well", "no-measure"),
        ("soil health improved", "not-measurable"),
        ("organic matter doubled in bed 12", "unknown-bed"),
        ("boron doubled in North 1", "no-records"),
        ("organic matter in North 1", "no-direction"),
        ("nitrate rose in North 1", "too-few"),
    ],
)
def test_what_cannot_be_tested_says_why(study: Study, text: str, code: str) -> None:
    (judged,) = check_claim(text, study.evidence)
    assert judged.verdict == "untestable"
    assert judged.reasons[0].code == code


# Levels of South 1 in the demo garden: organic matter 2.6 to 3.0 %, pH 5.9 to 6.3 in seven reports.
LEVEL_CLAIMS = [
    ("Organic matter in South 1 is less than 4 %", "supported"),
    ("Organic matter in South 1 is lower than 4 %", "supported"),
    ("Organic matter in South 1 is more than 4 %", "contradicted"),
    ("Organic matter in South 1 is not above 5 %", "supported"),
    ("Organic matter in South 1 is not above 2 %", "contradicted"),
    ("Organic matter in South 1 did not rise to 5 %", "supported"),
    ("pH in South 1 is lower than 7", "supported"),
    ("pH in South 1 is higher than 7", "contradicted"),
]


@pytest.mark.parametrize(("text", "verdict"), LEVEL_CLAIMS)
def test_limits_of_a_level_are_judged_as_limits(study: Study, text: str, verdict: str) -> None:
    assert check_claim(text, study.evidence)[0].verdict == verdict


def test_what_is_doubted_of_one_bed_does_not_make_the_mean_of_all_unbelievable(study: Study) -> None:
    (judged,) = check_claim("Organic matter in all our beds rose by 1 point since 2020", study.evidence)
    assert judged.verdict == "unproven"
    assert "more-than-applied" in {reason.code for reason in judged.reasons}


def test_a_finding_about_a_whole_report_reaches_the_statements_that_rest_on_it(study: Study) -> None:
    (judged,) = check_claim("Phosphorus doubled in North 1 from 2020 to 2021", study.evidence)
    assert "unit-mixup" in {reason.code for reason in judged.reasons}


def test_reasons_are_short_and_name_methods_in_words(study: Study) -> None:
    for text in ("Phosphorus rose in North 2", "Organic matter doubled in South 2", "Zinc rose in South 1"):
        for reason in check_claim(text, study.evidence)[0].reasons:
            assert len(reason.text) < 340
            assert "_" not in reason.text
            assert "What it would have taken" not in reason.text


def test_several_beds_of_one_name_are_read_from_their_numbers(study: Study) -> None:
    (judged,) = check_claim("North 2 and 3 gained a point of organic matter", study.evidence)
    assert judged.statement.beds == ("North 2", "North 3")
    assert judged.statement.change == 1.0


def test_what_to_say_instead_is_in_the_growers_units(study: Study) -> None:
    (record,) = to_records(check_claim("Potassium in South 3 rose", study.evidence))
    assert "ppm" in record["say_instead"]
    assert "mg/kg" not in record["say_instead"]


SETTLED = [
    ("Yield in North 2 rose by 20 % since 2021", r"would (not )?usually show"),
    ("Organic matter rose in the compost beds", r"Settled"),
    ("Liming raised the pH of Orchard Strip by half a unit", r"picked in the same way"),
    ("Phosphorus jumped by a third from 2023 to 2024", r"both laboratories"),
]


@pytest.mark.parametrize(("text", "said"), SETTLED)
def test_what_would_settle_it_is_said(study: Study, text: str, said: str) -> None:
    (record,) = to_records(check_claim(text, study.evidence))
    assert re.search(said, record["to_settle"])

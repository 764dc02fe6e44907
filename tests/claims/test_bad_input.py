"""Whatever is asked, the answer is words that say what to do, never a traceback."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.claims import Evidence, check_claim, to_records
from soiltrend.errors import SoiltrendError
from soiltrend.noise import Noise
from soiltrend.observations import to_frame
from soiltrend.records.models import Bed, Garden
from soiltrend.trends import fit_trends
from tests.checks.gardens import TODAY, row, series
from tests.claims.simulated import evidence


def made(rows: list, beds: tuple[Bed, ...]) -> Evidence:
    table = to_frame(rows)
    garden = Garden(folder=Path("garden"), beds=beds)
    trends = fit_trends(table, Noise()) if len(table) else ()
    return Evidence(garden=garden, observations=table, trends=trends, noise=Noise(), today=TODAY)


SMALL = made(
    [
        *series("North", "organic_matter", [3.0, 3.1, 3.2]),
        *series("South", "organic_matter", [2.0, 2.4, 2.9]),
    ],
    (Bed(bed="North"), Bed(bed="South", treatment="compost")),
)


@pytest.mark.parametrize("text", ["", "   ", "\n\t"])
def test_an_empty_claim_asks_for_a_sentence(text):
    with pytest.raises(SoiltrendError, match="empty"):
        check_claim(text, SMALL)


def test_five_thousand_characters_are_refused_with_the_limit():
    with pytest.raises(SoiltrendError, match=r"5000 characters; at most 2000"):
        check_claim("x" * 5000, SMALL)


UNTESTABLE = [
    ("It all went very well", "no-measure", "what changed"),
    ("Roots are twice as long", "no-records", "Wash and weigh"),
    ("Organic matter rose in the Nroth bed", "unknown-bed", "North"),
    ("Organic matter rose in the composts beds", "unknown-bed", "compost"),
    ("Organic matter rose in the biochar beds", "unknown-group", "The treatments are compost"),
    ("Organic matter rose in North by 5 gallons", "unit-not-comparable", "gal"),
    ("Organic matter doubled in North in ten years", "span-not-covered", "10 years"),
]


@pytest.mark.parametrize(("text", "code", "said"), UNTESTABLE)
def test_what_cannot_be_tested_says_why_and_what_to_do(text, code, said):
    (record,) = to_records(check_claim(text, SMALL))
    assert record["verdict"] == "untestable"
    assert record["reasons"][0]["code"] == code
    assert said in record["reasons"][0]["text"]
    assert record["say_instead"]
    assert record["to_settle"]


def test_an_unknown_name_is_answered_with_the_nearest():
    given = made(series("Orchard Strip", "ph", [6.0, 6.4]), (Bed(bed="Orchard Strip"), Bed(bed="North 1")))
    (judged,) = check_claim("pH rose in North 7", given)
    assert judged.reasons[0].code == "unknown-bed"
    assert "North 1" in judged.reasons[0].text


def test_one_bed_a_group_grants_no_difference():
    (judged,) = check_claim("The compost beds gained more organic matter than the control beds", SMALL)
    assert judged.verdict in {"unproven", "untestable"}


def test_reports_of_a_single_day_show_no_change():
    day = made([row("North", 2024, "organic_matter", 3.0)], (Bed(bed="North"),))
    (judged,) = check_claim("Organic matter doubled in North", day)
    assert judged.reasons[0].code == "too-few"


def test_several_days_of_one_year_are_named_as_such():
    days = [
        row(bed, 2024, "organic_matter", value, sampled_on=date(2024, month, 3))
        for month, value in ((4, 3.0), (5, 3.1), (6, 3.2))
        for bed in ("North", "South")
    ]
    (judged,) = check_claim("Organic matter rose", made(days, (Bed(bed="North"), Bed(bed="South"))))
    assert (judged.verdict, judged.reasons[0].code) == ("untestable", "one-year-only")


def test_all_years_the_same_value_is_no_proof_of_no_change():
    flat = made(series("North", "organic_matter", [3.0] * 4), (Bed(bed="North"),))
    assert check_claim("Organic matter doubled in North", flat)[0].verdict == "contradicted"
    assert check_claim("Organic matter rose in North", flat)[0].verdict in {"unproven", "contradicted"}


def test_a_change_of_laboratory_is_named_in_what_to_say_instead():
    rows = [
        row("North", 2022, "phosphorus", 30.0, lab="Old Mill Laboratory", method="bray_p1"),
        row("North", 2023, "phosphorus", 55.0, lab="Quarry Laboratory", method="mehlich_3"),
    ]
    (record,) = to_records(check_claim("Phosphorus nearly doubled in North", made(rows, (Bed(bed="North"),))))
    assert record["reasons"][0]["code"] == "not-comparable"
    for part in ("Old Mill Laboratory to Quarry Laboratory", "Bray P1 to Mehlich 3"):
        assert part in record["say_instead"]


SPOKEN = (
    "OM pH doubled rose by 3 % points than the control beds compost not in North 2020 to from and ? half "
    "less water yield per year Bed 1 2 , . more because of"
)
WORDS = st.lists(st.sampled_from(sorted(set(SPOKEN.split()))), max_size=14).map(" ".join)


@settings(max_examples=150, deadline=None)
@given(st.one_of(WORDS, st.text(max_size=60)))
def test_no_sentence_ends_in_a_traceback(text):
    try:
        records = to_records(check_claim(text, evidence("honest", 0, 5, 5, treated=2)))
    except SoiltrendError:
        return
    for record in records:
        assert record["verdict"] in {"supported", "unproven", "contradicted", "unbelievable", "untestable"}
        assert record["reasons"]
        assert record["say_instead"].endswith((".", "?"))
        assert record["to_settle"]

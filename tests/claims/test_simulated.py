"""Over simulated gardens: a stronger claim is never judged better, and other words never otherwise."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.claims import check_claim
from tests.claims.simulated import STORIES, evidence

RANK = {"supported": 3, "unproven": 2, "contradicted": 1, "unbelievable": 1, "untestable": 0}
GARDENS = st.tuples(st.sampled_from(sorted(STORIES)), st.integers(0, 1), st.just(5), st.sampled_from((2, 5)))
BEDS = st.sampled_from(("in Bed 1", "in Bed 2", "in Bed 4", "in the whole garden"))
ANALYTES = st.sampled_from(
    (("Organic matter", "points", 3.0), ("Phosphorus", "ppm", 60.0), ("pH", "units", 1.0))
)
quick = settings(max_examples=60, deadline=None)


def verdict(text: str, garden: tuple) -> str:
    (judged,) = check_claim(text, evidence(*garden))
    return judged.verdict


@quick
@given(GARDENS, BEDS, ANALYTES, st.sampled_from(("rose", "fell")), st.floats(0.05, 1), st.floats(1.0, 10))
def test_a_larger_amount_is_never_judged_better(garden, beds, analyte, way, share, times):
    name, unit, scale = analyte
    smaller, larger = (f"{name} {beds} {way} by {scale * s:.4f} {unit}" for s in (share, share * times))
    assert RANK[verdict(smaller, garden)] >= RANK[verdict(larger, garden)]


@quick
@given(GARDENS, BEDS, st.sampled_from(("rose", "fell")), st.integers(1, 60), st.integers(0, 39))
def test_a_larger_percentage_is_never_judged_better(garden, beds, way, percent, more):
    smaller, larger = (f"Phosphorus {beds} {way} by {p} %" for p in (percent, percent + more))
    assert RANK[verdict(smaller, garden)] >= RANK[verdict(larger, garden)]


@quick
@given(GARDENS, BEDS, st.floats(0.1, 3), st.floats(1.0, 5))
def test_a_faster_rise_is_never_judged_better(garden, beds, rate, times):
    slower, faster = (f"Organic matter {beds} rose by {r:.3f} points a year" for r in (rate, rate * times))
    assert RANK[verdict(slower, garden)] >= RANK[verdict(faster, garden)]


@quick
@given(GARDENS, BEDS, ANALYTES, st.sampled_from(("rose", "fell")), st.floats(0.05, 3))
def test_an_amount_is_never_judged_better_than_its_direction(garden, beds, analyte, way, share):
    name, unit, scale = analyte
    plain, sized = f"{name} {beds} {way}", f"{name} {beds} {way} by {scale * share:.4f} {unit}"
    assert RANK[verdict(plain, garden)] >= RANK[verdict(sized, garden)]


@quick
@given(GARDENS, BEDS, st.integers(2, 4), st.integers(5, 90))
def test_another_unit_or_another_way_to_say_the_span_keeps_the_verdict(garden, beds, years, ppm):
    said = [
        f"Phosphorus {beds} rose by {ppm} {unit} {span}"
        for unit in ("ppm", "mg/kg", "milligrams per kilogram")
        for span in (f"in {years} years", f"over {12 * years} months")
    ]
    assert len({verdict(text, garden) for text in said}) == 1


@quick
@given(GARDENS, BEDS, st.sampled_from((2, 3, 4)))
def test_times_percent_and_word_are_one_claim(garden, beds, times):
    words = {2: "doubled", 3: "tripled", 4: "quadrupled"}
    said = [
        f"Phosphorus {beds} {words[times]}",
        f"Phosphorus {beds} went up {times} times",
        f"Phosphorus {beds} rose by {100 * (times - 1)} %",
    ]
    assert len({verdict(text, garden) for text in said}) == 1


@quick
@given(GARDENS, BEDS, ANALYTES, st.sampled_from(("rise", "fall")), st.floats(0.05, 3))
def test_a_statement_and_its_denial_are_never_both_supported(garden, beds, analyte, way, share):
    name, unit, scale = analyte
    amount = f"by {scale * share:.4f} {unit}"
    told = {"rise": "rose", "fall": "fell"}[way]
    both = {
        verdict(f"{name} {beds} {told} {amount}", garden),
        verdict(f"{name} {beds} did not {way} {amount}", garden),
    }
    assert both != {"supported"}


@quick
@given(st.integers(0, 3), st.sampled_from(sorted(STORIES)), st.sampled_from((2, 5)), ANALYTES)
def test_one_amended_bed_never_earns_a_cause(seed, story, years, analyte):
    for text in (f"Compost raised {analyte[0]}", f"{analyte[0]} rose in Bed 1 because of the compost"):
        (judged,) = check_claim(text, evidence(story, seed % 2, 5, years, treated=1))
        assert judged.verdict != "supported"


def test_honest_gardens_seldom_show_a_rise_to_those_who_look_at_every_bed():
    """Of 400 true 'nothing happened', a rise or fall of one bed is supported at most in a few percent."""
    texts = [f"{name} {way} in Bed {bed}" for bed in (1, 2, 3, 4, 5) for name in ("OM", "Phosphorus")
             for way in ("rose", "fell")]  # fmt: skip
    shown = [
        check_claim(text, evidence("honest", seed, 5, 5))[0].verdict == "supported"
        for seed in range(10)
        for text in texts
    ]
    assert sum(shown) <= math.ceil(0.05 * len(shown))

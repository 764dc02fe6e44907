"""Treatments against unamended beds, from the long table to the sentence."""

from dataclasses import fields
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.comparison import COLUMNS, Comparison, to_records
from soiltrend.records.models import Amendment
from tests.comparison.gardens import Trial, report, trial

INTERFACE = [
    "analyte", "unit", "group", "reference", "beds", "reference_beds", "difference_per_year",
    "ci_low", "ci_high", "ci_level", "p_value", "estimator", "verdict",
]  # fmt: skip


def rising(treated: int, control: int, years: range = range(2018, 2024), rate: float = 0.10) -> Trial:
    found = trial(treated, control)
    return found.lines(years, {f"A{i + 1}": rate for i in range(treated)}, seed=1, sd=0.03)


class TestTheRow:
    def test_keys_are_those_of_the_interface_in_their_order(self) -> None:
        (row, *_) = to_records([rising(3, 3).treatment()])
        assert list(row)[: len(INTERFACE)] == INTERFACE
        assert set(COLUMNS) <= set(row)

    def test_numbers_are_in_the_unit_at_the_level_of_the_beds(self) -> None:
        found = trial(3, 3).lines(range(2018, 2024), {"A1": 0.1, "A2": 0.1, "A3": 0.1}).treatment()
        level = np.exp(np.log(3.0) + 0.1 * 2.5 / 2)  # geometric mean over beds and years
        assert found.difference_per_year == pytest.approx(level * np.expm1(0.1), rel=1e-3)
        assert found.percent_per_year == pytest.approx(np.expm1(0.1), rel=1e-3)
        assert found.unit == "%"

    def test_a_real_difference_is_shown(self) -> None:
        found = rising(4, 4).treatment()
        assert found.verdict == "group-rose-more"
        assert found.ci_low is not None and 0 < found.ci_low < 0.33 < (found.ci_high or 0)
        assert "compost (4 beds) rose" in found.sentence
        assert "6 shared visits, 2018 to 2023" in found.sentence

    def test_a_fall_is_shown_as_less(self) -> None:
        assert rising(4, 4, rate=-0.10).treatment().verdict == "group-rose-less"

    def test_nothing_shown_says_how_large_a_difference_is_ruled_out(self) -> None:
        found = rising(4, 4, rate=0.0).treatment()
        assert found.verdict == "no-difference-shown"
        assert "No difference larger than" in found.sentence
        assert found.no_larger_than is not None and found.ci_high is not None and found.ci_low is not None
        assert found.no_larger_than < max(found.ci_high, -found.ci_low)

    @pytest.mark.parametrize(
        ("treated", "control", "estimator"),
        [(1, 3, "moderated"), (3, 3, "moderated"), (3, 9, "moderated"), (4, 4, "pooled")],
    )
    def test_the_estimator_follows_the_smaller_side(self, treated: int, control: int, estimator: str) -> None:
        assert estimator in rising(treated, control).treatment().estimator


class TestYears:
    def test_what_all_beds_share_in_a_year_cancels_exactly(self) -> None:
        quiet = trial(2, 3).lines(range(2018, 2023), {"A1": 0.05}, seed=3)
        wild = trial(2, 3).lines(
            range(2018, 2023), {"A1": 0.05}, seed=3, year_effect={2018: -0.5, 2020: 0.7, 2022: 0.2}
        )
        a, b = quiet.treatment(), wild.treatment()
        assert a.percent_per_year == pytest.approx(b.percent_per_year, abs=1e-12)
        assert a.percent_high == pytest.approx(b.percent_high, abs=1e-4)  # the printed rounding differs

    def test_a_bed_missing_in_a_wild_year_does_not_tilt_the_difference(self) -> None:
        wild = trial(2, 2).lines(range(2018, 2023), {}, year_effect={2022: 0.6})
        wild.rows = [r for r in wild.rows if not (r["bed"] == "A1" and r["sampled_on"].year == 2022)]
        found = wild.treatment()
        assert found.difference_per_year == pytest.approx(0.0, abs=1e-9)

    def test_years_of_one_group_only_are_left_out(self) -> None:
        found = trial(2, 2).lines(range(2018, 2022), {"A1": 0.05, "A2": 0.05})
        for bed in ("A1", "A2"):
            found.test(bed, 2024, 9.0)
        row = found.treatment()
        assert (row.visits, row.last_on) == (4, date(2021, 4, 10))
        assert row.percent_per_year == pytest.approx(np.expm1(0.05), abs=1e-4)  # leap days

    def test_one_report_before_and_one_after(self) -> None:
        found = trial(3, 3)
        for bed, before, after in zip(
            found.treatments, [3, 3.1, 2.9] * 2, [4, 4.1, 3.9, 3, 3.1, 2.9], strict=True
        ):
            found.test(bed, 2020, before)
            found.test(bed, 2022, after)
        row = found.treatment()
        days = (date(2022, 4, 10) - date(2020, 4, 10)).days
        change = np.mean(np.log([4 / 3, 4.1 / 3.1, 3.9 / 2.9])) / days * 365.25
        assert row.percent_per_year == pytest.approx(np.expm1(change), abs=1e-9)
        assert row.verdict in ("group-rose-more", "no-difference-shown")

    def test_groups_tested_in_different_seasons_keep_the_year_in_the_noise(self) -> None:
        shared = trial(3, 3).lines(range(2018, 2024), {}, seed=5)
        apart = trial(3, 3)
        apart.rows = [
            row | {"sampled_on": row["sampled_on"].replace(month=10)} if row["bed"].startswith("A") else row
            for row in shared.rows
        ]
        together, alone = shared.treatment(), apart.treatment()
        assert (together.years_shared, alone.years_shared) == (True, False)
        assert any("share fewer than two visits" in text for text in alone.cautions)
        width = [(r.percent_high or 0) - (r.percent_low or 0) for r in (together, alone)]
        assert width[1] > width[0]


class TestBreaks:
    def test_a_laboratory_change_of_all_beds_cancels(self) -> None:
        rates = {"A1": 0.06, "A2": 0.06}
        found = trial(2, 2).lines(range(2018, 2021), rates)
        later = trial(2, 2).lines(range(2018, 2024), rates, year_effect=dict.fromkeys(range(2021, 2024), 0.4))
        found.rows += [r | {"lab": "Ferncombe Labs"} for r in later.rows if r["sampled_on"].year > 2020]
        row = found.treatment()
        assert row.percent_per_year == pytest.approx(np.expm1(0.06), abs=1e-4)  # leap days
        assert row.visits == 6
        assert any("Ferncombe" in text for text in row.cautions)

    def test_no_line_crosses_a_change_of_method(self) -> None:
        """The amended beds jump with the method (char is counted by ignition), but rise on neither side."""
        found = trial(2, 2).lines(range(2018, 2021), {}, method="walkley_black")
        jump = trial(2, 2).lines(range(2021, 2024), {})
        for row in jump.rows:
            if row["bed"].startswith("A"):
                row["value"] *= 1.5
        found.rows += jump.rows
        row = found.treatment()
        assert row.difference_per_year == pytest.approx(0.0, abs=1e-9)
        assert any("not joined" in text for text in row.cautions)

    def test_six_inches_and_fifteen_centimetres_are_one_layer(self) -> None:
        found = trial(2, 2).lines(range(2018, 2021), {})
        later = trial(2, 2).lines(range(2021, 2024), {}, depth_to_cm=15.24)
        found.rows += later.rows
        row = found.treatment()
        assert row.visits == 6
        assert not any("not joined" in text for text in row.cautions)

    def test_two_methods_side_by_side_are_two_comparisons(self) -> None:
        found = trial(2, 2).lines(range(2018, 2022), {}, method="walkley_black")
        found.lines(range(2018, 2022), {})
        rows = [row for row in found.compare() if row.kind == "treatment"]
        assert {row.method for row in rows} == {"walkley_black", "loss_on_ignition"}


class TestTooFew:
    @pytest.mark.parametrize(
        ("made", "says"),
        [
            (lambda: trial(3, 0).lines(range(2018, 2022), {}), "no unamended bed was tested"),
            (lambda: trial(2, 2).lines([2020], {}), "too few reports"),
            (lambda: trial(2, 2).lines([2020, 2020], {}), "too few reports"),
        ],
        ids=["no control", "one year", "all in one year"],
    )
    def test_says_why(self, made: object, says: str) -> None:
        row = made().treatment()  # type: ignore[operator]
        assert (row.verdict, row.difference_per_year, row.p_value) == ("too-few", None, None)
        assert says in row.sentence

    def test_one_bed_a_side_gives_numbers_but_no_verdict(self) -> None:
        row = trial(1, 1).lines(range(2018, 2024), {"A1": 0.5}).treatment()
        assert row.verdict == "too-few"
        assert row.ci_low is not None and row.ci_low > 0
        assert "one bed on each side is too few to tell a treatment from a bed" in row.sentence

    def test_tested_together_only_once(self) -> None:
        found = trial(1, 1)
        for bed, years in (("A1", (2018, 2019)), ("C1", (2019,))):
            for year in years:
                found.test(bed, year, 3.0)
        assert found.treatment().verdict == "too-few"

    def test_no_reports_at_all(self) -> None:
        assert trial(2, 2).compare() == []

    def test_nothing_treated_and_few_beds_gives_no_ranking(self) -> None:
        (row,) = Trial(dict.fromkeys("ABCD", "")).lines(range(2018, 2022), {}).compare()
        assert (row.kind, row.verdict) == ("bed", "too-few")
        assert "4 beds" in row.sentence


class TestTreatments:
    def test_each_treatment_and_all_together_against_the_unamended(self) -> None:
        found = Trial({"A": "compost", "B": "Compost", "D": "char", "C": "", "E": "control"})
        rows = [r for r in found.lines(range(2018, 2022), {}).compare() if r.kind == "treatment"]
        assert [(r.group, len(r.beds), len(r.reference_beds)) for r in rows] == [
            ("compost", 2, 2),
            ("char", 1, 2),
            ("amended", 3, 2),
        ]

    def test_without_unamended_beds_treatments_stand_against_each_other(self) -> None:
        found = Trial({"A": "compost", "B": "compost", "C": "char", "D": "char"})
        rows = [r for r in found.lines(range(2018, 2022), {}).compare() if r.kind == "treatment"]
        assert [(r.group, r.reference, r.verdict) for r in rows] == [
            ("compost", "unamended", "too-few"),
            ("char", "unamended", "too-few"),
            ("compost", "char", "no-difference-shown"),
        ]

    def test_an_unamended_bed_that_got_something_is_named(self) -> None:
        found = trial(2, 2).lines(range(2018, 2022), {})
        found.amendments = [
            Amendment(line=7, date=date(2019, 5, 1), bed="C2", material="manure", amount=5, unit="kg"),
            Amendment(line=8, date=date(2019, 5, 1), bed="all", material="lime", amount=1, unit="kg"),
        ]
        (caution,) = [text for text in found.treatment().cautions if "counts as unamended" in text]
        assert "C2" in caution and "manure" in caution and "line 7" in caution

    def test_many_visits_before_the_first_application_are_said(self) -> None:
        found = trial(2, 2).lines(range(2015, 2023), {})
        found.amendments = [
            Amendment(date=date(2019, 5, 1), bed="compost", material="compost", amount=5, unit="kg")
        ]
        assert any("5 visits lie before" in text for text in found.treatment().cautions)


class TestByLot:
    def by_lot(self, treated: int, control: int, rate: float) -> Comparison:
        found = rising(treated, control, rate=rate)
        found.beds = {bed: {"assigned": "random"} for bed in found.treatments}
        return found.treatment()

    def test_five_a_side_use_the_permutation(self) -> None:
        row = self.by_lot(5, 5, 0.15)
        assert row.estimator == "exact permutation"
        assert row.p_value == row.permutation_p == pytest.approx(2 / 252)
        assert row.verdict == "group-rose-more"

    def test_three_a_side_can_never_reach_five_percent_so_the_t_is_used(self) -> None:
        row = self.by_lot(3, 3, 0.15)
        assert "moderated" in row.estimator
        assert row.smallest_possible_p == pytest.approx(0.1)
        assert row.p_value != row.permutation_p

    def test_chance_is_not_blamed_on_the_choice_of_beds(self) -> None:
        assert not any("drawn by lot" in text for text in self.by_lot(5, 5, 0.0).cautions)
        assert any("drawn by lot" in text for text in rising(5, 5).treatment().cautions)

    def test_blocks_hold_the_permutation_within_them(self) -> None:
        found = rising(5, 5, rate=0.15)
        found.beds = {bed: {"assigned": "random", "block": bed[1]} for bed in found.treatments}
        row = found.treatment()
        assert row.smallest_possible_p == pytest.approx(2 / 32)


class TestChosenBecauseLow:
    """Barnett et al. 2005: the report that chose the bed must not be its baseline."""

    def chosen(self, years: range) -> Trial:
        """Two beds of eight read low by 0.5 (log) in the first year by bad luck, and are then treated."""
        found = trial(2, 6).lines(years, {}, seed=12, sd=0.05)
        for row in found.rows:
            if row["bed"].startswith("A") and row["sampled_on"].year == years[0]:
                row["value"] *= np.exp(-0.5)
        found.beds = {bed: {"chosen_because": "the poorest beds"} for bed in ("A1", "A2")}
        return found

    def test_with_one_report_since_the_verdict_is_capped(self) -> None:
        row = self.chosen(range(2020, 2022)).treatment()
        assert row.ci_low is not None and row.ci_low > 0
        assert (row.verdict, row.capped) == ("no-difference-shown", True)
        assert "Regression to the mean cannot be ruled out" in row.sentence
        assert row.expected_fake_rise is not None and row.expected_fake_rise > 0

    def test_later_reports_alone_decide_where_there_are_enough(self) -> None:
        row = self.chosen(range(2018, 2024)).treatment()
        assert (row.visits, row.first_on, row.capped) == (5, date(2019, 4, 10), False)
        assert row.verdict == "no-difference-shown"
        assert any("left out" in text for text in row.cautions)

    def test_the_report_before_the_first_application_counts_as_the_choice(self) -> None:
        found = self.chosen(range(2018, 2024))
        found.amendments = [
            Amendment(date=date(2020, 5, 1), bed="compost", material="compost", amount=5, unit="kg")
        ]
        assert found.treatment().first_on == date(2021, 4, 10)

    def test_references_chosen_alike_need_no_cap(self) -> None:
        found = self.chosen(range(2020, 2022))
        found.beds |= {"C1": {"chosen_because": "poor as well"}}
        assert not found.treatment().capped

    @pytest.mark.parametrize(
        ("words", "capped"),
        [
            ("lowest organic matter", True),
            ("lowest OM", True),
            ("poor", True),
            ("lowest pH", False),
            ("Worst phosphorus and low P", False),
            ("slow to drain", False),
        ],
    )
    def test_words_that_name_an_analyte_speak_of_it_alone(self, words: str, capped: bool) -> None:
        found = self.chosen(range(2020, 2022))
        found.beds = {"A1": {"chosen_because": words}}
        assert found.treatment().capped == capped

    def test_other_reasons_do_not_cap(self) -> None:
        found = self.chosen(range(2020, 2022))
        found.beds = {"A1": {"chosen_because": "next to the path"}}
        assert not found.treatment().capped


class TestLimits:
    def test_results_below_a_limit_widen_the_interval(self) -> None:
        found = trial(4, 4).lines(range(2018, 2024), {}, seed=2)
        sure = found.treatment()
        found.rows[0] |= {"qualifier": "<"}
        unsure = found.treatment()
        assert (unsure.ci_low or 0) <= (sure.ci_low or 0) and (unsure.ci_high or 0) >= (sure.ci_high or 0)
        assert any("1 of 48 results lie beyond" in text for text in unsure.cautions)


class TestManyQuestions:
    def test_the_family_is_all_treatments_and_analytes_shown(self) -> None:
        found = rising(4, 4, rate=0.05)
        alone = found.treatment()
        for k in range(9):
            extra = trial(4, 4).lines(range(2018, 2024), {}, seed=100 + k)
            found.rows += [r | {"analyte": f"other_{k}", "unit": "mg/kg"} for r in extra.rows]
        rows = [row for row in found.compare() if row.kind == "treatment"]
        (again,) = [row for row in rows if row.analyte == "organic_matter"]
        assert len(rows) == 10
        assert again.p_value == pytest.approx(alone.p_value)
        assert (again.p_adjusted or 0) >= (alone.p_adjusted or 0)

    def test_second_opinion_where_a_difference_is_shown(self) -> None:
        row = rising(4, 4).treatment()
        assert row.second_opinion is not None
        assert row.second_opinion.difference == pytest.approx(row.difference_per_year, rel=0.05)
        assert any("Kenward-Roger" in text for text in row.cautions)

    def test_no_second_opinion_below_six_beds(self) -> None:
        found = trial(2, 3).lines(range(2018, 2024), {"A1": 0.3, "A2": 0.3}, seed=1, sd=0.02).treatment()
        assert found.verdict == "group-rose-more"
        assert found.second_opinion is None


class TestBedsAgainstEachOther:
    def found(self, beds: int, rates: dict[str, float], seed: int = 4) -> list[Comparison]:
        names = dict.fromkeys([f"B{i}" for i in range(beds)], "")
        return Trial(names).lines(range(2018, 2025), rates, seed=seed, sd=0.05).compare()

    def test_six_beds_give_a_row_each(self) -> None:
        rows = self.found(6, {})
        assert [row.group for row in rows] == [f"B{i}" for i in range(6)]
        assert {row.reference for row in rows} == {"the other beds"}

    def test_a_bed_that_stands_out_is_found_and_drawn_towards_the_others(self) -> None:
        rows = self.found(8, {"B3": 0.25})
        shown = [row for row in rows if row.verdict == "group-rose-more"]
        assert [row.group for row in shown] == ["B3"]
        assert 0 < (shown[0].pooled_difference or 0) < (shown[0].difference_per_year or 0)

    def test_beds_that_do_not_differ_are_drawn_together(self) -> None:
        rows = self.found(8, {})
        assert all(row.verdict == "no-difference-shown" for row in rows)
        assert all((row.spread_at_most or 0) >= (row.spread_per_year or 0) for row in rows)

    def test_a_ranking_of_luck_is_rare(self) -> None:
        """Seventy gardens of eight alike beds: hardly one shows a bed that stands out."""
        shown = sum(
            any(row.verdict != "no-difference-shown" for row in self.found(8, {}, seed=seed))
            for seed in range(70)
        )
        assert shown <= 8  # 5 % of 70 is 3.5; 8 or fewer in 98.6 % of runs


class TestProperties:
    @settings(max_examples=25, deadline=None)
    @given(st.integers(1, 4), st.integers(1, 4), st.integers(2, 6), st.integers(0, 10_000))
    def test_swapping_the_groups_turns_the_sign(self, a: int, b: int, years: int, seed: int) -> None:
        first = trial(a, b).lines(range(2015, 2015 + years), {}, seed=seed)
        second = Trial({bed: "" if t == "compost" else "compost" for bed, t in first.treatments.items()})
        second.rows = first.rows
        one, two = first.treatment(), second.treatment()
        assert one.p_value == pytest.approx(two.p_value, abs=1e-9)
        ratio = (1 + (one.percent_per_year or 0)) * (1 + (two.percent_per_year or 0))
        assert ratio == pytest.approx(1.0, abs=1e-9)

    @settings(max_examples=25, deadline=None)
    @given(st.floats(0.2, 5.0), st.integers(0, 10_000))
    def test_a_unit_that_scales_all_values_leaves_percent_and_p(self, factor: float, seed: int) -> None:
        first = trial(3, 2).lines(range(2018, 2022), {}, seed=seed)
        second = trial(3, 2)
        second.rows = [r | {"value": r["value"] * factor, "value_printed": ""} for r in first.rows]
        first.rows = [r | {"value_printed": ""} for r in first.rows]
        one, two = first.treatment(), second.treatment()
        assert one.percent_per_year == pytest.approx(two.percent_per_year, abs=1e-9)
        assert one.p_value == pytest.approx(two.p_value, abs=5e-3)  # noise near the limit depends on level

    @settings(max_examples=25, deadline=None)
    @given(st.integers(0, 10_000))
    def test_a_shift_of_one_whole_bed_changes_nothing(self, seed: int) -> None:
        first = trial(2, 3).lines(range(2018, 2023), {}, seed=seed)
        second = trial(2, 3)
        second.rows = [
            r | {"value": r["value"] * (4 if r["bed"] == "C2" else 1), "value_printed": ""}
            for r in first.rows
        ]
        assert first.treatment().percent_per_year == pytest.approx(
            second.treatment().percent_per_year, abs=1e-9
        )


def test_every_field_of_the_row_has_a_plain_value() -> None:
    for record in to_records(rising(5, 5).compare()):
        assert set(record) == {field.name for field in fields(Comparison)}
        for value in record.values():
            assert isinstance(value, str | int | float | bool | tuple | dict | date | None)


def test_bed_names_of_reports_that_are_in_no_record_take_no_part() -> None:
    found = trial(2, 2).lines(range(2018, 2022), {})
    found.rows.append(report("Stray 7", date(2018, 4, 10), 9.0))
    row = found.treatment()
    assert "Stray 7" not in row.beds + row.reference_beds

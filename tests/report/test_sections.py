"""Put on, side by side, ahead, statements: from the rows of the commands to the words of the page."""

import pytest

from soiltrend.report import build_model
from soiltrend.report.ahead import plan_tables
from soiltrend.report.argued import claim_views
from soiltrend.report.put_on import applications, balance_tables
from soiltrend.report.series import Scale, break_text
from soiltrend.report.side import beds_called, difference, side_notes, verdict_text
from soiltrend.report.words import first_sentence
from tests.report.sample import BALANCE, CLAIMS, COMPARISONS, PLAN, garden, rich


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_beds_that_got_the_same_on_one_day_share_a_line() -> None:
    lines = applications(garden())
    assert len(lines) == 7
    assert lines[0].beds == ("North 2", "South 1", "South 3", "Orchard edge")
    assert (plain(lines[0].amount), plain(lines[0].placed)) == ("60 L", "mixed in, 0–10 cm")


def test_a_quantity_that_no_bed_got_has_no_column_and_like_beds_share_a_row() -> None:
    held, _ = balance_tables(BALANCE, "metric")
    assert held.heads == ("Bed", "Dry mass", "Organic matter", "N", "P")
    assert tuple(plain(cell) for cell in held.rows[0]) == (
        "North 2, South 1, South 3 and Orchard edge",
        "6.3 (5.1 to 8.0)",
        "2.9 (2.0 to 3.7)",
        "0.076 (0.051 to 0.100)",
        "0.016 (0.010 to 0.022)",
    )


def test_a_us_grower_reads_pounds_per_thousand_square_feet() -> None:
    held, _ = balance_tables(BALANCE, "us")
    assert plain(held.title) == "In all, lb/1000 ft²"
    assert plain(held.rows[0][1]) == "1290 (1040 to 1640)"


@pytest.mark.parametrize(("kg", "said"), [(0.016, True), (0.002, False)])
def test_more_phosphorus_than_the_heaviest_crop_takes_off_is_told(kg: float, said: bool) -> None:
    # 55 lb P2O5 an acre (Tri-State, 150 bushels of corn) are 0.55 lb of P on 1000 ft²: 55 / 43.56 × 0.4364
    year = {"bed": "North 2", "year": "2025", "quantity": "p", "unit": "kg/m2"}
    rows = [*BALANCE, {**year, "low": kg, "typical": kg, "high": kg}]
    rows = [row for row in rows if row["year"] != "2025" or row.get("what") is None]
    note = plain(balance_tables(rows, "us")[0].note)
    assert ("Phosphorus builds up in North 2: about 3.3 lb/1000 ft²" in note) is said
    assert ("a heavy crop of corn 0.55" in note) is said


def test_what_was_possible_stands_beside_what_the_tests_show() -> None:
    _, changes = balance_tables(BALANCE, "metric")
    assert [plain(cell) for cell in changes.rows[1]] == [
        "South 1",
        "Organic matter",
        "2019-2025",
        "+0.45 points (+0.20 to +0.80)",
        "+1.4 points",
        "+6.1 points (+5.5 to +6.7)",
    ]


def test_a_bed_that_got_nothing_is_not_held_against_it() -> None:
    rows = [*BALANCE, {**BALANCE[-1], "bed": "North 1"}]
    assert {row[0] for row in balance_tables(rows, "metric")[1].rows} == {"North 2", "South 1"}


def test_what_next_tests_show_gives_the_range_over_beds() -> None:
    (table,) = plan_tables(PLAN, "metric")
    assert [plain(cell) for cell in table.rows[0]] == [
        "Organic matter",
        "0.62 to 0.87 points",
        "0.50 to 0.69 points",
        "0.37 to 0.52 points",
    ]
    assert table.note.endswith("What helps most with every laboratory test: Thirty cores instead of fifteen.")


def test_steps_that_differ_have_a_column() -> None:
    rows = [*PLAN[:3], *({**row, "best_step": "Lime the bed."} for row in PLAN[:1])]
    (table,) = plan_tables([{**row, "best_step": f"Step {row['analyte']}"} for row in rows], "metric")
    assert table.heads[-1] == "What helps most"
    assert table.rows[1][-1] == "Step ph"


@pytest.mark.parametrize("records", [(), []])
def test_nothing_put_on_and_nothing_planned_make_no_table(records: list[dict[str, object]]) -> None:
    assert balance_tables(records, "metric") == ()
    assert plan_tables(records, "metric") == ()


def test_a_difference_of_groups_in_words() -> None:
    potassium = COMPARISONS[1]
    assert plain(difference(potassium, Scale.of("mg/kg", "us"))) == "+9 ppm a year (+2 to +16)"
    assert plain(verdict_text(potassium, Scale.of("mg/kg", "metric"))) == (
        "Beds with compost rose more than unamended beds (3 beds against 2): +9 mg/kg a year (+2 to +16)."
    )
    few = {**potassium, "verdict": "too-few", "ci_low": None}
    assert verdict_text(few, Scale.of("mg/kg", "metric")).endswith("too few beds or reports to compare.")


def test_a_comparison_with_a_sentence_of_its_own_is_quoted() -> None:
    assert verdict_text({"sentence": "As it is."}, Scale.of("%", "metric")) == "As it is."


def test_groups_are_called_by_what_they_got() -> None:
    assert [beds_called(name) for name in ("compost", "unamended", "amended")] == [
        "beds with compost",
        "unamended beds",
        "amended beds",
    ]


def test_cautions_of_comparisons_are_said_once() -> None:
    rows = [{**COMPARISONS[0], "cautions": ["Once."]}, {**COMPARISONS[1], "cautions": ["Once.", "Twice."]}]
    assert side_notes(rows) == ("Once.", "Twice.")


def test_a_shown_difference_of_groups_leads_the_page() -> None:
    first = build_model(rich()).changed[0]
    assert first.lead == "Potassium rose more in beds with compost than in unamended beds"
    assert first.parts[0].link.href == "#side-potassium"


def test_a_statement_shows_what_was_understood_and_nothing_else() -> None:
    first, _ = claim_views(CLAIMS, "metric")
    assert [(name, plain(value)) for name, value in first.understood] == [
        ("Measure", "Organic matter"),
        ("Direction", "a rise"),
        ("Times", "2"),
        ("Years", "3"),
        ("Beds", "South 1"),
    ]
    assert first.verdict_text == "What was put on could not have done that."


def test_a_statement_says_what_was_not_understood() -> None:
    (view,) = claim_views([{**CLAIMS[0], "not_understood": ["wombling", "free"], "to_settle": "Test."}], "us")
    assert (view.not_understood, view.to_settle) == ("wombling and free", "Test.")


def test_breaks_are_told_with_the_names_of_methods() -> None:
    text = "2024-04-20 laboratory A to B, method bray_p1 to mehlich_3, layer 0-15 cm to 0-10 cm"
    assert plain(break_text(text, "metric")) == (
        "2024-04-20 laboratory A to B, method Bray P1 to Mehlich 3, layer 0–15 cm to 0–10 cm"
    )
    assert plain(break_text(text, "us")).endswith("layer 0–5.9 in to 0–3.9 in")


@pytest.mark.parametrize(
    ("text", "first", "rest"),
    [
        ("One. Two.", "One.", "Two."),
        ("It is 3.5 points. And more.", "It is 3.5 points.", "And more."),
        ("It is 3 %. And more. Much.", "It is 3 %.", "And more. Much."),
        ("Only one", "Only one", ""),
        ("", "", ""),
    ],
)
def test_first_sentences(text: str, first: str, rest: str) -> None:
    assert first_sentence(text) == (first, rest)

"""The demo garden: what it holds, what is planted in it, and that reading it gives exactly its truth."""

import csv
import re
import tomllib
from collections import defaultdict
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import geometric_mean, mean

import pytest

from soiltrend import resources
from soiltrend.intake import take_in
from soiltrend.observations import long_table
from soiltrend.records import load_garden
from soiltrend.records.models import Garden
from tests.generators import demo_garden

TRUTH = Path(__file__).parents[1] / "fixtures" / "demo_truth"

Row = dict[str, str]


@pytest.fixture(scope="module")
def garden() -> Garden:
    return load_garden(resources.folder("fixtures/demo"))


@pytest.fixture(scope="module")
def truth() -> list[Row]:
    with (TRUTH / "observations.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def planted() -> Callable[[str], dict[str, object]]:
    rows = tomllib.loads((TRUTH / "planted.toml").read_text(encoding="utf-8"))["planted"]
    return lambda words: next(row for row in rows if words in row["what"])


@pytest.fixture(scope="module")
def values(truth: list[Row]) -> Callable[..., dict[str, float]]:
    """Values of one analyte by bed, of one report (``source`` holds the text) or date."""

    def select(analyte: str, part_of_source: str) -> dict[str, float]:
        return {
            row["bed"]: float(row["value"])
            for row in truth
            if row["analyte"] == analyte and part_of_source in row["source"]
        }

    return select


def test_the_shipped_files_are_what_the_generator_makes() -> None:
    assert resources.contents("fixtures/demo") == demo_garden.garden()
    made = demo_garden.truth_table(demo_garden.reports())
    assert (TRUTH / "observations.csv").read_text(encoding="utf-8") == made


def test_it_is_a_garden_of_eight_beds_and_seven_springs(garden: Garden, truth: list[Row]) -> None:
    assert len(garden.beds) == 8
    springs = {row["sampled_on"] for row in truth if "lindtal" not in row["source"]}
    assert [int(day[:4]) for day in sorted(springs)] == list(range(2020, 2027))
    assert {row["lab"] for row in truth} == {
        "Hollowbrook Soil Laboratory",
        "Tarnvale Analytical",
        "Lindtal Soil Institute",
    }
    assert {path.suffix for path in garden.reports} == {".csv", ".txt"}
    assert sum(not bed.amended for bed in garden.beds) == 3
    assert len(garden.claims) == 9


def test_its_records_use_what_records_can_say(garden: Garden) -> None:
    assert {a.unit for a in garden.amendments} == {"in deep", "bucket", "lb/100 ft2"}
    assert {part.mix for part in garden.mixes} == {"charged char"}
    assert {m.measure for m in garden.measurements} == {"yield", "water given", "soil temperature"}
    assert any(len(bed.also_called) > 1 for bed in garden.beds)
    assert garden.materials[0].material == "home compost"


def test_organic_matter_of_one_bed_doubles_in_three_years(truth: list[Row], planted) -> None:
    plan = planted("doubles in three years")
    found = {
        row["sampled_on"]: float(row["value"])
        for row in truth
        if (row["bed"], row["analyte"]) == (plan["bed"], plan["analyte"])
    }
    assert found[str(plan["to"])] / found[str(plan["from"])] >= plan["times_at_least"]


def test_what_was_put_on_that_bed_cannot_have_doubled_it(garden: Garden, planted) -> None:
    """Zero loss: all organic matter of three half buckets, by hand, against 2 points of a 6 in layer."""
    char = [a for a in garden.amendments if a.bed == "South 2" and a.date < date(2023, 4, 22)]
    assert [(a.material, a.amount, a.unit) for a in char] == [("charged char", 0.5, "bucket")] * 3
    litres = 3 * 0.5 * 18.927  # 5 US gallons
    pure_organic = litres * 0.35  # kg; no litre of moist char, manure and molasses holds more dry matter
    layer = 100 * 0.0929 * 0.1524 * 1300  # kg of soil: 100 ft2, 6 in, 1.3 g/cm3
    assert 100 * pure_organic / layer < 0.6


def test_one_report_prints_phosphorus_as_its_oxide(garden: Garden, values, planted) -> None:
    before, oxide, after = (values("phosphorus", f"{year}-hollowbrook.csv") for year in (2020, 2021, 2022))
    steady = [bed.bed for bed in garden.beds if bed.treatment != "compost"]
    up = geometric_mean(oxide[bed] / before[bed] for bed in steady)
    down = geometric_mean(oxide[bed] / after[bed] for bed in steady)
    factor = planted("P2O5")["factor"]
    assert up == pytest.approx(factor, rel=0.15)
    assert down == pytest.approx(factor, rel=0.15)
    assert min(oxide[bed] / before[bed] for bed in before) > 1.5
    assert min(oxide[bed] / after[bed] for bed in after) > 1.5
    text = resources.contents("fixtures/demo")["reports/2021-hollowbrook.csv"].decode()
    assert "P2O5" not in text
    assert "oxide" not in text


def test_the_second_laboratory_extracts_with_another_solution(truth: list[Row], planted) -> None:
    methods = defaultdict(set)
    for row in truth:
        if row["analyte"] == "phosphorus":
            methods[row["lab"]].add(row["method"])
    first, second = planted("another solution")["methods"]
    assert methods["Hollowbrook Soil Laboratory"] == {first}
    assert methods["Tarnvale Analytical"] == {second}


def test_compost_beds_rise_and_control_beds_do_not(garden: Garden, values) -> None:
    def rise(bed: str) -> float:
        first = values("organic_matter", "2023-holl")[bed] - values("organic_matter", "2020-holl")[bed]
        second = values("organic_matter", "2026-tarn")[bed] - values("organic_matter", "2024-tarn")[bed]
        return (first + second) / 5

    compost = [rise(bed.bed) for bed in garden.beds if bed.treatment == "compost"]
    control = [rise(bed.bed) for bed in garden.beds if bed.treatment == "control"]
    assert mean(compost) == pytest.approx(0.40, abs=0.12)
    assert mean(control) == pytest.approx(0, abs=0.15)
    assert min(compost) > max(control)


def test_limestone_raises_one_ph(values) -> None:
    ph = [values("ph", f"{year}-")["Orchard Strip"] for year in range(2020, 2024)]
    assert mean(ph[2:]) - mean(ph[:2]) == pytest.approx(0.6, abs=0.2)


def by_bag(truth: list[Row]) -> dict[tuple[str, str], dict[str, float]]:
    bags: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
    for row in truth:
        bags[row["source"], row["sample"]][row["analyte"]] = float(row["value"])
    return {bag: found for bag, found in bags.items() if "cec" in found}


def test_saturations_add_up_and_the_cec_is_the_sum_of_its_cations(truth: list[Row]) -> None:
    bags = by_bag(truth)
    assert len(bags) == 56
    for found in bags.values():
        assert sum(
            found[f"base_saturation_{name}"] for name in ("k", "ca", "mg", "na", "h")
        ) == pytest.approx(100, abs=0.3)
        # mg/kg in 1 meq/100 g: half the atomic weight of Ca and Mg, the whole of K and Na, times 10
        bases = (
            found["calcium"] / 200.39
            + found["magnesium"] / 121.53
            + found["potassium"] / 390.98
            + found["sodium"] / 229.90
        )
        acidity = 12 * (7 - found["buffer_ph"])
        assert found["cec"] == pytest.approx(bases + acidity, rel=0.02)


def test_noise_elsewhere_is_no_larger_than_the_stated_noise_of_one_report(garden: Garden, values) -> None:
    """Control beds at the first laboratory: CV of organic matter 10 %, K and Ca 15 %, pH 0.15, or less."""
    for analyte, most in (("organic_matter", 0.10), ("potassium", 0.15), ("calcium", 0.15)):
        squares = []
        for bed in (bed.bed for bed in garden.beds if not bed.amended):
            found = [values(analyte, f"{year}-hollowbrook.csv")[bed] for year in range(2020, 2024)]
            squares += [(value / mean(found) - 1) ** 2 * 4 / 3 for value in found]
        assert 0.02 < mean(squares) ** 0.5 < most, analyte


def test_the_third_report_is_of_autumn_and_shallow(truth: list[Row], planted) -> None:
    plan = planted("autumn and shallow")
    rows = [row for row in truth if row["source"] == plan["source"]]
    assert {row["sampled_on"] for row in rows} == {str(plan["sampled_on"])}
    assert {float(row["depth_to_cm"]) for row in rows} == {plan["depth_to_cm"]}


def test_no_file_of_it_names_a_place_on_a_network(garden: Garden) -> None:
    for name, content in resources.contents("fixtures/demo").items():
        assert not re.search(rb"https?:|www\.|@|\.com\b", content), name


# --- reading it -------------------------------------------------------------------------------------------

COMPARED = (
    "source",
    "bed",
    "sample",
    "sampled_on",
    "analyte",
    "value",
    "unit",
    "qualifier",
    "value_printed",
    "method",
    "depth_from_cm",
    "depth_to_cm",
    "lab",
    "report",
)


@pytest.fixture(scope="module")
def table(garden: Garden):
    intake = take_in(garden.reports, root=garden.folder, confined=True)
    assert intake.failures == ()
    frame, messages = long_table(intake.reports, garden, date(2026, 11, 1))
    assert messages == (
        "reports/2022-hollowbrook_copy.csv is the same file as reports/2022-hollowbrook.csv: it counts once.",
    )
    return frame


def comparable(row: dict[str, object]) -> tuple[object, ...]:
    plain = {name: row[name] for name in COMPARED}
    # a cell may hold its unit: "57 ppm"
    plain["value_printed"] = str(row["value_printed"]).removesuffix(str(row.get("unit_printed", ""))).strip()
    for name in ("value", "depth_from_cm", "depth_to_cm"):
        plain[name] = round(float(str(plain[name])), 3)
    plain["sampled_on"] = str(plain["sampled_on"])[:10]
    return tuple(plain.values())


def test_reading_the_reports_gives_exactly_the_truth(table, truth: list[Row]) -> None:
    reports = table[(table["source"] != "measurements.csv") & ~table["notes"].str.contains("duplicate-of")]
    read = {comparable(row) for row in reports.to_dict("records")}
    wanted = {comparable(row) for row in truth}
    assert sorted(read - wanted) == []
    assert sorted(wanted - read) == []
    assert len(reports) == len(truth) == len(wanted)


def test_nothing_in_them_had_to_be_assumed(table) -> None:
    notes = {note for text in table["notes"] for note in text.split(";") if note}
    assert notes == {"duplicate-of:reports/2022-hollowbrook.csv"}


def test_the_report_that_lies_there_twice_counts_once(table, planted) -> None:
    plan = planted("twice")
    copy = table[table["source"] == plan["source"]]
    assert copy["notes"].str.contains(f"duplicate-of:{plan['original']}", regex=False).all()
    assert len(copy) == (table["source"] == plan["original"]).sum()


def test_every_value_is_where_its_place_says(table) -> None:
    """The row or line of each place holds the printed number."""
    files = {
        name: content.decode("utf-8-sig") for name, content in resources.contents("fixtures/demo").items()
    }
    for row in table[table["source"] != "measurements.csv"].itertuples():
        number = re.search(r"(?:row|line) (\d+)", row.place)
        assert number, row.place
        line = files[row.source].replace("\f", "").splitlines()[int(number[1]) - 1]
        assert row.value_printed in " ".join(line.split()), (row.place, line)


def test_own_measurements_stand_beside_the_reports(table, garden: Garden) -> None:
    own = table[table["source"] == "measurements.csv"]
    assert len(own) == len(garden.measurements)
    assert set(own["analyte"]) == {"yield", "water_given", "soil_temperature"}

"""Published effect sizes stand beside a statement with their source; they never make a verdict better."""

import pytest

from soiltrend.claims import understand
from soiltrend.claims.effects import published
from soiltrend.data import load_toml

GALLON_L, ACRE_M2, FT2_M2 = 3.785411784, 4046.8564224, 0.09290304  # exact, 1959 agreement and US gallon

TOLD = [
    ("Char raised our yield by 40 %", ("Jeffery 2017", "0 on average|nothing on average"), True),
    ("Char raised our yield by 5 %", ("Jeffery 2017",), False),
    ("We water half as much thanks to compost", ("Hudson 1994", "27 %"), True),
    ("We water 10 % less thanks to compost", ("Hudson 1994",), False),
    ("Char halved our water use", ("Omondi 2016", "Hardie 2014"), False),
    ("Char keeps the soil temperature up", ("Genesio 2012",), False),
    ("Manure raised the soil temperature", ("Sommerfeldt and Chang 1985",), False),
    ("Roots are twice as long with biochar", ("Xiang 2017",), False),
    ("Compost cut our fertilizer in half", ("1,000 lb",), False),
    ("CEC doubled", ("2 meq/100 g",), False),
]


@pytest.mark.parametrize(("text", "parts", "beyond"), TOLD)
def test_a_finding_is_told_with_its_source_and_number(text, parts, beyond):
    (statement,) = understand(text)
    found = published(statement)
    told = " ".join(reason.text for _, reason in found)
    assert all(any(option in told for option in part.split("|")) for part in parts)
    assert ("beyond-published" in {reason.code for _, reason in found}) == beyond
    assert all(verdict in {"supported", "unproven"} for verdict, _ in found)


@pytest.mark.parametrize("text", ["Phosphorus doubled", "Yield rose by 50 %", "pH did not change"])
def test_nothing_is_told_where_nothing_published_bears_on_it(text):
    assert published(understand(text)[0]) == []


def water_row(index: int) -> dict:
    return [row for row in load_toml("claim_effects")["effect"] if row["measure"] == "water"][index]


def test_millimetres_in_the_text_are_the_gallons_in_the_text():
    """1 mm is 1 L/m2: 1 mm (Minasny and McBratney 2018) and 5.6 mm (Hudson 1994, silt loam)."""
    per_bed = [mm * 100 * FT2_M2 / GALLON_L for mm in (1.0, 5.6)]
    assert [round(gallons) for gallons in per_bed] == [2, 14]
    per_acre = [mm * ACRE_M2 / GALLON_L for mm in (1.0, 5.6)]
    assert [round(gallons, -2) for gallons in per_acre] == [1100, 6000]
    assert "1,100 to 6,000 gallons" in water_row(1)["text"]


def test_the_popular_gallons_would_be_eleven_times_the_weight_of_the_organic_matter():
    """27,000 gal on an acre against 1 % of 15 cm of soil at 1.5 g/cm3: both in kg/m2."""
    water = 27000 * GALLON_L / ACRE_M2
    organic_matter = 0.01 * 150 * 1.5
    assert water / organic_matter == pytest.approx(11.2, abs=0.3)


def test_the_most_that_storage_saves_follows_from_its_parts():
    """2 points x 5.6 mm (Hudson 1994) x 10 useful fills, of a season's 400 mm: 28 %, told as at most 27 %."""
    assert pytest.approx(water_row(0)["most_percent"], abs=1.5) == 2 * 5.6 * 10 / 400 * 100

import pytest

from soiltrend.balance.contents import QUANTITIES
from soiltrend.balance.ranges import Range
from soiltrend.balance.substances import Shelf, UnknownMaterial, key, kin, known_names, tabled
from soiltrend.data import load_csv
from soiltrend.errors import RecordsError
from soiltrend.records.models import Material

MATERIALS = [row["material"] for row in load_csv("materials")]
GROUPS = {row["group"] for row in load_csv("retention")}


@pytest.mark.parametrize("row", load_csv("compositions"), ids=lambda r: f"{r['material']}-{r['quantity']}")
def test_every_cell_rises_and_names_its_source(row: dict[str, str]) -> None:
    assert float(row["low"]) <= float(row["typical"]) <= float(row["high"])
    assert len(row["source"]) > 5
    assert row["material"] in MATERIALS


@pytest.mark.parametrize("name", MATERIALS)
def test_every_material_has_every_quantity(name: str) -> None:
    substance = tabled()[name]
    dry = substance.per_dry
    assert 0 < substance.dry_matter.typical <= 1
    assert substance.bulk_density.low > 30
    assert substance.group in GROUPS
    assert all(value.low >= 0 and value.high <= 3.2 for _, value in dry.items())
    assert dry.carbon.typical <= dry.organic_matter.typical + 1e-12
    assert dry.carbon.high <= dry.organic_matter.high + 1e-12
    assert dry.char_carbon.typical <= dry.carbon.typical
    assert dry.char_matter.typical <= dry.organic_matter.typical
    assert dry.organic_matter.high <= 1


@pytest.mark.parametrize("name", MATERIALS)
def test_the_parts_of_a_material_do_not_exceed_it(name: str) -> None:
    dry = tabled()[name].per_dry
    minerals = sum(getattr(dry, q).typical for q in ("p", "k", "ca", "mg", "s"))
    assert dry.organic_matter.typical + minerals <= 1.02


def test_no_name_means_two_materials() -> None:
    owners: dict[tuple[str, ...], str] = {}
    for row in load_csv("materials"):
        for name in (row["material"], *filter(None, row["aliases"].split(";"))):
            assert owners.setdefault(key(name), row["material"]) == row["material"], name


@pytest.mark.parametrize(
    ("written", "material"),
    [
        ("Compost", "compost"),
        ("finished composts", "compost"),
        ("cow manure", "dairy manure"),
        ("Aged cow manure", "aged manure"),
        ("manure (aged, cow)", "aged manure"),
        ("Chicken Manure", "poultry manure"),
        ("pine biochar", "softwood char"),
        ("bio-char", "biochar"),
        ("blackstrap", "blackstrap molasses"),
        ("fall leaves", "leaves"),
        ("Dolomite", "dolomitic lime"),
        ("wood ashes", "wood ash"),
        ("Stallmist", "farmyard manure"),
        ("estiércol de caballo", "horse manure"),
        ("46-0-0", "urea"),
        ("0-46-0", "triple superphosphate"),
        ("gypsum", "gypsum"),
    ],
)
def test_names_growers_write_are_understood(written: str, material: str) -> None:
    assert Shelf().find(written).name == material


def test_an_unknown_material_names_the_nearest() -> None:
    with pytest.raises(UnknownMaterial, match="Nearest known: compost") as caught:
        Shelf().find("compst")
    assert "materials.csv" in str(caught.value)


def test_a_fertilizer_is_read_from_its_analysis() -> None:
    # 10-20-20 is percent N, P2O5 and K2O as sold; P = 0.4364 P2O5, K = 0.8301 K2O (stoichiometry).
    found = Shelf().find("10-20-20 granules")
    as_sold = {q: getattr(found.per_dry, q).typical * found.dry_matter.typical for q in ("n", "p", "k")}
    assert as_sold == pytest.approx({"n": 0.10, "p": 0.08728, "k": 0.16603}, abs=1e-4)
    assert found.notes


def test_the_growers_analysis_beats_the_table() -> None:
    own = Material(material="compost", dry_matter_pct=60, organic_matter_pct=30, n_pct=0.9)
    found = Shelf([own]).find("Compost")
    assert found.own
    assert found.per_dry.organic_matter == Range.exact(0.3)
    assert found.per_dry.n.low == found.per_dry.n.high == pytest.approx(0.009)
    assert found.per_dry.p == tabled()["compost"].per_dry.p
    assert "p_pct" in found.notes[0]


def test_carbon_given_alone_implies_the_organic_matter() -> None:
    own = Material(material="hazel biochar", dry_matter_pct=70, carbon_pct=80)
    dry = Shelf([own]).find("hazel biochar").per_dry
    assert dry.char_carbon == Range.exact(0.8)
    assert dry.organic_matter.typical >= 0.8
    assert dry.organic_matter.high <= 1


def test_organic_matter_given_alone_implies_the_carbon() -> None:
    own = Material(material="yard compost", dry_matter_pct=50, organic_matter_pct=40)
    dry = Shelf([own]).find("yard compost").per_dry
    assert dry.carbon.typical == pytest.approx(0.4 * 0.55, abs=0.01)
    assert dry.char_carbon.is_zero


def test_a_material_nobody_knows_is_wide_open() -> None:
    own = Material(material="Frobnitz", dry_matter_pct=50)
    assert Shelf([own]).find("Frobnitz").per_dry.organic_matter.high == 1


def test_density_follows_the_growers_dry_matter() -> None:
    wet, dry = (Material(material="compost", dry_matter_pct=d) for d in (30, 60))
    assert Shelf([wet]).find("compost").bulk_density.typical == pytest.approx(
        2 * Shelf([dry]).find("compost").bulk_density.typical
    )


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"organic_matter_pct": 20, "carbon_pct": 30}, "carbon_pct"),
        ({"carbon_pct": 30, "char_carbon_pct": 40}, "char_carbon_pct"),
    ],
)
def test_a_part_above_its_whole_is_named_by_file_and_row(cells: dict[str, float], column: str) -> None:
    with pytest.raises(RecordsError, match=f"materials.csv line 7, {column}: expected at most"):
        Shelf([Material(material="x", line=7, dry_matter_pct=50, **cells)])


def test_kin_is_the_longest_name_inside() -> None:
    assert kin("our old horse manure compost").name == "horse manure compost"
    assert kin("zzz").name == "unlisted material"


def test_suggestions_are_names_as_written() -> None:
    assert "Pflanzenkohle".lower() in known_names()


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_contents_know_their_quantities(quantity: str) -> None:
    assert tabled()["compost"].per_dry[quantity] == getattr(tabled()["compost"].per_dry, quantity)


def test_loose_takes_the_lower_and_settled_the_upper_half_of_the_density() -> None:
    char = tabled()["wood char"]
    assert char.density("loose").high == char.density("settled").low == char.bulk_density.typical

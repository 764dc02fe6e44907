import pytest

from soiltrend.balance.cautions import cautions, cautions_for
from soiltrend.balance.contents import Contents
from soiltrend.balance.ranges import Range
from soiltrend.balance.substances import tabled
from soiltrend.data import load_csv, load_toml
from tests.balance.gardens import balance, spread


def said(*names: str, **load: float) -> str:
    held = Contents(**{quantity: Range.exact(much) for quantity, much in load.items()})
    return "\n".join(cautions([tabled()[name] for name in names], [held]))


# Each caution with the source that it rests on.
@pytest.mark.parametrize(
    ("materials", "words", "source"),
    [
        (["dairy manure"], "at least 120 days", "7 CFR 205.203(c)(1)"),
        (["aged manure"], "counts as raw", "7 CFR 205.203(c)"),
        (["manure tea", "sugar"], "counts as untreated", "21 CFR 112.51"),
        (["wood char", "aged manure", "blackstrap molasses"], "treat the whole mix as raw manure", "NOSB"),
        (["wood char"], "respirator", "occupational"),
        (["wood char"], "20 to 50 % water", "10.18272/aci.v13i2.2314"),
        (["hay"], "aminopyralid", "AG416"),
        (["dairy manure compost"], "bioassay", "N.C. State"),
        (["topsoil"], "200 ppm lead", "EPA"),
        (["wood ash"], "no ash of treated", "Georgia"),
        (["poultry litter"], "burns seedlings", "memory"),
        (["mushroom compost"], "dS/m", "Colorado State"),
        (["sawdust"], "ties up nitrogen", "Santa Cruz"),
    ],
)
def test_a_material_brings_its_cautions_with_sources(materials: list[str], words: str, source: str) -> None:
    text = said(*materials)
    line = next(line for line in text.splitlines() if words in line)
    assert source in line


def test_every_list_of_cautions_defers_to_local_rules() -> None:
    assert said("wood char").splitlines()[-1].startswith("These are general cautions: local rules")


def test_molasses_alone_does_not_call_for_the_manure_mix() -> None:
    assert "whole mix" not in said("blackstrap molasses")


@pytest.mark.parametrize(
    ("load", "words"),
    [({"p": 0.004}, "Phosphorus builds up"), ({"n": 0.06}, "nitrate"), ({"salts": 0.4}, "Salts:")],
)
def test_a_heavy_load_calls_for_its_caution_whatever_the_material(load: dict[str, float], words: str) -> None:
    assert words in said("ground limestone", **load)
    assert words not in said("ground limestone")


def test_a_material_without_danger_brings_none() -> None:
    assert cautions([tabled()["gypsum"]], []) == ()


def test_a_garden_is_cautioned_once_for_all_it_got() -> None:
    found = cautions_for(
        balance(
            spread("2021-04-01", "wood char", 1, "kg/m2"),
            spread("2022-04-01", "wood char", 1, "kg/m2"),
            spread("2022-04-01", "dairy manure", 1, "kg/m2"),
        )
    )
    assert len(found) == len(set(found))
    assert any("120 days" in text for text in found)
    assert cautions_for(balance()) == ()


@pytest.mark.parametrize("row", load_toml("cautions")["caution"], ids=lambda r: r["code"])
def test_every_caution_can_be_called_for_and_names_its_source(row: dict[str, object]) -> None:
    tags = {tag for material in load_csv("materials") for tag in material["tags"].split(";")}
    wanted = {*row.get("tags", ())} | {tag for group in row.get("all_tags", ()) for tag in group}  # type: ignore
    assert wanted <= tags
    assert row["source"]

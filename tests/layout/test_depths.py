"""Sampled layers in centimetres, inches and feet; a layer without a unit is none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soiltrend.layout.depths import depth_unit, find_layer, is_layer
from tests.layout.bytes_of import read_bytes


# 1 in = 2.54 cm and 1 ft = 30.48 cm exactly (international yard and pound agreement of 1959)
@pytest.mark.parametrize(
    ("text", "layer"),
    [
        ("0-15 cm", (0, 15)), ("0–15cm", (0, 15)), ("15 bis 30 cm", (15, 30)), ("0 à 20 cm", (0, 20)),
        ("0-6 in", (0, 15.24)), ('0-6"', (0, 15.24)), ("0 to 6 inches", (0, 15.24)), ("6 in", (0, 15.24)),
        ("top 6 inches", (0, 15.24)), ("0-1 ft", (0, 30.48)), ("0-200 mm", (0, 20)), ("0-0.2 m", (0, 20)),
        ("Bed 3 (0-15 cm)", (0, 15)), ("20 cm", (0, 20)), ("0,0-0,3 m", (0, 30)),
    ],
)  # fmt: skip
def test_a_layer_with_its_unit(text: str, layer: tuple[float, float]) -> None:
    assert find_layer(text) == layer


@pytest.mark.parametrize("text", ["0-15", "15", "Bed 3", "", "30-15 cm", "0-900 cm", "6.5", "12/15/2020"])
def test_what_is_no_layer(text: str) -> None:
    assert find_layer(text) is None


@pytest.mark.parametrize(
    ("heading", "unit"),
    [("Depth (cm)", "cm"), ("depth_top_cm", "cm"), ("Depth, inches", "in"), ("Depth", "")],
)
def test_the_unit_of_a_heading(heading: str, unit: str) -> None:
    assert depth_unit(heading) == unit


def test_a_heading_gives_its_unit_to_the_cells() -> None:
    assert find_layer("0-6", "in") == (0, 15.24)
    assert find_layer("6", "in") == (0, 15.24)


@given(st.integers(0, 100), st.integers(1, 100), st.sampled_from(["cm", " cm"]))
def test_any_layer_comes_back(top: int, thick: int, unit: str) -> None:
    assert find_layer(f"{top}-{top + thick}{unit}") == (top, top + thick)
    assert is_layer(f"{top}-{top + thick}{unit}")


@pytest.mark.parametrize(
    "text",
    [
        "Sample,Depth,pH\nBed 1,0-15 cm,6.5\n",
        "Sample,Depth (cm),pH\nBed 1,0-15,6.5\n",
        "sample,depth_from_cm,depth_to_cm,pH\nBed 1,0,15,6.5\n",
        "Sampling depth: 0-15 cm\n\nSample,pH\nBed 1,6.5\n",
        ",0-15 cm,\nSample,pH,P (ppm)\nBed 1,6.5,45\n",
    ],
)
def test_wherever_a_report_prints_the_layer(text: str) -> None:
    readings = read_bytes(text.encode(), "any.csv").readings
    assert readings
    assert {(one.depth_from_cm, one.depth_to_cm) for one in readings} == {(0.0, 15.0)}

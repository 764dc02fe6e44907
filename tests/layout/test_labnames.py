"""The laboratory's name comes from its field, the letterhead or the signature, never from talk about one."""

import pytest

from soiltrend.layout.labnames import laboratory

BODY = ["pH  6.4"] * 15


def test_a_field_tells_more_than_the_letterhead() -> None:
    assert laboratory(["Ferncliff Lab"], ["Dalewood Soil Laboratory"]) == "Ferncliff Lab"


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Dalewood Soil Laboratory", "Dalewood Soil Laboratory"),
        ("Report of analysis   Hollin Soil Laboratory   page 1", "Hollin Soil Laboratory"),
        ("Bodenlabor Eichfeld", "Bodenlabor Eichfeld"),
        ("Laboratoire des Terres Noires - analyse de sol", "Laboratoire des Terres Noires"),
        ("Tom Reed (Calder Soil Lab)", "Calder Soil Lab"),
    ],
)
def test_a_letterhead_names_the_laboratory(line: str, name: str) -> None:
    assert laboratory([], ["", line, *BODY]) == name


@pytest.mark.parametrize(
    "line",
    [
        "Laboratory",
        "Client: Dalewood Lab",
        "Lab No 123",
        "Your lab results",
        "Accredited laboratory services",
        "Label maker",
        "Collaboration garden",
        "Dalewood " * 8 + "Laboratory",
    ],
)
def test_a_line_that_only_speaks_of_laboratories_names_none(line: str) -> None:
    assert laboratory([], [line, *BODY]) == ""


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Hollin Soil Laboratory", "Hollin Soil Laboratory"),
        ("we sent this to Hollin Soil Laboratory last May", ""),
        ("Last year the other soil lab disagreed", ""),
    ],
)
def test_further_down_only_a_signature_names_it(line: str, name: str) -> None:
    assert laboratory([], [*BODY, line]) == name

"""Bytes of any usual encoding become the text that was written."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.errors import UnreadableFile
from soiltrend.readers.decoding import decode

GERMAN = "Prüfbericht: Beet Süd; pH-Wert; Fläche 30 m²; 12 °C\nKalk für die Rübe\n"
FRENCH = "Matière organique; échantillon prélevé à 15 cm; pH eau; été\n"
SPANISH = "Análisis de suelo; año 2021; pH; niño; profundidad 20 cm\n"


@pytest.mark.parametrize("text", [GERMAN, FRENCH, SPANISH], ids=["German", "French", "Spanish"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_what_spreadsheets_and_mail_programs_write(text: str, encoding: str) -> None:
    assert decode(text.encode(encoding), "a.csv") == text


def test_old_laboratory_systems_write_the_dos_code_page() -> None:
    text = "Prüfbericht für Beet Süd\n┌────┬────┐\n│ pH │ 6.5│\n└────┴────┘\n"
    assert decode(text.encode("cp437"), "a.txt") == text


@pytest.mark.parametrize(
    "content", [bytes(range(256)) * 20, b"\x00\x01\x02\x03" * 500, b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"]
)
def test_bytes_that_are_no_text_are_named(content: bytes) -> None:
    with pytest.raises(UnreadableFile, match=r"a\.bin: .*no text"):
        decode(content, "a.bin")


@given(st.text(st.characters(min_codepoint=32, max_codepoint=0x24F), min_size=1, max_size=200))
@settings(max_examples=100, deadline=None)
def test_text_in_utf_8_comes_back_as_written(text: str) -> None:
    assert decode(text.encode(), "a.txt") == text

"""``--picture``: the page with what was taken and what was left."""

import io
import sys
from pathlib import Path

import pytest
from fpdf import FPDF
from PIL import Image, ImageColor

from soiltrend import cli
from soiltrend.errors import SoiltrendError
from soiltrend.layout import ReportReading, read_report
from soiltrend.layout.picture import ACCENT, draw
from soiltrend.layout.reading import from_json, to_json
from soiltrend.readers import open_document

DOTS_PER_POINT = 2  # 144 dots per inch
ROWS = (
    ("Analyte", "Result", "Unit", "Optimum range"),
    ("pH", "6.4", "", "6.0 - 7.0"),
    ("Potassium (K)", "189", "ppm", "120 - 200"),
    ("Zinc (Zn)", "3.1", "ppm", "1 - 5"),
)


def pdf_report(folder: Path, *, pages: int = 1, degrees: float = 0) -> Path:
    pdf = FPDF(unit="pt", format=(500, 400))
    pdf.set_font("Helvetica", size=10)
    for number in range(1, pages + 1):
        pdf.add_page()
        with pdf.rotation(degrees, 200, 200):
            pdf.text(40, 40, "Fernhollow Soil Laboratory")
            pdf.text(40, 60, f"Sample: North {number}")
            for line, cells in enumerate(ROWS):
                for column, cell in enumerate(cells):
                    pdf.text(40 + 110 * column, 90 + 18 * line, cell)
    path = folder / "report.pdf"
    pdf.output(str(path))
    return path


def reading(path: Path) -> ReportReading:
    return read_report(open_document(path, path.parent))


def picture(path: Path) -> Image.Image:
    return Image.open(io.BytesIO(draw(path, reading(path)))).convert("RGB")


def accents(image: Image.Image) -> list[tuple[int, int]]:
    """Return the pixels in the colour of what was taken."""
    colour = ImageColor.getrgb(ACCENT)
    return [
        (x, y) for y in range(image.height) for x in range(image.width) if image.getpixel((x, y)) == colour
    ]


def test_every_number_taken_has_its_box_on_the_page(tmp_path: Path) -> None:
    path = pdf_report(tmp_path)
    drawn = set(accents(picture(path)))
    readings = reading(path).readings
    assert {r.analyte for r in readings} == {"ph", "potassium", "zinc"}
    for one in readings:
        assert one.box is not None
        left, top, right, bottom = (round(DOTS_PER_POINT * edge) for edge in one.box)
        above = sum((x, y) in drawn for x in range(left, right) for y in range(top - 5, top))
        below = sum((x, y) in drawn for x in range(left, right) for y in range(bottom, bottom + 6))
        assert above >= right - left
        assert below >= right - left


def test_a_number_left_alone_gets_no_full_box(tmp_path: Path) -> None:
    path = pdf_report(tmp_path)
    ranges = [one for one in reading(path).left_alone if "range" in one.reason]
    assert len(ranges) == 3
    drawn = picture(path)
    plain = accents(drawn)
    for one in ranges:
        assert one.box is not None
        left, top, right, bottom = (DOTS_PER_POINT * edge for edge in one.box)
        assert not [p for p in plain if left - 4 <= p[0] <= right + 4 and top - 4 <= p[1] <= bottom + 4]
        edge = [drawn.getpixel((x, round(top) - 3)) for x in range(round(left), round(right))]
        assert any(sum(pixel) < 300 for pixel in edge if isinstance(pixel, tuple)), "a dashed line"


def test_pages_stand_below_each_other(tmp_path: Path) -> None:
    image = picture(pdf_report(tmp_path, pages=3))
    assert image.size == (1000, 3 * 800)
    heights = {y // 800 for _, y in accents(image)}
    assert heights == {0, 1, 2}


def test_a_page_whose_text_stands_on_its_side_is_drawn_as_it_was_read(tmp_path: Path) -> None:
    path = pdf_report(tmp_path, degrees=90)
    report = reading(path)
    assert report.turned == (270.0,)
    assert {r.analyte for r in report.readings} == {"ph", "potassium", "zinc"}
    assert picture(path).size == (800, 1000)


def test_places_on_the_page_survive_the_cache(tmp_path: Path) -> None:
    report = reading(pdf_report(tmp_path))
    assert from_json(to_json(report)) == report


@pytest.mark.parametrize("name", ["report.csv", "report.txt"])
def test_a_file_without_a_page_to_draw_says_so(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_text("Sample,pH,K ppm\nNorth 1,6.4,120\n", encoding="utf-8")
    with pytest.raises(SoiltrendError, match="draws PDF and scans"):
        draw(path, reading(path))


def test_the_command_writes_a_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "seen.png"
    words = ["soiltrend", "read", str(pdf_report(tmp_path)), "--explain", "--picture", str(target)]
    monkeypatch.setattr(sys, "argv", words)
    with pytest.raises(SystemExit) as left:
        cli.main()
    assert (left.value.code or 0) == 0
    assert target.read_bytes().startswith(b"\x89PNG")
    assert "range to aim at" in capsys.readouterr().out

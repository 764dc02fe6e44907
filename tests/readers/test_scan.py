"""Pictures of reports: read on this machine, level, doubted, and never a wrong number in silence."""

import io
import math
import socket
import sys
from pathlib import Path

import pytest
from fpdf import FPDF
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFont

from soiltrend.errors import UnreadableFile
from soiltrend.intake import take_in
from soiltrend.layout import ReportReading, read_report
from soiltrend.layout.lines import lines_of
from soiltrend.layout.reading import Reading
from soiltrend.layout.scanned import mark_scanned
from soiltrend.readers import Document, Page, Word, open_document, scan
from soiltrend.readers.pictures import LARGEST, SMALLEST, pages_of_picture
from soiltrend.readers.straighten import skew_of, slant_of
from soiltrend.values import parse_result

HEADINGS = ("Sample", "pH", "OM %", "P ppm", "K ppm", "Ca ppm")
ROWS = (
    ("North 1", "5.8", "6.2", "24", "190", "1082"),
    ("North 2", "6.4", "3.9", "61", "108", "2598"),
    ("North 3", "6.3", "5.0", "8", "288", "1690"),
    ("South 1", "6.7", "2.5", "89", "75", "691"),
    ("South 2", "7.1", "4.1", "137", "247", "2847"),
)
ANALYTES = ("ph", "organic_matter", "phosphorus", "potassium", "calcium")
TRUTH = {
    (row[0], analyte): float(value) for row in ROWS for analyte, value in zip(ANALYTES, row[1:], strict=True)
}


def page(size: tuple[int, int] = (1500, 800)) -> Image.Image:
    """A report drawn at 200 dots per inch."""
    paper = Image.new("RGB", size, "white")
    pen = ImageDraw.Draw(paper)
    pen.text((130, 40), "Fernhollow Soil Laboratory", fill="black", font=ImageFont.load_default(44))
    font = ImageFont.load_default(28)
    pen.text((130, 120), "Report number: 20417", fill="black", font=font)
    pen.text((830, 120), "Date sampled: 2023-10-14", fill="black", font=font)
    for line, cells in enumerate((HEADINGS, *ROWS)):
        for column, text in enumerate(cells):
            pen.text((130 + 220 * column, 220 + 52 * line), text, fill="black", font=font)
    return paper


def saved(picture: Image.Image, folder: Path, name: str = "scan.png", **how: object) -> Path:
    path = folder / name
    picture.save(path, **how)
    return path


def reading(path: Path) -> ReportReading:
    return read_report(open_document(path, path.parent))


def numbers(report: ReportReading) -> dict[tuple[str, str], float | None]:
    return {(r.sample, r.analyte): r.result.number for r in report.readings}


@pytest.fixture(autouse=True)
def offline(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test of this module may reach the network: the models ship in the recogniser's own wheel."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("the recogniser wanted the network")

    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    monkeypatch.setattr(socket.socket, "connect", refuse)


def test_a_clean_scan_reads_as_it_was_drawn_and_every_value_is_doubted(tmp_path: Path) -> None:
    scan._load.cache_clear()  # so that the models are found anew, offline
    report = reading(saved(page(), tmp_path))
    assert numbers(report) == TRUTH
    assert all("low-confidence" in r.notes for r in report.readings)
    assert {str(r.sampled_on) for r in report.readings} == {"2023-10-14"}


@pytest.mark.parametrize("degrees", [2.3, 90, 180])
def test_a_crooked_or_turned_scan_reads_the_same(tmp_path: Path, degrees: float) -> None:
    crooked = page().rotate(degrees, expand=True, fillcolor="white", resample=Image.Resampling.BICUBIC)
    report = reading(saved(crooked, tmp_path))
    assert numbers(report) == TRUTH
    assert math.isclose(math.cos(math.radians(report.turned[0] + degrees)), 1, abs_tol=1e-4)


def test_a_photograph_from_one_side_reads_the_same(tmp_path: Path) -> None:
    """Held at a slant, a camera sees lines that rise above and fall below."""
    flat = page((1500, 1500))
    corners = (-120, -60, -60, flat.height + 60, flat.width - 20, flat.height + 20, flat.width + 100, 40)
    photo = flat.transform(
        flat.size, Image.Transform.QUAD, corners, resample=Image.Resampling.BICUBIC, fillcolor="grey"
    )
    assert numbers(reading(saved(photo, tmp_path, "photo.jpg", quality=75))) == TRUTH


def test_a_pdf_of_pictures_is_read_as_a_scan(tmp_path: Path) -> None:
    path = tmp_path / "scan.pdf"
    page().save(path, resolution=200)
    document = open_document(path, tmp_path)
    assert document.kind == "scan"
    assert numbers(read_report(document)) == TRUTH


def test_a_picture_among_pages_with_letters_is_read_too_and_only_it_is_doubted(tmp_path: Path) -> None:
    pdf = FPDF()
    pdf.set_font("Helvetica", size=11)
    pdf.add_page()
    with pdf.table() as table:
        for cells in (HEADINGS, ("Terrace 4", "6.9", "4.4", "51", "144", "1320")):
            table.row(cells)
    pdf.add_page()
    pdf.image(page(), 0, 0, w=pdf.w, h=pdf.h)
    path = tmp_path / "mixed.pdf"
    pdf.output(str(path))
    document = open_document(path, tmp_path)
    report = read_report(document)
    assert document.kind == "pdf"
    doubted = {r.page: "low-confidence" in r.notes for r in report.readings}
    assert doubted == {1: False, 2: True}


@pytest.mark.parametrize(
    ("picture", "looks_like"),
    [
        (Image.new("RGB", (900, 600), "#c8b496"), "picture without words"),
        (Image.effect_noise((900, 600), 90).convert("RGB"), "picture without words"),
    ],
)
def test_a_picture_of_nothing_gives_no_rows_and_says_so(
    tmp_path: Path, picture: Image.Image, looks_like: str
) -> None:
    intake = take_in([saved(picture, tmp_path)], root=tmp_path)
    assert intake.reports == ()
    assert looks_like in intake.failures[0].reason


def test_a_picture_with_other_words_says_which(tmp_path: Path) -> None:
    packet = Image.new("RGB", (1200, 700), "white")
    ImageDraw.Draw(packet).text((80, 90), "RADISH Cherry Belle", fill="black", font_size=70)
    intake = take_in([saved(packet, tmp_path)], root=tmp_path)
    assert intake.reports == ()
    assert "RADISH" in intake.failures[0].reason


def test_without_the_extra_one_message_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "rapidocr", None)
    scan._load.cache_clear()
    text = tmp_path / "plain.csv"
    text.write_text("Sample,pH,K ppm\nNorth 1,6.4,120\n", encoding="utf-8")
    intake = take_in([saved(page(), tmp_path), text], root=tmp_path)
    scan._load.cache_clear()
    assert [failure.source for failure in intake.failures] == ["scan.png"]
    assert "pip install 'soiltrend[scan]'" in intake.failures[0].reason
    assert [report.source for report in intake.reports] == ["plain.csv"]


@pytest.mark.parametrize("cut", [0.02, 0.3, 0.9])
def test_a_damaged_picture_is_named(tmp_path: Path, cut: float) -> None:
    stream = io.BytesIO()
    page().save(stream, "PNG")
    path = tmp_path / "cut.png"
    path.write_bytes(stream.getvalue()[: int(cut * stream.tell())])
    with pytest.raises(UnreadableFile, match=r"cut\.png"):
        open_document(path, tmp_path)


@pytest.mark.parametrize("how", ["png", "jpeg", "tiff", "webp", "bmp"])
def test_every_kind_of_picture_is_recognised_by_its_content(how: str) -> None:
    stream = io.BytesIO()
    Image.new("RGB", (60, 40), "white").save(stream, how)
    assert scan.recognises(stream.getvalue(), "report.dat")


def test_every_page_of_a_tiff_is_a_page_of_a_size_to_read_at() -> None:
    stream = io.BytesIO()
    small, large = Image.new("1", (300, 500), 1), Image.new("1", (5000, 4000), 1)
    small.save(stream, "TIFF", save_all=True, append_images=[large])
    sizes = [max(picture.size) for picture in pages_of_picture(stream.getvalue(), "fax.tif")]
    assert sizes == [SMALLEST, LARGEST]


def test_a_photograph_is_turned_as_the_camera_says() -> None:
    stream = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # Exif 2.32, tag 274 Orientation: the top of the scene is at the right
    Image.new("RGB", (2000, 1500), "white").save(stream, "JPEG", exif=exif)
    assert pages_of_picture(stream.getvalue(), "photo.jpg")[0].size == (1500, 2000)


@given(st.floats(-9, 9))
@settings(max_examples=12, deadline=None)
def test_the_skew_that_was_put_in_is_found(degrees: float) -> None:
    lines = Image.new("L", (900, 900), 255)
    pen = ImageDraw.Draw(lines)
    for top in range(200, 700, 40):
        for left in range(150, 700, 90):
            pen.rectangle((left, top, left + 60, top + 12), fill=0)
    turned = lines.rotate(degrees, fillcolor=255, resample=Image.Resampling.BICUBIC).convert("RGB")
    assert skew_of(turned) == pytest.approx(-degrees, abs=0.2)


def boxes_of_a_table(slope: float, change: float) -> list[tuple[tuple[float, float], ...]]:
    """Boxes of 12 rows and 6 columns whose lines run with ``slope``, and ``change`` of it down the page."""
    boxes = []
    for row in range(12):
        for left, width in ((0.0, 300.0), *((300.0 + 160 * column, 60.0) for column in range(1, 6))):
            run = slope + change * (row - 5.5) / 11
            y0, y1 = (40.0 * row + x * run for x in (left, left + width))
            boxes.append(((left, y0), (left + width, y1), (left + width, y1 + 24), (left, y0 + 24)))
    return boxes


@pytest.mark.parametrize(("slope", "change"), [(0, 0), (0.015, 0), (0, 0.06), (-0.01, -0.08), (0.05, 0.04)])
def test_boxes_of_one_line_get_one_height(slope: float, change: float) -> None:
    boxes = boxes_of_a_table(slope, change)
    slant = slant_of(boxes)
    tops = [slant.level(box)[0][1] for box in boxes]
    spread = [max(tops[at : at + 6]) - min(tops[at : at + 6]) for at in range(0, len(tops), 6)]
    assert max(spread) < 12, "half a line's height"


def one_word(text: str, sure: float, *, confirmed: bool = False) -> tuple[Reading, Document]:
    word = Word(text, 10, 10, 30, 20, 1, sure)
    read = Reading(
        sample="North 1", analyte="potassium", result=parse_result("120"), value_printed=text,
        place="line 1", box=(10, 10, 30, 20), confirmed=confirmed,
    )  # fmt: skip
    drawn = Page(number=1, medium="drawn", words=(word,), scanned=True)
    return read, Document(source="a.png", sha256="", kind="scan", pages=(drawn,))


@pytest.mark.parametrize(
    "text", ["12O", "l20", "1S0", "6.S", "B.5", "1Z", "O.4", "|20", "6:5", "6 . 5", "1 20", "6'5", "7·1"]
)
def test_a_number_with_a_letter_that_looks_like_a_digit_is_left_and_named(text: str) -> None:
    read, document = one_word(text, 0.99)
    kept, left = mark_scanned([read], document)
    assert kept == ()
    assert [(one.text, one.near) for one in left] == [(text, "potassium")]


@pytest.mark.parametrize("text", ["120", "6.5", "<0.5", "1,510", "120 VH", "3.2 %", "45 mg/kg"])
def test_a_clear_number_is_kept_and_doubted(text: str) -> None:
    read, document = one_word(text, 0.99)
    kept, left = mark_scanned([read], document)
    assert [one.notes for one in kept] == [("low-confidence",)]
    assert left == ()


def test_a_number_seen_unclearly_is_left_and_named() -> None:
    read, document = one_word("120", 0.6)
    kept, left = mark_scanned([read], document)
    assert kept == ()
    assert "unclear" in left[0].reason


def test_a_number_that_the_documents_own_arithmetic_confirms_is_not_doubted() -> None:
    read, document = one_word("120", 0.99, confirmed=True)
    assert mark_scanned([read], document)[0][0].notes == ()


def test_a_typewriters_wide_blank_parts_no_name_in_a_picture() -> None:
    def word(text: str, x0: float, x1: float, line: int) -> Word:
        return Word(text, x0, 20.0 * line, x1, 20.0 * line + 12, line, 0.99)

    words = (
        word("Upper", 100, 170, 1), word("Orchard", 185, 283, 1), word("4", 400, 414, 1),
        word("Soil", 100, 124, 2), word("pH", 129, 143, 2), word("6.4", 400, 442, 2),
    )  # fmt: skip
    lines = lines_of(Page(number=1, medium="drawn", words=words, space=8.0, scanned=True))
    assert [[phrase.text for phrase in line.phrases] for line in lines] == [
        ["Upper Orchard", "4"],
        ["Soil pH", "6.4"],
    ]


@pytest.mark.parametrize(
    ("seen", "printed"), [("(LOl)", "(LOI)"), ("K20", "K2O"), ("P205,", "P2O5,"), ("LOI", "LOI")]
)
def test_words_of_the_trade_that_are_often_misread_are_put_right(seen: str, printed: str) -> None:
    assert [text for text, *_ in scan._unglued((seen, 0.0, 1.0, 0.99))] == [printed]

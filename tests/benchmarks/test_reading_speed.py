"""Reading a PDF costs little more than pdfplumber's own word extraction over the same pages, in one run."""

import io
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import pdfplumber

from soiltrend.files import sha256
from soiltrend.layout import read_report
from soiltrend.readers import pdf
from soiltrend.readers.document import Document

FIXTURES = Path(__file__).parents[2] / "fixtures"
WORDS_LIMIT = 1.3
ROUNDS = 3


def _plain(content: bytes) -> int:
    """Extract the words of every page as pdfplumber does, and nothing else."""
    with pdfplumber.open(io.BytesIO(content)) as opened:
        return sum(len(page.extract_words()) for page in opened.pages)


def _whole(content: bytes) -> int:
    """Read the report to its results."""
    pages, messages = pdf.read(content, "a.pdf")
    document = Document(source="a.pdf", sha256=sha256(content), kind=pdf.NAME, pages=pages, messages=messages)
    return len(read_report(document).readings)


def _seconds(works: Sequence[Callable[[bytes], object]], contents: list[bytes]) -> list[float]:
    """Return the processor time of each work over all files: in turn file by file, the best of the rounds.

    Processor time, in turns: another program on the machine then slows all sides alike.
    """
    totals = [0.0] * len(works)
    for content in contents:
        best = [float("inf")] * len(works)
        for _ in range(ROUNDS):
            for number, work in enumerate(works):
                start = time.process_time()
                work(content)
                best[number] = min(best[number], time.process_time() - start)
        totals = [total + least for total, least in zip(totals, best, strict=True)]
    return totals


def test_reading_is_within_a_third_of_word_extraction() -> None:
    contents = [path.read_bytes() for path in sorted(FIXTURES.glob("*/*.pdf"))]
    contents = [content for content in contents if b"/AcroForm" not in content]
    plain, words, whole = _seconds([_plain, lambda content: pdf.read(content, "a.pdf"), _whole], contents)
    ratios = f"reading {words / plain:.2f} x, to results {whole / plain:.2f} x"
    print(f"{len(contents)} files: words alone {plain:.2f} s, {ratios}")
    assert words <= WORDS_LIMIT * plain

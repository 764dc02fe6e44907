"""Pages of a PDF that are pictures are read as scans; so are letters that a scanner hid behind one."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from soiltrend.errors import UnreadableFile
from soiltrend.readers import pdf, scan
from soiltrend.readers.document import Page

# Objects of a page looked at for hidden letters; a page drawn of more is no scan.
MOST_OBJECTS = 3000
HIDDEN = 3  # PDF 32000-1:2008, table 106: text rendering mode 3, neither fill nor stroke


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...], str]:
    """Return a PDF's pages, messages and kind: ``scan`` where every word was seen in a picture.

    Raises
    ------
    UnreadableFile
        The file is damaged or locked, or all of it is pictures and the extra ``scan`` is not installed.
    """
    try:
        pages, messages = pdf.read(content, source)
    except pdf.NoText:
        return scan.read_pdf(content, source, range(1, _length(content) + 1)), (), scan.NAME
    pictures, hidden = _looked_through(content, pages)
    pages = tuple(replace(page, scanned=True) if page.number in hidden else page for page in pages)
    if pictures:
        pages, more = _with_scans(content, source, pages, pictures)
        messages = (*messages, *more)
    seen = all(page.scanned for page in pages if page.words)
    return pages, messages, scan.NAME if seen else pdf.NAME


def _with_scans(
    content: bytes, source: str, pages: tuple[Page, ...], numbers: Sequence[int]
) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Read the pictures among the pages; where that cannot be done, say which page was not read."""
    try:
        seen = {page.number: page for page in scan.read_pdf(content, source, numbers)}
    except UnreadableFile as error:
        listed = ", ".join(map(str, numbers))
        return pages, (f"Page {listed} was not read: {str(error).removeprefix(source).lstrip(': ')}",)
    return tuple(seen.get(page.number, page) for page in pages), ()


def _length(content: bytes) -> int:
    import pypdfium2

    document = pypdfium2.PdfDocument(content)
    try:
        return len(document)
    finally:
        document.close()


def _looked_through(content: bytes, pages: Sequence[Page]) -> tuple[list[int], set[int]]:
    """Return which pages are pictures without words, and which have hidden words over a picture."""
    import pypdfium2

    pictures: list[int] = []
    hidden: set[int] = set()
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError:  # one reader can mend what the other cannot open
        return [], set()
    try:
        for page in pages:
            if not _has_picture(document[page.number - 1]):
                continue
            if not page.words:
                pictures.append(page.number)
            elif _is_hidden(document[page.number - 1]):
                hidden.add(page.number)
    finally:
        document.close()
    return pictures, hidden


def _has_picture(page: Any) -> bool:
    """Whether a picture covers half of the page or more."""
    from pypdfium2 import raw

    whole = page.get_width() * page.get_height()
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=3):
        left, bottom, right, top = item.get_bounds()
        if (right - left) * (top - bottom) >= 0.5 * whole:
            return True
    return False


def _is_hidden(page: Any) -> bool:
    """Whether most of the page's letters are hidden."""
    from pypdfium2 import raw

    modes = [
        raw.FPDFTextObj_GetTextRenderMode(item.raw)
        for item, _ in zip(
            page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=3), range(MOST_OBJECTS), strict=False
        )
    ]
    return bool(2 * sum(mode == HIDDEN for mode in modes) > len(modes))

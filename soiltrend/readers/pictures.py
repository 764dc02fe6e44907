"""Picture files and pages of a PDF → upright pictures of pages, of a size that letters can be read at."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from soiltrend.errors import UnreadableFile

if TYPE_CHECKING:
    from PIL import Image

INSTALL = "pip install 'soiltrend[scan]'"
# Enough for type of 7 points; finer is slower and reads no better.
DOTS_PER_INCH = 200
POINTS_PER_INCH = 72
# A page's long side in pixels: smaller pictures are enlarged, larger ones made smaller.
SMALLEST, LARGEST = 1400, 2600
MOST_PIXELS = 150_000_000
MOST_PAGES = 60
_MARKS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*")


def is_picture(content: bytes) -> bool:
    """Whether the file is a picture, by its first bytes."""
    webp = content[:4] == b"RIFF" and content[8:12] == b"WEBP"
    bitmap = content[:2] == b"BM" and content[6:10] == b"\0\0\0\0"
    return content.startswith(_MARKS) or webp or bitmap


def pages_of_picture(content: bytes, source: str) -> list[Image.Image]:
    """Return the pages of a picture file, turned as the camera says and of a size to read at.

    Raises
    ------
    UnreadableFile
        The picture is damaged or far too large, or pillow is not installed.
    """
    _need_pillow(source)
    from PIL import Image

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            with Image.open(io.BytesIO(content)) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise UnreadableFile(
                        f"{source}: expected a picture below 150 megapixels, found a larger."
                    )
                return [_prepared(frame) for frame in _frames(opened)]
        except UnreadableFile:
            raise
        except Exception as error:  # pillow raises many kinds for damaged files
            raise UnreadableFile(
                f"{source}: expected a picture, found one that is damaged ({type(error).__name__}). "
                "Take or scan it anew."
            ) from error


def pages_of_pdf(
    content: bytes, numbers: Sequence[int] | None, dpi: int = DOTS_PER_INCH
) -> Iterator[tuple[Image.Image, float]]:
    """Draw pages of a PDF, numbered from 1; None draws the first MOST_PAGES of them.

    Yields each picture with its pixels for each point; a poster is drawn coarser, to fit into memory.
    """
    import pypdfium2

    document = pypdfium2.PdfDocument(content)
    try:
        for number in numbers or range(1, min(len(document), MOST_PAGES) + 1):
            page = document[number - 1]
            scale = min(dpi / POINTS_PER_INCH, LARGEST / max(page.get_width(), page.get_height(), 1))
            yield page.render(scale=scale).to_pil().convert("RGB"), scale
            page.close()
    finally:
        document.close()


def turned(picture: Image.Image, degrees: float) -> Image.Image:
    """Return a picture turned to the left, on white."""
    if not degrees:
        return picture
    from PIL import Image

    smooth = Image.Resampling.BICUBIC
    return picture.rotate(degrees, expand=True, fillcolor="white", resample=smooth)


def _need_pillow(source: str) -> None:
    try:
        import PIL  # noqa: F401
    except ImportError as error:
        raise UnreadableFile(f"{source}: is a picture, and reading pictures needs: {INSTALL}") from error


def _frames(opened: Image.Image) -> Iterator[Image.Image]:
    from PIL import ImageSequence

    for index, frame in enumerate(ImageSequence.Iterator(opened)):
        if index < MOST_PAGES:
            yield frame


def _prepared(frame: Image.Image) -> Image.Image:
    from PIL import Image, ImageOps

    upright = ImageOps.exif_transpose(frame).convert("RGBA")
    paper = Image.new("RGB", upright.size, "white")
    paper.paste(upright, mask=upright.getchannel("A"))
    longest = max(paper.size)
    if SMALLEST <= longest <= LARGEST:
        return paper
    share = (SMALLEST if longest < SMALLEST else LARGEST) / longest
    size = (max(1, round(paper.width * share)), max(1, round(paper.height * share)))
    return paper.resize(size, Image.Resampling.LANCZOS)

"""Tables with drawn cells → lines of whole cells: what stands inside four rules is one text."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from soiltrend.layout.entries import is_result
from soiltrend.layout.joining import joined, renumbered
from soiltrend.layout.lines import Line, Phrase
from soiltrend.readers.document import Page, Rule

TOUCH = 1.5  # points: rules so near to each other are one, as the two edges of a thin bar are
MOST_LINES = 6  # lines of one cell: more are a box around something else
OVER = 1.0  # points that letters may stand out of their cell

# The left, right, upper and lower side of a cell.
Sides = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class _Part:
    """A phrase of one line, and the line it stands on."""

    phrase: Phrase
    line: Line


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands inside four rules, line by line."""

    sides: Sides
    lines: tuple[Phrase, ...]

    @property
    def results(self) -> int:
        """The number of its lines that are results."""
        return sum(is_result(line.text) for line in self.lines)

    def reaches_over(self, band: tuple[float, float]) -> bool:
        """Whether the cell is as high as this row of cells and others."""
        top, bottom = self.sides[2:]
        return top <= band[0] and band[1] <= bottom and (top, bottom) != band

    def is_beside(self, row: Iterable["Cell"]) -> bool:
        """Whether the cell shares a side with one of the row and stands over none."""
        left, right = self.sides[:2]
        apart = all(right <= cell.sides[0] or left >= cell.sides[1] for cell in row)
        return apart and any(right == cell.sides[0] or left == cell.sides[1] for cell in row)

    @property
    def text(self) -> str:
        """The lines as one text."""
        text = self.lines[0].text
        for line in self.lines[1:]:
            text = joined(text, line.text)
        return text

    def whole(self) -> Phrase:
        """Return the cell as one phrase."""
        words = tuple(word for line in self.lines for word in line.words)
        return Phrase(words, self.text, min(p.x0 for p in self.lines), max(p.x1 for p in self.lines))


class Frame:
    """The rules of a page, those on one line joined, that tell in which cell a place lies."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        level = [(rule.top, rule.x0, rule.x1) for rule in rules if not rule.upright]
        self.level = _merged(level)
        upright = [(rule.x0, rule.top, rule.bottom) for rule in rules if rule.upright]
        self.upright = _merged([*upright, *_between_pieces(level)])

    def around(self, phrase: Phrase, line: Line) -> Sides | None:
        """Return the four rules around a phrase, None where one is missing or the phrase crosses one."""
        y = (line.top + line.bottom) / 2
        sides = (*_beside(self.upright, phrase.middle, y), *_beside(self.level, y, phrase.middle))
        left, right, top, bottom = sides
        if left is None or right is None or top is None or bottom is None:
            return None
        inside = left - OVER <= phrase.x0 and phrase.x1 <= right + OVER
        return (left, right, top, bottom) if inside else None


@lru_cache(maxsize=4)
def frame_of(rules: tuple[Rule, ...]) -> Frame:
    """Return the frame of a page's rules, which each block of headings on the page asks for again."""
    return Frame(rules)


def whole_cells(lines: Sequence[Line], page: Page) -> list[Line]:
    """Return the page's lines with the rows of ruled tables put together from their cells.

    Rows of headings are left as they are: see :func:`heading_cells`.
    """
    if page.medium != "drawn" or not any(not rule.upright for rule in page.rules):
        return list(lines)
    cells = _cells(lines, frame_of(page.rules))
    rows: list[Line] = []
    gone: set[int] = set()
    for band, own in _bands(cells):
        if any(cell.results for cell in own):
            tall = _beside_row(own, [cell for cell in cells if not cell.results and cell.reaches_over(band)])
            made = _rows(own, tall)
            rows += made
            gone |= {id(phrase) for cell in (*own, *tall) if made for phrase in cell.lines}
    return _with_rows(lines, rows, gone)


def heading_cells(lines: Sequence[Line], page: Page) -> list[Line]:
    """Return the lines of a block of headings put together from their cells; nothing where they have none."""
    if page.medium != "drawn":
        return []
    cells = _cells(lines, frame_of(page.rules))
    inside = {id(phrase) for cell in cells for phrase in cell.lines}
    if any(id(phrase) not in inside for line in lines for phrase in line.phrases):
        return []
    found: list[Line] = []
    gone: set[int] = set()
    for band, own in _bands(cells):
        ending = [cell for cell in cells if cell.sides[3] == band[1] and cell.reaches_over(band)]
        tall = _beside_row(own, ending)
        whole = [cell.whole() for cell in own]
        found.append(_line([*whole, *(cell.whole() for cell in tall)], whole))
        gone |= {id(phrase) for cell in (*own, *tall) for phrase in cell.lines}
    titles = [line for line in lines if not any(id(phrase) in gone for phrase in line.phrases)]
    return sorted([*titles, *found], key=lambda line: line.top + line.bottom) if found else []


def _between_pieces(level: Sequence[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Return the sides of cells that only have rules above and below, a piece for each cell.

    Where pieces begin and end in two rules, one above the other, columns begin and end between them.
    """
    found = []
    above: dict[int, float] = {}  # by place across, the height of the last rule with an end there
    for height, spans in _gathered(level):
        ends = {x for span in spans for x in span}
        for x in ends if len(ends) > 2 else ():
            place = round(x / (2 * TOUCH))
            last = next((above[near] for near in (place, place - 1, place + 1) if near in above), None)
            if last is not None and last < height:
                found.append((x, last, height))
            above[place] = height
    return found


def _gathered(pieces: Iterable[tuple[float, float, float]]) -> list[tuple[float, list[tuple[float, float]]]]:
    places: list[tuple[float, list[tuple[float, float]]]] = []
    for place, start, end in sorted(pieces):
        if not places or place - places[-1][0] > TOUCH:
            places.append((place, []))
        places[-1][1].append((start, end))
    return places


def _merged(pieces: Iterable[tuple[float, float, float]]) -> list[tuple[float, list[list[float]]]]:
    """Merge pieces at one place across: place and stretches."""
    return [(place, _stretches(spans)) for place, spans in _gathered(pieces)]


def _stretches(spans: Sequence[tuple[float, float]]) -> list[list[float]]:
    found: list[list[float]] = []
    for start, end in sorted(spans):
        if found and start - found[-1][1] <= 2 * TOUCH:
            found[-1][1] = max(found[-1][1], end)
        else:
            found.append([start, end])
    return found


def _beside(
    rules: Sequence[tuple[float, list[list[float]]]], across: float, along: float
) -> tuple[float | None, float | None]:
    """Return the nearest rules before and behind a place that pass it."""
    before: float | None = None
    for place, spans in rules:
        if any(start - TOUCH <= along <= end + TOUCH for start, end in spans):
            if place > across:
                return before, place
            before = place
    return before, None


def _cells(lines: Sequence[Line], frame: Frame) -> list[Cell]:
    """Return the cells that hold one phrase on each of a few lines; of several on one line, each is one."""
    inside: dict[Sides, list[_Part]] = {}
    for line in lines:
        for phrase in line.phrases:
            sides = frame.around(phrase, line)
            if sides is not None:
                inside.setdefault(sides, []).append(_Part(phrase, line))
    cells = [
        Cell(sides, tuple(p.phrase for p in parts)) for sides, parts in inside.items() if _is_cell(parts)
    ]
    abreast = [(sides, parts) for sides, parts in inside.items() if len(parts) > 1 and _is_one_line(parts)]
    return cells + [Cell(sides, (part.phrase,)) for sides, parts in abreast for part in parts]


def _is_cell(parts: Sequence[_Part]) -> bool:
    lines = [part.line.index for part in parts]
    return len(set(lines)) == len(lines) <= MOST_LINES


def _is_one_line(parts: Sequence[_Part]) -> bool:
    return len({part.line.index for part in parts}) == 1


def _bands(cells: Sequence[Cell]) -> list[tuple[tuple[float, float], list[Cell]]]:
    """Return the rows of cells from the top down: heights that hold no lower ones."""
    heights = sorted({(cell.sides[2], cell.sides[3]) for cell in cells})
    least = [
        one
        for one in heights
        if not any(other != one and one[0] <= other[0] and other[1] <= one[1] for other in heights)
    ]
    bands = [(band, [cell for cell in cells if cell.sides[2:] == band]) for band in least]
    return [(band, own) for band, own in bands if len(own) > 1]


def _beside_row(own: Sequence[Cell], tall: Sequence[Cell]) -> list[Cell]:
    """Return the higher cells that stand in one row with those of their own height, one beside the other."""
    row = list(own)
    waiting = list(tall)
    while found := next((cell for cell in waiting if cell.is_beside(row)), None):
        row.append(found)
        waiting.remove(found)
    return row[len(own) :]


def _rows(own: Sequence[Cell], tall: Sequence[Cell]) -> list[Line]:
    """Return the lines of one row of cells: several where its cells hold a number on each of several lines.

    Nothing where a cell holds several numbers otherwise, or where the row is one line already.
    """
    counts = {len(cell.lines) for cell in own if all(is_result(line.text) for line in cell.lines)}
    several = max(counts, default=1)
    if any(cell.results > 1 and len(cell.lines) != several for cell in own):
        return []
    if several == 1 and not tall and all(len(cell.lines) == 1 for cell in own):
        return []
    beside = [cell.whole() for cell in tall]
    rows = []
    for number in range(several):
        inside = [cell.lines[number] if len(cell.lines) == several else cell.whole() for cell in own]
        split = [cell.lines[number] for cell in own if len(cell.lines) == several]
        rows.append(_line([*inside, *beside], split if several > 1 else inside))
    return rows


def _line(phrases: Sequence[Phrase], measured: Sequence[Phrase]) -> Line:
    """Return phrases as one line, as high as those ``measured``."""
    words = [word for phrase in measured for word in phrase.words]
    top, bottom = min(word.top for word in words), max(word.bottom for word in words)
    return Line(0, words[0].line, top, bottom, tuple(sorted(phrases, key=lambda phrase: phrase.x0)))


def _with_rows(lines: Sequence[Line], rows: Sequence[Line], gone: set[int]) -> list[Line]:
    """Put the rows in the place of the phrases they were made of."""
    if not rows:
        return list(lines)
    kept = [tuple(phrase for phrase in line.phrases if id(phrase) not in gone) for line in lines]
    left = [replace(line, phrases=phrases) for line, phrases in zip(lines, kept, strict=True) if phrases]
    return renumbered(sorted([*left, *rows], key=lambda line: line.top + line.bottom))

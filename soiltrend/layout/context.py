"""What a report says around its results: sample, dates, layer, laboratory, and for which lines."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise, zip_longest

from soiltrend.layout.dates import find_date, is_date
from soiltrend.layout.depths import depth_unit, find_layer, is_layer
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.spoken import DATE_FIELDS, DEPTH_WORDS, clauses, date_in, spoken
from soiltrend.layout.words import field_of, normal
from soiltrend.layout.zones import is_number

LEAST_LABEL = 4  # letters of a label that is alone on its line
RUN_ON = 0.95  # of the height of a line, how far two words of one text may stand apart
EVEN = 0.4  # of the height of a line: how far two left edges in line may differ
BARE_NAMES = ("name", "nom", "nombre")
BARE_LABELS = (*BARE_NAMES, "reference", "ref", "referenz", "referencia")
SAMPLE_FIELDS = ("bed", "sample", "field")
_REMARK = re.compile(r"(?P<name>\S.*?)\s*\((?P<remark>[^()]+)\)")
_QUOTATION = re.compile(r"[\"“„«]\s?([^\"“”„«»]{2,40}?)\s?[\"”“»]")
_WORD = re.compile(r"[^\W\d_]{3}")
_COLON = re.compile(r"\s*[:=]\s*")


@dataclass(frozen=True, slots=True)
class Told:
    """One field told outside the tables, and where."""

    name: str
    text: str
    page: int
    line: int
    x0: float


@dataclass(slots=True)
class Context:
    """Everything told outside the tables of a document, in reading order."""

    told: list[Told] = field(default_factory=list)
    # left edges of the columns of names on each page that is set in columns
    columns: dict[int, tuple[float, ...]] = field(default_factory=dict)
    # the lines outside tables, as printed
    lines: list[str] = field(default_factory=list)

    def nearest(self, name: str, page: int, line: int, x0: float) -> str:
        """Return the field as told for a place: nearest above in its half of the page, else the only one."""
        above = self.above(name, page, line, x0)
        if above:
            return above.text
        texts = {t.text for t in self.told if t.name == name}
        return texts.pop() if len(texts) == 1 else ""

    def above(self, name: str, page: int, line: int, x0: float) -> Told | None:
        """Return what is told for a field nearest above a place."""
        found = [t for t in self.told if t.name == name and (t.page, t.line) <= (page, line)]
        return self._in_band(found, page, x0) if found else None

    def _in_band(self, above: Sequence[Told], page: int, x0: float) -> Told:
        """Where several stand beside each other on a line, the one that begins left of the place counts."""
        last = above[-1]
        if last.page != page:
            return last
        column = self._column(page, x0)
        same = [t for t in above if t.page == page and self._column(page, t.x0) == column]
        if same and len(self.columns.get(page, ())) > 1:
            last = same[-1]
        beside = [t for t in above if (t.page, t.line) == (last.page, last.line)]
        left = [t for t in beside if t.x0 <= x0 + 1.0]
        return left[-1] if left else beside[0]

    def _column(self, page: int, x0: float) -> int:
        return sum(edge <= x0 + 1.0 for edge in self.columns.get(page, ())[1:])

    def beside(self, text: str, names: Sequence[str], page: int, line: int, lines: int) -> list[str]:
        """Return what else is told for ``names`` within ``lines`` of the last ``text`` above a line."""
        own = [t for t in self.told if t.text == text and t.page == page and t.line <= line]
        if not own:
            return []
        near = [t for t in self.told if t.page == page and abs(t.line - own[-1].line) <= lines]
        return [t.text for t in near if t.name in names and t.text != text]

    def all(self, name: str) -> list[str]:
        """Return every text told for a field, in order, each once."""
        return list(dict.fromkeys(t.text for t in self.told if t.name == name))


def listen(lines: Sequence[Line], page: int, used: set[int]) -> list[Told]:
    """Return the fields told on a page outside its tables."""
    found: list[Told] = []
    boxes = False
    for position, line in enumerate(lines):
        if position in used:
            continue
        following = lines[position + 1] if position + 1 < len(lines) else None
        boxed = _boxed(line, following, boxes) if following else []
        boxes = boxes or bool(boxed)
        below = lone_pair(lines, position)
        found += [Told(name, text, page, line.index, x0) for name, text, x0 in _quoted(line)]
        said = boxed or ([(*below, line.phrases[0].x0)] if below else fields_on(line))
        told = ((_sure_of_number(name, text), text, x0) for name, text, x0 in said)
        found += [Told(name, text, page, line.index, x0) for name, text, x0 in told]
    by_line = {(told.name, told.line) for told in found}
    for name, text, paragraph in spoken(lines, used):
        if not any((name, line.index) in by_line for line in paragraph):
            found.append(Told(name, text, page, paragraph[0].index, paragraph[0].phrases[0].x0))
    return found


def _quoted(line: Line) -> list[tuple[str, str, float]]:
    """Return a sample's name in quotation marks: 'the analysis of your sample "Long border" (taken on …'."""
    found = _QUOTATION.search(line.text)
    name = _name_before(line.text[: found.start()].rstrip())[1] if found else ""
    return [(name, found[1], line.phrases[0].x0)] if found and name in SAMPLE_FIELDS else []


def lone_pair(lines: Sequence[Line], position: int) -> tuple[str, str] | None:
    """Return the field of a line that is nothing else, and the text on the line right below it."""
    if position + 1 >= len(lines):
        return None
    label, text = lines[position], lines[position + 1]
    name = field_of(label.text.rstrip(" :")) if len(label.phrases) == len(text.phrases) == 1 else ""
    near = text.top - label.bottom <= label.bottom - label.top
    if not name or not near or label_of(text.text).known or not len(label.text) >= LEAST_LABEL:
        return None
    return name, text.text


def _sure_of_number(name: str, text: str) -> str:
    """Return ``lab`` for a 'Lab' followed by a name instead of a number."""
    return "lab" if name == "lab_number" and not re.search(r"\d", text) else name


def fields_on(line: Line) -> list[tuple[str, str, float]]:
    """Return (field, text, left edge) of each field that a line tells."""
    found: list[tuple[str, str, float]] = []
    numbered: list[tuple[str, str, float]] = []
    other: list[Phrase] = []
    phrases = _labels_whole(line.phrases)
    taken = None
    for index, phrase in enumerate(phrases):
        inside = _inside(phrase)
        if inside:
            found += inside
            continue
        name = field_of(phrase.text.rstrip(" :=.#"))
        following = phrases[index + 1] if index + 1 < len(phrases) else None
        if name and following and (not _is_label(following) or _names_sample(name, phrases)):
            rest = _run_on(phrases[index + 1 :], line)
            text = _whole_text(name, phrases[index + 1 :]) or rest.lstrip(" :=")
            found.append((_by_label(name, phrase.text, text), _with_unit(name, phrase.text, text), phrase.x0))
            taken = following
        elif not name:
            numbered += _numbered(phrase)
            other += [phrase] if phrase is not taken else []
    loose = [told for told in _loose(other) if told[0] != "date"] if found else _loose(phrases)
    layers = [("depth", text, x0) for name, text, x0 in found if name in DATE_FIELDS and _tells_layer(text)]
    if any(name in SAMPLE_FIELDS for name, *_ in found):  # 'Sample 1: North bed   (0-25 cm)'
        bare = [(phrase.text.strip(" ()[]"), phrase.x0) for phrase in phrases]
        layers += [("depth", text, x0) for text, x0 in bare if is_layer(text)]
    return [*found, *loose, *numbered, *layers]


def _tells_layer(text: str) -> bool:
    """Whether a text that tells a date tells the layer too: '30. April 2021, Entnahmetiefe 0-20 cm'."""
    return bool(DEPTH_WORDS.search(text) and find_layer(text))


def _labels_whole(phrases: Sequence[Phrase]) -> list[Phrase]:
    """Put labels together that wide letters part: 'LAB' and 'NO.:' are one."""
    found: list[Phrase] = []
    for phrase in phrases:
        label = f"{found[-1].text} {phrase.text}" if found else ""
        if label.endswith(":") and ":" not in label[:-1] and field_of(label[:-1]) not in ("", "other"):
            found[-1] = Phrase((*found[-1].words, *phrase.words), label, found[-1].x0, phrase.x1)
        else:
            found.append(phrase)
    return found


def _run_on(following: Sequence[Phrase], line: Line) -> str:
    """Return a text with the phrases that stand hardly farther off than a blank: 'East', 'garden'."""
    near = RUN_ON * (line.bottom - line.top)
    text = following[0].text
    for phrase, after in pairwise(following):
        if after.x0 - phrase.x1 > near or after.text.endswith(":"):
            break
        text = f"{text} {after.text}"
    return text


def _whole_text(name: str, following: Sequence[Phrase]) -> str:
    """Return a date or layer that stands in two phrases: 'September 18,' and '2001', '0-6' and 'inches'."""
    if len(following) < 2:
        return ""
    first, text = following[0].text, f"{following[0].text} {following[1].text}"
    if name == "depth" and not find_layer(first) and find_layer(text):
        return text
    return text if name in DATE_FIELDS and not find_date(first) and is_date(text) else ""


def _boxed(labels: Line, values: Line, boxes: bool) -> list[tuple[str, str, float]]:
    """Return the fields of boxes, a label above a text set flush left: 'Sampled' over '4/3/2022'.

    One label may be of something else; where ``boxes`` stand above, more may be.
    """
    names = [field_of(phrase.text.rstrip(" :")) for phrase in labels.phrases]
    known = sum(map(bool, names)) >= max(2, len(names) - 1) and len(labels.phrases) == len(values.phrases)
    if len(names) < 2 or not (names[0] if boxes else all(names) or known):
        return []
    if any(c.isdigit() or c == ":" for c in labels.text):
        return []
    if len(labels.phrases) < len(values.phrases) or any(field_of(phrase.text) for phrase in values.phrases):
        return []
    near = EVEN * (labels.bottom - labels.top)
    found = []
    for name, label in zip(names, labels.phrases, strict=True):
        below = [phrase for phrase in values.phrases if abs(phrase.x0 - label.x0) <= near]
        if len(below) != 1:
            return []
        found += [(name, below[0].text, label.x0)] if name else []
    return found


def _with_unit(name: str, label: str, text: str) -> str:
    """Give a depth the unit that its label prints: 'Depth (cm)  0-20'."""
    if not name.startswith("depth") or depth_unit(text) or not depth_unit(label):
        return text
    return f"{text} {depth_unit(label)}"


def _names_sample(name: str, phrases: Sequence[Phrase]) -> bool:
    """Whether a pair gives a sample's name that happens to be a name of something else too: P1, K2, Top."""
    return name in SAMPLE_FIELDS and len(phrases) == 2 and not phrases[1].text.rstrip().endswith(":")


def _inside(phrase: Phrase) -> list[tuple[str, str, float]]:
    """Return the fields of a phrase such as ``Sample: Bed 1 Depth: 0-6 in``."""
    marks = list(_COLON.finditer(phrase.text))
    found: list[tuple[str, str, float]] = []
    names: list[tuple[int, int, str]] = []
    for mark in marks:
        before = phrase.text[: mark.start()]
        start, name = _name_before(before)
        if name:
            names.append((start, mark.end(), name))
    for (start, end, name), following in zip_longest(names, names[1:]):
        text = phrase.text[end : following[0] if following else None].strip(" ,;|")
        if text:
            share = start / max(1, len(phrase.text))
            x0 = phrase.x0 + share * (phrase.x1 - phrase.x0)
            text, more = _without_remark(name, text)
            label = phrase.text[start:end]
            found += [(_by_label(name, label, text), text, x0), *((field, said, x0) for field, said in more)]
    return found


def _by_label(name: str, label: str, text: str) -> str:
    """Return the field of a label that may name something else than a sample.

    A bare 'Name' outside tables may be the grower's, so other names go before it; a bare 'Reference' that is
    a number is the report's.
    """
    if name != "sample" or normal(label) not in BARE_LABELS:
        return name
    if normal(label) in BARE_NAMES:
        return "titled"
    return name if _WORD.search(text) else "report"


def _without_remark(name: str, text: str) -> tuple[str, list[tuple[str, str]]]:
    """Part a sample's name from what brackets behind it tell: '(received 18 May 2004, sampled to 20 cm)'."""
    bracket = _REMARK.fullmatch(text) if name in SAMPLE_FIELDS else None
    if bracket is None:
        return text, []
    pieces = [piece.strip() for piece in bracket["remark"].split(",")]
    told = [(date_field_of(piece), piece) for piece in pieces if date_field_of(piece)]
    told += [("depth", piece) for piece in pieces if find_layer(piece) and not date_field_of(piece)]
    return (bracket["name"], told) if len(told) == len(pieces) else (text, [])


def _numbered(phrase: Phrase) -> list[tuple[str, str, float]]:
    """Return the field of a phrase without a colon that says it before a number: ``Report No 4711``."""
    words = phrase.text.split()
    for end in range(len(words) - 1, 0, -1):
        rest = words[end:]
        if len(rest) > 2 or not re.search(r"\d", rest[0]):
            continue
        for start in range(max(0, end - 3), end):
            name = field_of(" ".join(words[start:end]))
            if name and _says_number(name, " ".join(words[start:end]), rest):
                return [(name, " ".join(rest), phrase.x0)]
    return []


def _says_number(field: str, name: str, rest: Sequence[str]) -> bool:
    """Whether what follows a field's name is its number: 'Report No 7', 'Report 23-118', no date."""
    if normal(name).endswith((" no", " id")):
        return True
    return field == "report" and len(rest) == 1 and len(rest[0]) > 2 and find_date(rest[0]) is None


def _name_before(before: str) -> tuple[int, str]:
    """Return where the longest known field name at the end of ``before`` starts, and the field."""
    words = list(re.finditer(r"\S+", before))
    for first in words[max(0, len(words) - 5) :]:
        text = before[first.start() :]
        name = field_of(text)
        if not name and len(text.split()) > 1 and re.search(r"\s\S?\d{1,3}$", text):
            counted = field_of(text.rsplit(None, 1)[0])  # 'Sample 2: North bed'
            name = counted if counted in SAMPLE_FIELDS else ""
        if name:
            return first.start(), name
    return 0, ""


def _is_label(phrase: Phrase) -> bool:
    label = label_of(phrase.text)
    return bool(label.field or label.analyte or label.role) or phrase.text.rstrip().endswith(":")


def _loose(phrases: Sequence[Phrase]) -> list[tuple[str, str, float]]:
    """Return what phrases tell without a name and colon: a lone date, 'sampled 5 May 2021', 'top 15 cm'."""
    found: list[tuple[str, str, float]] = []
    for phrase in phrases:
        dated = [clause for clause in clauses(phrase.text) if date_field_of(clause)]
        if len(dated) > 1:  # 'Taken 16 March 2021 - received 19/03/2021'
            found += [(date_field_of(clause), clause, phrase.x0) for clause in dated]
        date_field = date_field_of(phrase.text)
        if date_field and len(dated) < 2:
            found.append((date_field, phrase.text, phrase.x0))
        bracketed = date_field == "date_sampled" and re.search(r"\(([^()]*)\)", phrase.text)
        if bracketed and is_layer(bracketed[1]):
            found.append(("depth", bracketed[1], phrase.x0))
        elif DEPTH_WORDS.search(phrase.text) and find_layer(phrase.text):
            found.append(("depth", phrase.text, phrase.x0))
    return found


def date_field_of(text: str) -> str:
    """Return the field of a date told with its name: 'Probenahme 14.03.2022', ``""`` where there is none."""
    if is_date(text):
        return "date"
    return "" if is_number(text) else date_in(text)

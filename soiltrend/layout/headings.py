"""The headings of a table with analytes across: stacked words, groups above, units below."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from soiltrend.layout.columns import Heading, Over, heading_of, separate_repeats
from soiltrend.layout.dates import find_date, is_date
from soiltrend.layout.entries import is_result
from soiltrend.layout.labels import label_of, same_name, split_headings
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.numerals import is_denominator
from soiltrend.layout.reach import names_shares, reach_of, stands_between
from soiltrend.layout.words import field_of, is_statistic, role_of
from soiltrend.layout.zones import Zone, grid_zones, is_number, zones_below
from soiltrend.readers.document import Page
from soiltrend.values import is_rating
from soiltrend.vocabulary import match_method, match_unit

# Bodies that number their standards, before a number: a norm is no result (general usage).
_STANDARD = re.compile(
    r"\b(?:ISO|NF|DIN|EN|ASTM|EPA|AOAC|UNE|NOM|VDLUFA|NEN|BS|AS|ÖNORM)\b[ -]?(?:\w+[ -]){0,2}\d"
)
STACKED = 5  # lines of headings above, and of units and methods below, the line with the names
PROSE_WORDS = 7  # words of one phrase that make it a sentence
LONGEST_SHORT = 5  # letters of a word cut short, its full stop included: 'acid sat.'
NOTES = 3  # units and methods on one line that are no texts of fields
SENTENCE_WORDS = 4  # words of a phrase that ends with a full stop
NEAR = 4  # lines between the headings and the first row
AIR = 2.2  # heights of a line between the lines of stacked headings in a table with rules
FULL = 4  # a line with so many times fewer numbers than the fullest row is a note below the table
NAMES_ROWS = {"unit", "method", "analyte"}  # what the first cell of a line of headings may say of the line
SAMPLED_ROWS = 60  # rows looked at to find the columns of a text


@dataclass(slots=True)
class Found:
    """Headings found: the line with the names, where the rows below begin, and the columns."""

    first: int
    body: int
    base: Line
    columns: list[Heading]

    def repeats(self, line: Line) -> bool:
        """Whether ``line`` prints the headings again, as continued tables do."""
        return same_name(line.text, self.base.text)


def starts_here(lines: Sequence[Line], position: int) -> bool:
    """Whether the line at ``position`` can be the names of a new table, or opens a new block."""
    return _names(lines[position]) >= 2 or is_pair_line(lines[position])


def is_pair_line(line: Line) -> bool:
    """Whether the line says something of a sample or report by itself: ``Sample: Bed 2``."""
    for phrase, following in zip(line.phrases, (*line.phrases[1:], None), strict=True):
        name, colon, value = phrase.text.partition(":")
        if colon and value.strip() and field_of(name):
            return True
        if following and _tells(phrase, following, line):
            return True
    return False


def _tells(phrase: Phrase, following: Phrase, line: Line) -> bool:
    """Whether two phrases are a field and its text, and not a sample called 'Upper' and its numbers."""
    field = field_of(phrase.text)
    if not field or field in {"depth_from", "depth_to", "other", "year"} or label_of(following.text).known:
        return False
    if _names(line) >= 2 and not any(phrase.text.rstrip().endswith(":") for phrase in line.phrases):
        return False  # 'Lab no', 'Ground', 'pH', 'Zn': the headings of a table
    if len(line.phrases) >= 5 and (
        not any(c.isdecimal() for c in line.text) or _names(line) >= 3 or _has_fields_alone(line)
    ):
        return False  # one line of stacked headings
    if sum(bool(match_unit(one.text) or match_method(one.text)) for one in line.phrases) >= NOTES:
        return False  # the line below the names: 'identification', '1:1', 'ppm', 'ppm'
    numbers = sum(is_number(one.text) for one in line.phrases)
    return numbers * 2 < len(line.phrases) or len(line.phrases) == 2


def _has_fields_alone(line: Line) -> bool:
    """Whether fields follow each other with nothing told of them: 'Lab No', 'Sample', 'Depth'."""
    fields = [bool(field_of(phrase.text)) for phrase in line.phrases]
    return sum(first and second for first, second in pairwise(fields)) >= 2


def find(lines: Sequence[Line], position: int, page: Page) -> Found | None:
    """Return the table whose names stand on the line at ``position``, or None."""
    base = lines[position]
    higher = _tall_cells(lines, position, page)
    names = [part for phrase in (*base.phrases, *higher) for part in split_headings(phrase)]
    names.sort(key=lambda part: part.x0)
    if not _may_be_names(names, base):
        return None
    below = _below(lines, position)
    names = _with_low_cells(names, below)
    body = position + 1 + len(below)
    above = _above(lines, position, page)
    rows = _rows(lines, body)
    if not rows:
        return None
    names = _with_corner(names, rows, page)
    zones = _zones(names, rows, page)
    shares = names_shares(names[0].text)  # 'Base saturation, %  Ca  Mg  K'
    lead = [Over(names[0].text, True)] if shares else []
    columns = [
        heading_of(name, zone, [*lead, *_texts(above, name, names, page)], _stacked(below, zone, name))
        for name, zone in zip(names, zones, strict=True)
    ]
    separate_repeats(columns)
    if not _is_table(columns, rows) or _names_stand_below(columns, rows):
        return None
    return Found(position, body, base, columns)


def _tall_cells(lines: Sequence[Line], position: int, page: Page) -> tuple[Phrase, ...]:
    """Return names on the lines above with nothing below them: cells that are several lines high."""
    taken = list(lines[position].phrases)
    found: list[Phrase] = []
    for line in reversed(_above(lines, position, page)):
        for phrase in line.phrases:
            label = label_of(phrase.text)
            alone = all(phrase.x1 <= other.x0 or phrase.x0 >= other.x1 for other in taken)
            alone = alone and not (page.medium != "grid" and stands_between(phrase, taken, page.space))
            if alone and (label.analyte or label.field):
                found.append(phrase)
        taken += line.phrases
    return tuple(found)


def _with_low_cells(names: Sequence[Phrase], below: Sequence[Line]) -> list[Phrase]:
    """Add the fields on the lines below the names, in place of what names only the lines: 'Test', 'Unit'."""
    found = list(names)
    for phrase in (phrase for line in below for phrase in line.phrases):
        over = [name for name in found if name.x0 < phrase.x1 and phrase.x0 < name.x1]
        if label_of(phrase.text).field and all(role_of(name.text) in NAMES_ROWS for name in over):
            found = [*(name for name in found if name not in over), phrase]
        elif not over and (name := _merged_over(names, phrase)):
            found.append(Phrase(phrase.words, f"{name.text} {phrase.text}", phrase.x0, phrase.x1))
    return sorted(found, key=lambda name: name.x0)


def _merged_over(names: Sequence[Phrase], phrase: Phrase) -> Phrase | None:
    """Return the name whose merged cell reaches over a method: 'pH' over 'water' and 'KCl'."""
    left = max((name for name in names if name.x1 <= phrase.x0), key=lambda name: name.x0, default=None)
    analyte = label_of(left.text).analyte if left else None
    return left if analyte is not None and match_method(phrase.text, analyte.analyte) else None


def _names(line: Line) -> int:
    """Count the analytes that a line without numbers names."""
    parts = [part for phrase in line.phrases for part in split_headings(phrase)]
    if any(is_number(part.text) for part in parts) or all(is_rating(part.text) for part in parts):
        return 0
    return sum(label_of(part.text).analyte is not None for part in parts)


def _may_be_names(names: Sequence[Phrase], base: Line) -> bool:
    labels = [label_of(name.text) for name in names]
    if any(is_number(name.text) or is_date(name.text) for name in names) or is_pair_line(base):
        return False
    if any(_ends_sentence(phrase.text) for phrase in base.phrases) or all(is_rating(n.text) for n in names):
        return False
    letters = [name for name in names[1:] if is_rating(name.text) or len(name.text) == 1]
    if labels[0].rates and len(letters) == len(names) - 1:
        return False  # 'P rating  L  H  H  VH'
    results = sum(label.analyte is not None for label in labels)
    return results >= 2 or (results == 1 and any(label.field for label in labels))


def _is_table(columns: Sequence[Heading], rows: Sequence[Line]) -> bool:
    """Whether some row has a number under a name."""
    zones = [column.zone for column in columns if column.label.analyte]
    return any(
        _is_filled(word.text) and any(zone.holds(word.middle) for zone in zones)
        for line in rows[:NEAR]
        for word in line.words
    )


def _names_stand_below(columns: Sequence[Heading], rows: Sequence[Line]) -> bool:
    """Whether the rows begin with names of results, so that 'P1' and 'K2' over them are samples."""
    across = {c.assay.analyte for c in columns if c.assay and c.label.analyte and not c.label.analyte.weak}
    firsts = [label_of(line.phrases[0].text) for line in rows]
    down = {one.analyte.analyte for one in firsts if one.names_result and one.analyte}
    return len(down) >= 2 and len(down) > len(across)


def _is_filled(text: str) -> bool:
    """Whether a word or cell holds a result, with or without its unit: ``6.5``, ``45 ppm``, ``<5 mg/kg``."""
    return is_number(text) or (any(c.isdecimal() for c in text) and not is_date(text) and is_result(text))


def _below(lines: Sequence[Line], position: int) -> list[Line]:
    """Return the lines under the names that hold units, methods or second halves of names, and no numbers."""
    found: list[Line] = []
    for line in lines[position + 1 : position + 1 + STACKED]:
        if any(_is_value(phrase.text) for phrase in line.phrases) or is_pair_line(line):
            break
        if _names(line) >= 2 and not _all_notes(line):
            break
        if len(line.phrases) < 2 and not _is_note(line.text):
            break
        found.append(line)
    return found


def _all_notes(line: Line) -> bool:
    """Whether a line holds methods and units, though some name an analyte too ('LOI', 'Bray P1').

    One cell in four may be a method that the program does not know.
    """
    notes = sum(_is_note(phrase.text) for phrase in line.phrases)
    return 4 * notes >= 3 * len(line.phrases)


def _is_value(text: str) -> bool:
    if is_number(text) or _is_note(text) or is_denominator(text):
        return is_number(text)
    return any(is_number(word) for word in text.split() if not match_unit(word))


def _is_note(text: str) -> bool:
    """Whether a cell under a name is a unit, a method or a role, whatever digits it holds."""
    return bool(match_unit(text) or match_method(text) or role_of(text) or _STANDARD.search(text))


def _above(lines: Sequence[Line], position: int, page: Page) -> list[Line]:
    """Return the lines over the names that may be groups or first halves of names, the highest first."""
    found: list[Line] = []
    for line in reversed(lines[max(0, position - STACKED) : position]):
        if not may_be_above(line, found[-1] if found else lines[position], page):
            break
        found.append(line)
    return found[::-1]


def may_be_above(line: Line, lower: Line, page: Page) -> bool:
    """Whether a line may hold groups or first halves of the names on the line below it."""
    height = (AIR if page.medium == "drawn" else 1) * (line.bottom - line.top)
    return not (
        lower.top - line.bottom > height
        or (is_pair_line(line) and not (_may_be_stacked(line) or lower.top < line.bottom))
        or any(_is_no_heading(phrase.text) for phrase in line.phrases)
    )


def _is_no_heading(text: str) -> bool:
    """Whether a text is a number, a sentence or a date."""
    return is_number(text) or _is_sentence(text) or _tells_date(text)


def _may_be_stacked(line: Line) -> bool:
    """Whether a field beside a word can be the halves of two headings: 'no.', 'identification'."""
    own = [p.text for p in line.phrases if not (is_denominator(p.text) or match_method(p.text))]
    said = " ".join(own)
    return len(line.phrases) > 2 and not any(c.isdecimal() or c == ":" for c in said)


def _tells_date(text: str) -> bool:
    """Whether a phrase tells a date of the whole report: ``Date Reported 05/02/2023``."""
    date = find_date(text)
    if date is None or is_date(text):
        return False
    return bool(field_of(text.casefold().partition(date.text)[0]))


def begins_names_down(line: Line) -> bool:
    """Whether a line begins with the sure name of a result: another table follows, with names down."""
    match = label_of(line.phrases[0].text).analyte
    return bool(match and match.is_result and match.exact and not match.weak)


def is_prose(line: Line) -> bool:
    """Whether a phrase of the line runs on in words: a footnote, no row of results."""
    if sum(is_number(phrase.text) for phrase in line.phrases) > 1:
        return False  # a row with a long name
    words = max((phrase.text.split() for phrase in line.phrases), key=len)
    plain = sum(word.strip(".,;:()").isalpha() for word in words)
    return len(words) >= PROSE_WORDS and plain * 2 > len(words)


def is_remark(line: Line) -> bool:
    """Whether a line says something in words about the table it stands below, with a number in it or not."""
    return is_prose(line) or (len(line.phrases) == 1 and _ends_sentence(line.text))


def _ends_sentence(text: str) -> bool:
    words = text.split()
    return text.endswith(".") and len(words) >= SENTENCE_WORDS and len(words[-1]) > LONGEST_SHORT


def _is_sentence(text: str) -> bool:
    return _ends_sentence(text) or (len(text) > 25 and bool(re.search(r"[.:;] \S", text)))


def _rows(lines: Sequence[Line], body: int) -> list[Line]:
    """Return the lines below the headings that look like rows of this table."""
    rows: list[Line] = []
    idle = 0
    for position in range(body, min(len(lines), body + SAMPLED_ROWS)):
        line = lines[position]
        if (
            starts_here(lines, position)
            or idle > NEAR
            or is_prose(line)
            or (rows and begins_names_down(line) and not begins_names_down(rows[0]))
        ):
            break
        if any(_is_filled(word.text) for word in line.words):
            if not (is_remark(line) or role_of(line.phrases[0].text) or is_statistic(line.phrases[0].text)):
                rows.append(line)
            idle = 0
        else:
            idle += 1
    most = max((_filled(line) for line in rows), default=0)
    return [line for line in rows if FULL * _filled(line) >= most]


def _filled(line: Line) -> int:
    return sum(_is_filled(word.text) for word in line.words)


def _with_corner(names: list[Phrase], rows: Sequence[Line], page: Page) -> list[Phrase]:
    """Add the empty corner over the samples' names where the headings begin right of the rows."""
    left = min(line.phrases[0].x0 for line in rows)
    first = names[0]
    gap = 0 if page.medium == "grid" else 2 * page.space
    if left + gap >= first.x0 or field_of(first.text):
        return names
    ends = [line.phrases[0].x1 for line in rows if line.phrases[0].x1 <= first.x0]
    if not ends:
        return names
    return [Phrase((), "", left, max(ends)), *names]


def _zones(names: Sequence[Phrase], rows: Sequence[Line], page: Page) -> list[Zone]:
    if page.medium == "grid":
        return grid_zones(names)
    results = {index for index, name in enumerate(names) if label_of(name.text).analyte}
    return zones_below(names, rows, page.space, results, page.rules)


def _stacked(below: Sequence[Line], zone: Zone, name: Phrase) -> list[str]:
    """Return what stands under a name on each line; a unit under several names belongs to each."""
    texts = []
    for line in below:
        wide = [p for p in line.phrases if zone.overlap(p) > 0 and match_unit(p.text) and len(p.words) > 1]
        over = next((p for p in wide if min(p.x1, name.x1) > max(p.x0, name.x0)), None)
        texts.append(over.text if over else " ".join(w.text for w in line.words if zone.holds(w.middle)))
    return _whole_units([text for text in texts if text])


def _whole_units(texts: Sequence[str]) -> list[str]:
    """Put a unit together that stands on two lines: 'mg/' over '100 g'."""
    found: list[str] = []
    for text in texts:
        if found and found[-1].endswith("/") and is_denominator(text):
            found[-1] += text
        else:
            found.append(text)
    return found


def _texts(above: Sequence[Line], name: Phrase, names: Sequence[Phrase], page: Page) -> list[Over]:
    found: list[Over] = []
    for line in above:
        for index, phrase in enumerate(line.phrases):
            reach = reach_of(line, index, page, names)
            itself = phrase.text == name.text and phrase.x0 == name.x0
            if reach.overlap(name) > 0 and not itself:
                spans = sum(reach.x0 <= other.middle < reach.x1 for other in names)
                found.append(Over(phrase.text, spans > 1))
    return found

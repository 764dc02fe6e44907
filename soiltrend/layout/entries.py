"""Names followed by values on one line: ``pH: 6.5``, ``Phosphorus (P) .... 45 ppm``, ``K | 210 | High``."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from soiltrend.layout.labels import Label, label_of
from soiltrend.layout.lines import Line, Phrase, phrase_of
from soiltrend.layout.words import field_of
from soiltrend.layout.zones import is_number
from soiltrend.values import parse_result
from soiltrend.vocabulary import match_method, match_unit, match_unit_cell

_SEPARATORS = (":", "=")
LONGEST_NAME = 7
MOST_NOTES = 4  # units and methods between a name and its result, and the result
# Symbols of elements that are class letters too; elsewhere a letter after a number is an element.
CLASS_LETTERS = frozenset("HBCSN")


@dataclass(frozen=True, slots=True)
class Entry:
    """A name, what stands right of it up to the next name, and what stands left of it."""

    line: Line
    label: Label
    x0: float
    x1: float
    items: tuple[Phrase, ...]
    left: tuple[Phrase, ...] = ()

    @property
    def inline(self) -> bool:
        """Whether name and value stand in one phrase, as pairs outside the columns of a table do."""
        if not self.items:
            return False
        return any(p.x0 <= self.x0 and self.items[0].x0 < p.x1 for p in self.line.phrases)


def entries_of(line: Line) -> list[Entry]:
    """Return the line's names of results and fields, each with the phrases that follow it."""
    parts = [part for phrase in line.phrases for part in _parted(phrase) if part.text not in _SEPARATORS]
    parts = _whole_names(parts)
    starts = _starts(parts)
    entries = []
    for start, end in pairwise([*starts, len(parts)]):
        name = parts[start]
        left = tuple(parts[: starts[0]]) if start == starts[0] else ()
        label = label_of(bare(name.text))
        entries.append(Entry(line, label, name.x0, name.x1, tuple(parts[start + 1 : end]), left))
    return entries


def _whole_names(parts: Sequence[Phrase]) -> list[Phrase]:
    """Put the first two words of a line together that name a result only so: 'Organic', 'matter'."""
    alone = not any(label_of(bare(part.text)).known for part in parts[:2])
    if len(parts) < 3 or not is_result(parts[2].text) or not alone:
        return list(parts)
    first, second = parts[:2]
    text = f"{first.text} {second.text}"
    whole = Phrase((*first.words, *second.words), text, first.x0, second.x1)
    return [whole, *parts[2:]] if label_of(bare(text)).names_result else list(parts)


def _starts(parts: Sequence[Phrase]) -> list[int]:
    """Return which parts are names. A class letter after a result is one only in a row of bare pairs."""
    loose = [i for i in range(len(parts)) if _is_name(parts, i)]
    loose = [i for i in loose if not (_is_method(parts[i].text) and _waits(parts, i, loose))]
    return [i for i in loose if not _in_rating_place(parts, i) or _continues_pairs(parts, i, loose)]


def _continues_pairs(parts: Sequence[Phrase], index: int, names: Sequence[int]) -> bool:
    """Whether bare pairs go before, and the letter is there once: 'Ca 68 % Mg 10 % K 3 % H 19 %'."""
    letter = bare(parts[index].text)
    once = sum(bare(parts[other].text) == letter for other in names) == 1
    return once and index - 2 in names and index - 4 in names


def _waits(parts: Sequence[Phrase], index: int, names: Sequence[int]) -> bool:
    """Whether the name before this one has had no result yet."""
    before = [other for other in names if other < index]
    return bool(before) and not any(is_result(part.text) for part in parts[before[-1] + 1 : index])


def _is_method(text: str) -> bool:
    """Whether a name is that of a method ('Olsen'), which stands beside its result's name."""
    match = label_of(bare(text)).analyte
    if match is None or not match.method or not match_method(bare(text)):
        return False
    rest = (
        bare(text).replace(match.method_printed, "").strip(" ,/()-")
    )  # 'Phosphorus, Olsen' names its result
    return label_of(rest).analyte is None


def bare(text: str) -> str:
    """Return a name without the colon, equals sign or dots that lead on to its value."""
    return text.rstrip(" :=.").strip()


@lru_cache(maxsize=20000)
def is_result(text: str) -> bool:
    """Whether ``text`` reads as one result: a number, a limit, 'not detected'; with either decimal mark."""
    return any(parse_result(text, mark).status in ("measured", "not-detected") for mark in ".,")


@lru_cache(maxsize=20000)
def words_of_name(text: str) -> int:
    """Return how many words of ``text`` make a name that its value follows; 0 where there is no such name."""
    label = label_of(bare(text))
    if (label.analyte and not label.year) or is_number(text):
        return 0  # 'Calcium 2021' beside a name is a result, over a column a year
    words = text.split()
    for cut in range(1, min(len(words), LONGEST_NAME + 1)):
        name = " ".join(words[:cut])
        if name.endswith(_SEPARATORS) and _known(bare(name)):
            return cut
    for cut in range(min(len(words) - 1, LONGEST_NAME), 0, -1):
        if label_of(bare(" ".join(words[:cut]))).names_result and is_result(words[cut]):
            return cut
    return 0


def forget() -> None:
    """Forget which names were found, because a declared layout now lets other words be names."""
    words_of_name.cache_clear()


def _known(text: str) -> bool:
    return bool(label_of(text).analyte or field_of(text))


def _parted(phrase: Phrase) -> list[Phrase]:
    """Part a phrase or cell that holds a name and its value, or several of them."""
    tokens = phrase.text.split()
    cut = words_of_name(phrase.text) if len(tokens) > 1 else 0
    if not cut:
        return _parted_at_colon(phrase)
    if len(phrase.words) == len(tokens):
        return [phrase_of(phrase.words[:cut]), *_parted(phrase_of(phrase.words[cut:]))]
    first, second = _halves(phrase, " ".join(tokens[:cut]), " ".join(tokens[cut:]))
    return [first, *_parted(second)]


def _parted_at_colon(phrase: Phrase) -> list[Phrase]:
    """Part ``pH:6.5``; leave ``C:N`` and ``pH 1:1`` whole."""
    if label_of(bare(phrase.text)).analyte:
        return [phrase]
    for mark in _SEPARATORS:
        name, found, value = phrase.text.partition(mark)
        if found and value.strip() and _known(bare(name)):
            return list(_halves(phrase, name.strip() + mark, value.strip()))
    return [phrase]


def _halves(phrase: Phrase, name: str, value: str) -> tuple[Phrase, Phrase]:
    """Part one box in two: the name keeps a sliver at its left edge, the value the rest."""
    edge = phrase.x0 + 0.01
    return Phrase(phrase.words, name, phrase.x0, edge), Phrase(phrase.words, value, edge, phrase.x1)


def _is_name(parts: Sequence[Phrase], index: int) -> bool:
    """Whether the part names something that the parts right of it can give."""
    following = parts[index + 1] if index + 1 < len(parts) else None
    label = label_of(bare(parts[index].text))
    if label.field:
        marked = parts[index].text.rstrip().endswith(_SEPARATORS)
        return following is not None and (marked or index == 0 or label.field not in ("other", "depth_to"))
    if label.analyte is None or following is None:
        return False
    text = parts[index].text
    if index and match_unit_cell(text) and ("/" in text or not match_unit(text)):
        return False  # 'mg P/kg' and 'as P2O5, lbs/acre' say what the result counts
    if label.analyte.weak:
        return is_number(following.text.split()[0]) or _note_and_result(
            parts[index + 1 :], label.analyte.analyte
        )
    return True


def _note_and_result(parts: Sequence[Phrase], analyte: str) -> bool:
    """Whether a unit or method and then a result follow: they support a name that is also a common word."""
    for part in parts[:MOST_NOTES]:
        if is_result(part.text):
            return part is not parts[0]
        match = label_of(part.text).analyte
        shares = match is not None and match.kind == "saturation"  # 'Hydrogen | Base saturation | %'
        own = match is None or (match.analyte == analyte and match.method)  # 'P | Bray 2 | mg/kg | 29'
        if not (match_unit_cell(part.text) or shares or (own and match_method(part.text))):
            return False
    return False


def _in_rating_place(parts: Sequence[Phrase], index: int) -> bool:
    """Whether a letter that is also a class (High, B, C, Sufficient, Normal) follows a result at once."""
    text = bare(parts[index].text)
    if not index or text not in CLASS_LETTERS:
        return False
    before = parts[index - 1].text
    behind_unit = index > 1 and bool(match_unit_cell(before)) and is_result(parts[index - 2].text)
    return behind_unit or is_result(before)

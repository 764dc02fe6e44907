"""What a result's sample is called: of its own row or column, told around it, or what heads it."""

import re
from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations

from soiltrend.layout.context import SAMPLE_FIELDS, Context
from soiltrend.layout.depths import is_layer
from soiltrend.layout.finds import Find
from soiltrend.layout.words import field_of

_WORD = re.compile(r"[^\W\d_]{3}")
_LONG_WORD = re.compile(r"[^\W\d_]{4}")
_MEASURED = re.compile(r"\d+[.,]\d+\s*\w{0,3}")  # '2.4 ha' measures something and names nothing
_LETTERED_NUMBER = re.compile(r"[A-Z]{1,3}\d{4,}")  # 'TB70331'
_PARTED_NUMBER = re.compile(r"[A-Z\d]{1,8}(?:[-/.][A-Z\d]{1,8}){1,3}")
LAB_DIGITS = 4  # a sample number of so many digits is the laboratory's, where a field is named beside it
PART_DIGITS = 3  # the same for one with parts: 'T24-0611', '611/1'
BESIDE = 5  # lines between two names of one sample


class Names:
    """Knows which names of a report tell its samples apart."""

    def __init__(self, context: Context, finds: Sequence[Find], laboratory: str) -> None:
        self.context = context
        self._numbered = _named_numbers(finds)
        self._places = _places_that_tell(finds)
        self._counted = _samples_of_places(finds)
        self._sections = _naming_sections(finds) - {laboratory}

    def of(self, find: Find) -> str:
        """Return the sample's name of a result, ``""`` where the report gives none."""
        return self._own(find) or self._told_name(find) or self._heading(find)

    def _own(self, find: Find) -> str:
        sample = find.own.get("sample", "")
        for place in (find.own.get("field", ""), find.own.get("column_name", "")):
            counted = sample.isdigit() and self._counted.get(place) == {sample}
            tells = is_number_of_lab(sample) and place in self._places
            if (counted or tells) and _WORD.search(place):
                return place  # 'Proben-Nr. 20771, Schlag Hofwiese': the number is the laboratory's own
        for name in ("bed", "sample", "field", "column_name"):
            if find.own.get(name) and not _MEASURED.fullmatch(find.own[name]):
                return self._without_number(find.own[name])
        return self._numbered.get(find.own.get("lab_number", ""), "")

    def _without_number(self, text: str) -> str:
        """Leave out the laboratory's number behind a name, where another table has them in two columns."""
        name, _, number = text.rpartition(" ")
        return name if name and self._numbered.get(number) == name else text

    def _told_name(self, find: Find) -> str:
        names = [(name, self.context.above(name, *_place(find))) for name in ("bed", "sample", "field")]
        last = max((told.page for _, told in names if told), default=-1)
        names.sort(key=lambda one: one[1] is None or one[1].page < last)  # what this page tells goes before
        told = next((text for name, _ in names if (text := self._told(find, name))), "")
        if not is_number_of_lab(told):
            return told
        beside = self.context.beside(told, SAMPLE_FIELDS, find.spot.page, find.spot.line, BESIDE)
        return next((text for text in beside if _WORD.search(text)), told)

    def _heading(self, find: Find) -> str:
        for name in ("group", "section", "lab_number"):
            text = find.own.get(name, "")
            if text and (name != "section" or text in self._sections):
                return name_in_heading(text) if name == "section" else text
        return self._told(find, "lab_number") or self._told(find, "titled")

    def _told(self, find: Find, name: str) -> str:
        return self.context.nearest(name, *_place(find))


def _place(find: Find) -> tuple[int, int, float]:
    return find.spot.page, find.spot.line, find.spot.x0


def is_number_of_lab(sample: str) -> bool:
    """Whether a sample is called by a long number or a number with parts ('611/1', 'T24-0611')."""
    digits = sum(c.isdigit() for c in sample)
    parted = _PARTED_NUMBER.fullmatch(sample) and digits >= PART_DIGITS and not _LONG_WORD.search(sample)
    return bool(parted or _LETTERED_NUMBER.fullmatch(sample)) or (sample.isdigit() and digits >= LAB_DIGITS)


def name_in_heading(text: str) -> str:
    """Return the sample's name in a line over its results: 'Sample Transect A, layer 0-10 cm'."""
    text = re.sub(r"^\d{1,2}[.)]\s+(?=[^\W\d])", "", text)  # '2) Spud field'
    parts = re.split(r"\s*[,;|]\s*|\s+[(–-]\s*", text.rstrip(" )"))
    kept = [part for part in parts if not is_layer(part)]
    name = text if len(kept) == len(parts) or not kept else text[: text.index(kept[-1]) + len(kept[-1])]
    first, _, rest = name.partition(" ")
    return rest if field_of(first) == "sample" and rest and not rest[:1].isdigit() else name


def _samples_of_places(finds: Sequence[Find]) -> dict[str, set[str]]:
    """Return the samples of each place: where each has its own, the place names the sample."""
    places: dict[str, set[str]] = defaultdict(set)
    for find in finds:
        for key in ("field", "column_name"):
            if find.own.get(key) and find.own.get("sample"):
                places[find.own[key]].add(find.own["sample"])
    return places


def _places_that_tell(finds: Sequence[Find]) -> set[str]:
    """Return the places that never stand for two samples of one layer, day and test."""
    samples: dict[tuple[str, ...], set[str]] = defaultdict(set)
    places: set[str] = set()
    for find in finds:
        assay = find.assay
        own = tuple(
            find.own.get(key, "") for key in ("depth", "depth_from", "depth_to", "date_sampled", "date")
        )
        for place in filter(None, (find.own.get("field", ""), find.own.get("column_name", ""))):
            places.add(place)
            test = (assay.analyte, assay.form, assay.method, assay.unit)
            samples[(place, *test, *own)].add(find.own.get("sample", ""))
    return places - {place for (place, *_), named in samples.items() if len(named) > 1}


def _named_numbers(finds: Sequence[Find]) -> dict[str, str]:
    """Return the sample's name by the laboratory's number, for tables that go on with the number alone."""
    names: dict[str, set[str]] = {}
    for find in finds:
        name = next((find.own[key] for key in ("bed", "sample", "field") if find.own.get(key)), "")
        if name and find.own.get("lab_number"):
            names.setdefault(find.own["lab_number"], set()).add(name)
    return {number: own.pop() for number, own in names.items() if len(own) == 1}


def _naming_sections(finds: Sequence[Find]) -> set[str]:
    """Return the lines over results that name samples: those that stand over the same results again."""
    under: dict[str, set[str]] = {}
    for find in finds:
        if find.own.get("section"):
            under.setdefault(find.own["section"], set()).add(find.assay.analyte)
    again = any(under[one] & under[other] for one, other in combinations(under, 2))
    return set(under) if again else {name for name in under if field_of(name.split()[0]) in SAMPLE_FIELDS}

"""The same report twice counts once: its rows stay in the table with a pointer to the first.

The same bytes are the same report. So are equal results for one sample of one day (or one report number) in
another file or further down the same file, as long as no result that both hold differs.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from soiltrend.observations.table import DUPLICATE, Observation
from soiltrend.records import names

# Two conversions of one printed number differ by less than this.
SAME = 1e-6


@dataclass(slots=True)
class _Group:
    """All results of one sample in one file on one date; ``rows`` are indices into the table."""

    source: str
    rows: list[int] = field(default_factory=list)


def mark_duplicates(
    observations: Sequence[Observation], hashes: Mapping[str, str]
) -> tuple[list[Observation], list[str]]:
    """Mark repeated rows with ``duplicate-of:<source>`` and say which files repeat which.

    ``hashes`` gives the SHA-256 of each source; the first file in order is the original.
    """
    originals: dict[int, str] = {}
    messages: list[str] = []
    copies = _same_bytes(hashes, messages)
    for index, row in enumerate(observations):
        if row.source in copies:
            originals[index] = copies[row.source]
    groups = [group for group in _groups(observations) if group.source not in copies]
    _mark_within(observations, groups, originals)
    _mark_across(observations, groups, originals, messages)
    marked = [
        replace(row, notes=(*row.notes, DUPLICATE + originals[index].replace(";", ",")))
        if index in originals
        else row
        for index, row in enumerate(observations)
    ]
    return marked, messages


def _same_bytes(hashes: Mapping[str, str], messages: list[str]) -> dict[str, str]:
    first: dict[str, str] = {}
    copies: dict[str, str] = {}
    for source, digest in hashes.items():
        if first.setdefault(digest, source) != source:
            copies[source] = first[digest]
            messages.append(f"{source} is the same file as {first[digest]}: it counts once.")
    return copies


def _groups(observations: Sequence[Observation]) -> Iterable[_Group]:
    groups: dict[tuple[object, ...], _Group] = {}
    for index, row in enumerate(observations):
        place = (row.source, names.key(row.sample) or row.sample, row.sampled_on, names.key(row.report))
        groups.setdefault(place, _Group(row.source)).rows.append(index)
    return groups.values()


def _test(row: Observation) -> tuple[object, ...]:
    return row.analyte, row.unit, row.depth_from_cm, row.depth_to_cm


def _mark_within(rows: Sequence[Observation], groups: Iterable[_Group], originals: dict[int, str]) -> None:
    """Mark results that one file prints twice, as a summary page does."""
    for group in groups:
        seen: defaultdict[tuple[object, ...], list[int]] = defaultdict(list)
        for index in group.rows:
            before = seen[(*_test(rows[index]), rows[index].method)]
            if any(_equal(rows[index], rows[other]) for other in before):
                originals[index] = group.source
            else:
                before.append(index)


def _mark_across(
    rows: Sequence[Observation], groups: Iterable[_Group], originals: dict[int, str], messages: list[str]
) -> None:
    earlier: defaultdict[tuple[object, ...], list[_Group]] = defaultdict(list)
    said: set[tuple[str, str, bool]] = set()
    for group in groups:
        for other in _candidates(rows, group, earlier):
            equal, different = _compared(rows, group, other)
            if equal and not different:
                originals.update({index: other.source for index in equal if index not in originals})
            if (equal or different) and (group.source, other.source, not different) not in said:
                said.add((group.source, other.source, not different))
                messages += _said(rows[group.rows[0]], group, other, len(equal), len(different))
        for key in _keys(rows[group.rows[0]]):
            earlier[key].append(group)


def _keys(row: Observation) -> Iterable[tuple[object, ...]]:
    sample = names.key(row.sample) or row.sample
    if row.sampled_on is not None:
        yield "date", sample, row.sampled_on
    if row.report:
        yield "report", sample, names.key(row.lab), names.key(row.report)


def _candidates(
    rows: Sequence[Observation], group: _Group, earlier: Mapping[tuple[object, ...], list[_Group]]
) -> list[_Group]:
    row = rows[group.rows[0]]
    found: list[_Group] = []
    for key in _keys(row):
        for other in earlier.get(key, ()):
            known = other in found or other.source == group.source
            first = rows[other.rows[0]]
            if not known and _may_be_same_lab(row.lab, first.lab) and _may_be_same_day(row, first):
                found.append(other)
    return found


def _may_be_same_lab(left: str, right: str) -> bool:
    return not left or not right or names.key(left) == names.key(right)


def _may_be_same_day(left: Observation, right: Observation) -> bool:
    """Two sampling days that are both printed part two reports, whatever their number is."""
    printed = left.date_basis == right.date_basis == "sampled"
    return not printed or left.sampled_on == right.sampled_on


def _compared(rows: Sequence[Observation], group: _Group, other: _Group) -> tuple[list[int], list[int]]:
    """Return the rows of ``group`` that ``other`` holds too: those that are equal and those that differ."""
    known: defaultdict[tuple[object, ...], list[Observation]] = defaultdict(list)
    for index in other.rows:
        known[_test(rows[index])].append(rows[index])
    equal: list[int] = []
    different: list[int] = []
    for index in group.rows:
        row = rows[index]
        same_test = [old for old in known[_test(row)] if _may_be_same_method(row.method, old.method)]
        if same_test:
            (equal if any(_equal(row, old) for old in same_test) else different).append(index)
    return equal, different


def _may_be_same_method(left: str, right: str) -> bool:
    return not left or not right or left == right


def _equal(left: Observation, right: Observation) -> bool:
    if left.qualifier != right.qualifier:
        return False
    if left.value is None or right.value is None:
        return left.value is right.value
    return math.isclose(left.value, right.value, rel_tol=SAME, abs_tol=SAME)


def _said(row: Observation, group: _Group, other: _Group, equal: int, different: int) -> list[str]:
    if not different:
        return [f"{group.source} repeats results of {other.source}: they count once."]
    if equal < different:
        return []  # two samplings of one bed on one day, not one report twice
    return [
        f"{group.source} and {other.source} both report sample {row.sample!r} of {row.sampled_on}: "
        f"{equal} results agree and {different} differ. Both count; take one file out of reports/ if the "
        "other replaces it."
    ]

"""Which reports of a bed may be compared: parallel methods apart, one level per laboratory, method, layer.

A segment is everything one laboratory found by one method in one layer. Reports of a laboratory that is
used again later belong to the segment they had before. A method or layer that a report does not name is no
proof of a change: it counts as the only one that the same laboratory names for this bed and analyte, where
there is just one. A laboratory that is not named is a laboratory of its own.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from soiltrend.trends.rows import Rows

Ints = NDArray[np.intp]
Key = tuple[int, int, int]  # laboratory, method, layer


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """Rows sorted into series and segments, both numbered over the whole table.

    ``group`` is the (bed, analyte, unit) of each series; ``key`` the (laboratory, method, layer) of each
    segment; ``filled`` says per series what was taken as the same although not named.
    """

    series: Ints
    segment: Ints
    group: list[int]
    key: list[Key]
    filled: list[tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _Split:
    """How one bed's reports of one analyte fall apart: per row the series and the filled-in key."""

    part: tuple[int, ...]
    keys: tuple[Key, ...]
    filled: tuple[str, ...]


def split_series(rows: Rows) -> Series:
    """Sort rows into series and segments; see the module's description for the rules."""
    order = np.lexsort((rows.index, rows.day, rows.group))
    starts = np.flatnonzero(np.r_[True, np.diff(rows.group[order]) > 0]) if order.size else np.zeros(0, int)
    series, segment = np.zeros(order.size, dtype=np.intp), np.zeros(order.size, dtype=np.intp)
    group: list[int] = []
    key: list[Key] = []
    filled: list[tuple[str, ...]] = []
    known: dict[tuple[bytes, ...], _Split] = {}
    for members in np.split(order, starts[1:]) if order.size else []:
        split = _split(rows, members, known)
        first_series, first_segment = len(group), len(key)
        codes = {pair: i for i, pair in enumerate(dict.fromkeys(zip(split.part, split.keys, strict=True)))}
        series[members] = first_series + np.array(split.part, dtype=np.intp)
        segment[members] = first_segment + np.array(
            [codes[pair] for pair in zip(split.part, split.keys, strict=True)], dtype=np.intp
        )
        key.extend(pair[1] for pair in codes)
        parts = max(split.part) + 1
        group.extend([int(rows.group[members[0]])] * parts)
        filled.extend([split.filled] * parts)
    return Series(series=series, segment=segment, group=group, key=key, filled=filled)


def _split(rows: Rows, members: Ints, known: dict[tuple[bytes, ...], _Split]) -> _Split:
    """Beds of one garden share their history of laboratories, so each history is worked out once."""
    lab, method, layer = rows.lab[members], rows.method[members], rows.layer[members]
    day = rows.day[members]
    signature = (lab.tobytes(), method.tobytes(), layer.tobytes(), day.tobytes())
    if signature not in known:
        known[signature] = _work_out(lab.tolist(), method.tolist(), layer.tolist(), day.tolist())
    return known[signature]


def _work_out(lab: list[int], method: list[int], layer: list[int], day: list[int]) -> _Split:
    methods, method_filled = _filled(lab, method)
    layers, layer_filled = _filled(lab, layer)
    variants = list(zip(methods, layers, strict=True))
    part_of = _parallel_parts(variants, day)
    said = tuple(name for name, was in (("method", method_filled), ("layer", layer_filled)) if was)
    return _Split(
        tuple(part_of[variant] for variant in variants), tuple(zip(lab, methods, layers, strict=True)), said
    )


def _filled(lab: list[int], code: list[int]) -> tuple[list[int], bool]:
    """Fill in what a report does not name where its laboratory names just one."""
    named: dict[int, set[int]] = {}
    for place, value in zip(lab, code, strict=True):
        if value >= 0:
            named.setdefault(place, set()).add(value)
    out = [
        min(named[place]) if value < 0 and len(named.get(place, ())) == 1 else value
        for place, value in zip(lab, code, strict=True)
    ]
    return out, out != code


def _parallel_parts(variants: list[tuple[int, int]], day: list[int]) -> dict[tuple[int, int], int]:
    """Give each variant a series: those that run side by side in the same reports never share one."""
    days: dict[tuple[int, int], set[int]] = {}
    for variant, when in zip(variants, day, strict=True):
        days.setdefault(variant, set()).add(when)
    parts: list[list[tuple[int, int]]] = []
    for variant in sorted(days, key=lambda v: (min(days[v]), v)):
        home = next((p for p in parts if not any(_parallel(days[variant], days[o]) for o in p)), None)
        if home is None:
            parts.append([variant])
        else:
            home.append(variant)
    return {variant: number for number, members in enumerate(parts) for variant in members}


def _parallel(a: set[int], b: set[int]) -> bool:
    """Whether two methods run side by side, rather than one year of overlap at a change."""
    shared, fewer = len(a & b), min(len(a), len(b))
    return 2 * shared > fewer

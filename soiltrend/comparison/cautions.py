"""What a reader needs to know beside a difference: how the beds and the years were taken."""

from collections.abc import Iterator
from datetime import date

import numpy as np

from soiltrend.comparison.contrast import Contrast
from soiltrend.comparison.groups import Pair, applications, drawn_by_lot, first_application
from soiltrend.comparison.model import Comparison
from soiltrend.comparison.wording import listed
from soiltrend.records.models import Garden


def cautions(row: Comparison, found: Contrast, garden: Garden, pair: Pair) -> tuple[str, ...]:
    """Return the cautions of one comparison, the weightiest first."""
    return (
        *_alone(row),
        *_not_by_lot(garden, pair),
        *_amended_reference(row, garden),
        *_years_not_shared(found),
        *_laboratory_changed(found),
        *_cut(found),
        *_before_the_first_application(row, found, garden),
        *_limits(found),
        *_left_out(row, pair),
    )


def _alone(row: Comparison) -> Iterator[str]:
    single = [side[0] for side in (row.beds, row.reference_beds) if len(side) == 1]
    if single:
        yield (
            f"{listed(tuple(single))} {'stands' if len(single) == 1 else 'stand'} alone: whatever else "
            "happened to that bed counts as the treatment."
        )


def _not_by_lot(garden: Garden, pair: Pair) -> Iterator[str]:
    if not drawn_by_lot(garden, pair):
        yield (
            "The treatment was not drawn by lot (beds.csv, assigned): the beds may differ in other ways too, "
            "so a difference is not yet a cause."
        )


def _amended_reference(row: Comparison, garden: Garden) -> Iterator[str]:
    if row.reference != "unamended":
        return
    for name in row.reference_beds:
        put_on = applications(garden, name)
        if put_on:
            yield (
                f"{name} counts as unamended but got {put_on[0].material} on {put_on[0].date.isoformat()} "
                f"(amendments.csv line {put_on[0].line})."
            )


def _years_not_shared(found: Contrast) -> Iterator[str]:
    if not found.shared:
        yield (
            "The two groups share fewer than two visits (one laboratory, method, layer and season), so what "
            "the years did to one group alone is part of the difference; the interval allows for it."
        )


def _laboratory_changed(found: Contrast) -> Iterator[str]:
    labs = tuple(dict.fromkeys(lab for lab in found.used.lab if lab))
    if found.shared and len(labs) > 1:
        yield f"Laboratories changed ({listed(labs)}): taken as the same step in every bed of a visit."


def _cut(found: Contrast) -> Iterator[str]:
    cuts = len(np.unique(found.used.level)) - len(found.used.beds)
    if cuts:
        yield (
            f"Results of different methods, layers or units are not joined: {cuts} "
            f"{'cut' if cuts == 1 else 'cuts'} in the beds' lines."
        )


def _before_the_first_application(row: Comparison, found: Contrast, garden: Garden) -> Iterator[str]:
    first = first_application(garden, row.beds)
    if first is None:
        return
    early = _visits_before(found, first)
    if early >= 2:
        yield (
            f"{early} visits lie before the first application ({first.isoformat()}); the lines run through "
            "them too, which makes a change since then look smaller."
        )


def _visits_before(found: Contrast, day: date) -> int:
    early = np.array([when <= day for when in found.used.days], dtype=np.bool_)
    return len(np.unique(found.used.visit[early]))


def _limits(found: Contrast) -> Iterator[str]:
    beyond = int(np.count_nonzero(found.used.beyond))
    if beyond:
        yield (
            f"{beyond} of {len(found.used)} results lie beyond a laboratory's limit; the interval covers "
            "every value from the limit to a tenth of it (or ten times it, above an upper limit)."
        )


def _left_out(row: Comparison, pair: Pair) -> Iterator[str]:
    missing = tuple(
        name for name in pair.beds + pair.reference_beds if name not in row.beds + row.reference_beds
    )
    if missing:
        yield f"Without enough reports of shared visits, and left out: {listed(missing)}."

"""Which beds are compared with which, as beds.csv and amendments.csv say."""

import re
from dataclasses import dataclass
from datetime import date

from soiltrend.data import load_toml
from soiltrend.records.models import Amendment, Bed, Garden

UNAMENDED = "unamended"
AMENDED = "amended"


@dataclass(frozen=True, slots=True)
class Pair:
    """A group of beds and its reference; names are those of beds.csv."""

    group: str
    reference: str
    beds: tuple[str, ...]
    reference_beds: tuple[str, ...]


def pairs(garden: Garden) -> list[Pair]:
    """Return each treatment against the unamended beds, all treatments together, and each other.

    Treatments stand against each other only where no bed is unamended: the pair with the unamended beds
    is then there too, without a bed to compare with, so that its absence is said.
    """
    treatments = _treatments(garden)
    unamended = tuple(bed.bed for bed in garden.beds if not bed.amended)
    found = [Pair(name, UNAMENDED, beds, unamended) for name, beds in treatments.items()]
    if len(treatments) > 1 and unamended:
        found.append(Pair(AMENDED, UNAMENDED, sum(treatments.values(), ()), unamended))
    if not unamended:
        names = list(treatments)
        found += [
            Pair(one, other, treatments[one], treatments[other])
            for i, one in enumerate(names)
            for other in names[i + 1 :]
        ]
    return found


def _treatments(garden: Garden) -> dict[str, tuple[str, ...]]:
    """Return the beds of each treatment under its first spelling."""
    spelled: dict[str, str] = {}
    beds: dict[str, tuple[str, ...]] = {}
    for bed in garden.beds:
        if bed.amended:
            name = spelled.setdefault(bed.treatment.casefold(), bed.treatment)
            beds[name] = (*beds.get(name, ()), bed.bed)
    return beds


def by_name(garden: Garden) -> dict[str, Bed]:
    """Return the beds of beds.csv by their name."""
    return {bed.bed: bed for bed in garden.beds}


def drawn_by_lot(garden: Garden, pair: Pair) -> bool:
    """Whether beds.csv says of every bed of the pair that its treatment was drawn at random."""
    known = by_name(garden)
    return all(known[name].assigned == "random" for name in pair.beds + pair.reference_beds)


def chosen_low(bed: Bed, analyte: str) -> bool:
    """Whether the bed was chosen because it was poor in this analyte, in the grower's own words.

    Words that name analytes ("lowest pH") speak of those alone, others ("the poorest bed") of all.
    """
    words = re.findall(r"[\w₀-₉-]+", bed.chosen_because)
    low = set(load_toml("comparison")["chosen_low"]["words"])
    if not low & {word.casefold() for word in words}:
        return False
    named = _named(" ".join(words))
    return not named or analyte in named


def _named(text: str) -> set[str]:
    """Return the analytes that a text names: long names in any case, short ones (P, OM) as they are."""
    known = {a: n for a, n in load_toml("display")["analytes"].items() if isinstance(n, list)}
    return {
        analyte
        for analyte, (long, short) in known.items()
        if re.search(rf"\b{re.escape(long)}\b", text, re.IGNORECASE)
        or re.search(rf"\b{re.escape(short)}\b", text)
    }


def low_beds(garden: Garden, names: tuple[str, ...], analyte: str) -> tuple[str, ...]:
    """Return those of the beds that were chosen because they were poor in this analyte."""
    known = by_name(garden)
    return tuple(name for name in names if chosen_low(known[name], analyte))


def applications(garden: Garden, name: str) -> list[Amendment]:
    """Return what was put on this bed but not on every bed."""
    bed = by_name(garden)[name]
    own = {name.casefold(), bed.treatment.casefold()} - {""}
    return [row for row in garden.amendments if row.bed.casefold() in own]


def first_application(garden: Garden, names: tuple[str, ...]) -> date | None:
    """Return the day on which the first of these beds got something that not every bed got."""
    days = [row.date for name in names for row in applications(garden, name)]
    return min(days, default=None)


def blocks(garden: Garden) -> dict[str, str]:
    """Return the block of each bed that has one."""
    return {bed.bed: bed.block for bed in garden.beds if bed.block}

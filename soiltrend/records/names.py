"""Names as people and laboratories write them: the same bed, a near miss, or something else.

Names are the same when they differ only in case, accents, spaces and punctuation. Anything less is a near
miss: it is suggested and never merged.
"""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache
from itertools import pairwise

from soiltrend.records.models import Bed, Garden

ALL = "all"
CONTROL = "control"
# Judgement, no source: below this share of common letters a suggestion confuses more than it helps.
NEAR = 0.72


@dataclass(frozen=True, slots=True)
class BedMatch:
    """What a printed name is: ``bed`` where it matches, else the ``suggestion`` of a bed's name, if any."""

    bed: Bed | None
    suggestion: str | None = None


def measure_name(text: str) -> str:
    """Return a measure as the long table and noise overrides name it (``Root mass`` → ``root_mass``)."""
    return re.sub(r"[^\w]+", "_", text.strip().casefold()).strip("_")


@lru_cache(maxsize=8192)
def key(name: str) -> str:
    """Return what two spellings of one name have in common.

    Numbers stay apart (``Bed 1-1`` is not ``Bed 11``) and a plus stays (``Bed 3+`` is not ``Bed 3``).
    """
    folded = unicodedata.normalize("NFKD", name.casefold())
    bare = "".join(letter for letter in folded if not unicodedata.combining(letter))
    runs = re.findall(r"\d+|[^\W\d_]+|\+", bare)
    joined = "".join(
        f"{left}|" if left.isdecimal() and right.isdecimal() else left for left, right in pairwise(runs)
    )
    return joined + runs[-1] if runs else ""


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the name of ``known`` that ``name`` was most likely meant to be, or None.

    Names with other numbers in them are other things: ``Bed 7`` is never suggested for ``Bed 1``.
    """
    scored = [(_likeness(name, other), other) for other in known]
    best = max(scored, key=lambda pair: pair[0], default=(0.0, ""))
    return best[1] if best[0] >= NEAR else None


def _likeness(name: str, other: str) -> float:
    left, right = key(name), key(other)
    if not left or not right:
        return 0.0
    if left == right:
        return 1.0
    numbers, known = _numbers(left), _numbers(right)
    if numbers == known:
        contained = 0.8 if _contains(name, other) else 0.0
        return max(SequenceMatcher(None, left, right).ratio(), contained)
    return 0.75 if known == numbers[: len(known)] and _contains(name, other) else 0.0


def _numbers(text: str) -> list[int]:
    return [int(run) for run in re.findall(r"\d+", text)]


def _contains(name: str, other: str) -> bool:
    """Whether ``name`` holds all words of ``other`` (``Bed 3 spring`` holds ``Bed 3``)."""
    return set(_words(other)) <= set(_words(name))


def _words(name: str) -> list[str]:
    return [key(run) for run in re.findall(r"\d+|[^\W\d_]+", name.casefold())]


def advice(name: str, known: Iterable[str]) -> str:
    """Return a sentence with the nearest known name, or with all of them where none is near."""
    names = list(known)
    near = nearest(name, names)
    if near is not None:
        return f"Did you mean {near!r}?"
    shown = ", ".join(repr(item) for item in names[:12])
    more = f" and {len(names) - 12} more" if len(names) > 12 else ""
    return f"Known: {shown}{more}." if names else ""


def match_bed(printed: str, garden: Garden) -> BedMatch:
    """Match a sample's printed name with the beds' names and ``also_called``.

    A match differs in case, accents, spaces and punctuation only; a near miss is a suggestion.
    """
    wanted = key(printed)
    bed = by_name(garden.beds).get(wanted) if wanted else None
    if bed is not None:
        return BedMatch(bed)
    owners = {name: bed.bed for bed in garden.beds for name in (bed.bed, *bed.also_called)}
    near = nearest(printed, owners)
    return BedMatch(None, owners[near] if near is not None else None)


def by_name(beds: Iterable[Bed]) -> dict[str, Bed]:
    """Return every bed by the keys of its name and aliases; the first keeps a shared one."""
    index: dict[str, Bed] = {}
    for bed in beds:
        for name in (bed.bed, *bed.also_called):
            index.setdefault(key(name), bed)
    return index


def beds_named(name: str, beds: Iterable[Bed]) -> tuple[Bed, ...]:
    """Return the beds that a record's ``bed`` means: one bed, ``all`` of them, or those of a treatment.

    ``control`` means every unamended bed, those with an empty treatment included. Empty where nothing fits.
    """
    beds = tuple(beds)
    wanted = key(name)
    if not wanted:
        return ()
    if wanted in (index := by_name(beds)):
        return (index[wanted],)
    if wanted == ALL:
        return beds
    if wanted == CONTROL:
        return tuple(bed for bed in beds if not bed.amended)
    return tuple(bed for bed in beds if key(bed.treatment) == wanted)

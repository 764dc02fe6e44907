"""What one file of the records says about another: beds, treatments, reports. Names become the bed's own."""

from collections.abc import Iterable, Iterator
from itertools import chain

from soiltrend.errors import Problem
from soiltrend.records import names
from soiltrend.records.models import Amendment, Bed, ClaimRow, Correction, Material, Measurement, MixPart


def check_beds(beds: Iterable[Bed]) -> Iterator[Problem]:
    """Name beds that cannot be told apart, and names that mean something else in the records."""
    owner: dict[str, tuple[str, Bed]] = {}
    for bed in beds:
        for column, name in (("bed", bed.bed), *(("also_called", other) for other in bed.also_called)):
            found = names.key(name)
            if found in ("", names.ALL):
                yield Problem(
                    "beds.csv", bed.line, column, "a name with a letter or a number, not 'all'", repr(name)
                )
            elif found in owner and owner[found][1] is not bed:
                other = owner[found]
                yield Problem(
                    "beds.csv",
                    bed.line,
                    column,
                    "a name of its own for each bed",
                    f"{name!r}, which is {other[0]!r} of line {other[1].line}",
                    "Give one of them another name.",
                )
            owner.setdefault(found, (name, bed))
    yield from _treatments_named_as_beds(beds, owner)


def _treatments_named_as_beds(beds: Iterable[Bed], owner: dict[str, tuple[str, Bed]]) -> Iterator[Problem]:
    for bed in beds:
        found = names.key(bed.treatment)
        if bed.treatment and (found in owner or found in ("", names.ALL)):
            expected = "a treatment that is no bed's name and not 'all'"
            yield Problem("beds.csv", bed.line, "treatment", expected, repr(bed.treatment))


def resolve_amendments(
    amendments: Iterable[Amendment], beds: tuple[Bed, ...], problems: list[Problem]
) -> tuple[Amendment, ...]:
    """Return the amendments with each bed by its own name; name those that are on no bed."""
    resolved = []
    for amendment in amendments:
        name = _bed_or_group(amendment.bed, beds)
        if name is None:
            problems.append(
                _unknown("amendments.csv", amendment.line, "bed", amendment.bed, beds, groups=True)
            )
        else:
            resolved.append(amendment.model_copy(update={"bed": name}))
    return tuple(resolved)


def resolve_measurements(
    measurements: Iterable[Measurement], beds: tuple[Bed, ...], problems: list[Problem]
) -> tuple[Measurement, ...]:
    """Return the measurements with each bed by its own name; name those on no bed."""
    resolved = []
    index = names.by_name(beds)
    for measurement in measurements:
        owner = index.get(names.key(measurement.bed))
        if owner is None:
            problems.append(
                _unknown("measurements.csv", measurement.line, "bed", measurement.bed, beds, groups=False)
            )
        else:
            resolved.append(measurement.model_copy(update={"bed": owner.bed}))
    return tuple(resolved)


def resolve_claims(
    claims: Iterable[ClaimRow], beds: tuple[Bed, ...], problems: list[Problem]
) -> tuple[ClaimRow, ...]:
    """Return the claims with the names of all beds that they are about; name what is no bed or treatment."""
    resolved = []
    for claim in claims:
        if claim.since and claim.until and claim.until < claim.since:
            found = f"{claim.until} before {claim.since}"
            problems.append(Problem("claims.csv", claim.line, "until", "a date after since", found))
        meant = {name: names.beds_named(name, beds) for name in claim.beds}
        problems += [
            _unknown("claims.csv", claim.line, "beds", name, beds, groups=True)
            for name, found_beds in meant.items()
            if not found_beds
        ]
        own = dict.fromkeys(bed.bed for found_beds in meant.values() for bed in found_beds)
        resolved.append(claim.model_copy(update={"beds": tuple(own)}))
    return tuple(resolved)


def _bed_or_group(name: str, beds: tuple[Bed, ...]) -> str | None:
    """Return the bed's own name, ``all``, ``control`` or the treatment as ``beds.csv`` writes it."""
    if (owner := names.by_name(beds).get(names.key(name))) is not None:
        return owner.bed
    if names.key(name) == names.ALL:
        return names.ALL
    members = names.beds_named(name, beds)
    if not members:
        return None
    return names.CONTROL if names.key(name) == names.CONTROL else members[0].treatment


def _unknown(file: str, line: int, column: str, name: str, beds: Iterable[Bed], *, groups: bool) -> Problem:
    known = list(chain.from_iterable((bed.bed, *bed.also_called) for bed in beds))
    treatments = list(dict.fromkeys(bed.treatment for bed in beds if bed.treatment)) if groups else []
    expected = "a bed of beds.csv, 'all' or a treatment" if groups else "a bed of beds.csv"
    advice = names.advice(name, [*known, *treatments]) or "beds.csv names no bed yet: add it there."
    return Problem(file, line, column, expected, repr(name), advice)


def check_materials(materials: Iterable[Material], mixes: Iterable[MixPart]) -> Iterator[Problem]:
    """Name materials that are described twice, and mixes named as a material."""
    first: dict[str, int] = {}
    for material in materials:
        found = names.key(material.material)
        if found in first:
            repeated = f"{material.material!r} again (see line {first[found]})"
            yield Problem("materials.csv", material.line, "material", "each material once", repeated)
        first.setdefault(found, material.line)
    for part in mixes:
        if (line := first.get(names.key(part.mix))) is not None:
            taken = f"{part.mix!r}, a material in materials.csv line {line}"
            yield Problem("mixes.csv", part.line, "mix", "a name that is no material's", taken)


def resolve_corrections(
    corrections: Iterable[Correction], reports: Iterable[str], problems: list[Problem]
) -> tuple[Correction, ...]:
    """Return the corrections with ``source`` as the path of its report; name those of no report."""
    paths = list(reports)
    resolved = []
    for correction in corrections:
        asked = correction.source.replace("\\", "/").removeprefix("./")
        fitting = [path for path in paths if path == asked or path.endswith(f"/{asked}")]
        if len(fitting) == 1:
            resolved.append(correction.model_copy(update={"source": fitting[0]}))
            continue
        found = (
            repr(correction.source) if not fitting else f"{correction.source!r}, of which there are several"
        )
        known = names.advice(asked, [path.removeprefix("reports/") for path in paths])
        advice = f"Write its path, as {fitting[0]}." if fitting else known
        problems.append(
            Problem("corrections.csv", correction.line, "source", "one file of reports/", found, advice)
        )
    return tuple(resolved)

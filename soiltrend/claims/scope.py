"""What a statement is about in this garden: which beds, which rows of the long table, which years."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.claims.evidence import Evidence
from soiltrend.claims.statement import Statement
from soiltrend.data import load_toml
from soiltrend.observations import usable
from soiltrend.records import nearest
from soiltrend.trends.words import analyte_name

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason of a verdict. ``code`` is stable, ``text`` a sentence with its numbers."""

    code: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """The beds and the analyte that a statement is about. ``label`` names the beds inside a sentence."""

    beds: tuple[str, ...]
    analyte: str
    rows: pd.DataFrame
    label: str


def find_scope(statement: Statement, evidence: Evidence, beds: tuple[str, ...] = ()) -> Scope | Reason:
    """Return what the statement is about, or the reason why it cannot be tested on these records.

    ``beds`` (of claims.csv) come before what the sentence says.
    """
    if statement.measure is None:
        return Reason("no-measure", "The sentence does not say what changed, so there is nothing to check.")
    if not statement.measurable:
        return Reason("not-measurable", _what_to_measure(statement.measure))
    if statement.unknown_beds:
        return _unknown_bed(statement.unknown_beds, evidence)
    strange = [name for name in statement.treatments if not beds_of_group((name,), evidence)]
    if strange and not beds and not statement.beds:
        return _unknown_group(strange[0], evidence)
    chosen, label = _beds(statement, evidence, beds)
    table = usable(evidence.observations)
    analyte = _analyte(statement.measure, table)
    rows = table[(table["analyte"] == analyte) & table["bed"].isin(chosen)]
    if rows.empty:
        return _no_records(statement.measure, label)
    present = tuple(bed for bed in chosen if bed in set(rows["bed"]))
    return Scope(beds=present, analyte=analyte, rows=rows, label=label)


def _what_to_measure(measure: str) -> str:
    name = measure.replace("_", " ")
    return (
        f"No single number stands for {name}. Say which measurement moved (organic matter, pH, phosphorus, "
        "yield …) and that one can be checked."
    )


def _treatments(evidence: Evidence) -> list[str]:
    return list(dict.fromkeys(bed.treatment for bed in evidence.garden.beds if bed.treatment))


def _unknown_group(name: str, evidence: Evidence) -> Reason:
    words = {"amended": "a treatment", "control": "no treatment, or “control”,"}
    said = words.get(name, f"the treatment “{name}”")
    known = _treatments(evidence)
    near = nearest(name, known)
    listing = f"The treatments are {', '.join(known)}." if known else "No bed has one there yet."
    advice = f"Did you mean {near}?" if near else listing
    return Reason("unknown-group", f"No bed of this garden has {said} in beds.csv. {advice}")


def _unknown_bed(names: tuple[str, ...], evidence: Evidence) -> Reason:
    known = [bed.bed for bed in evidence.garden.beds]
    if names[0].endswith(("beds", "plots")):
        known += [f"{treatment} beds" for treatment in _treatments(evidence)]
    near = nearest(names[0], known)
    advice = f" Did you mean {near}?" if near else f" The beds are {', '.join(known) or 'not listed yet'}."
    return Reason("unknown-bed", f"No bed of this garden is called “{names[0]}”.{advice}")


def _beds(statement: Statement, evidence: Evidence, given: tuple[str, ...]) -> tuple[list[str], str]:
    known = evidence.garden.beds
    named = [bed for name in given for bed in _named(name, evidence)] or list(statement.beds)
    if named:
        groups = [name for name in given if name not in {bed.bed for bed in known}]
        return named, listed([f"the {name} beds" for name in groups] or named)
    if statement.treatments:
        group = list(beds_of_group(statement.treatments, evidence))
        words = {"amended": "the amended beds", "control": "the unamended beds"}
        return group, listed([words.get(t, f"the {t} beds") for t in statement.treatments])
    if statement.cause and (got := _beds_that_got(statement.cause, evidence)):
        return got, listed(got)
    every = list(dict.fromkeys([bed.bed for bed in known] or evidence.observations["bed"].tolist()))
    return every, "the whole garden" if len(every) > 1 else listed(every)


def _named(name: str, evidence: Evidence) -> list[str]:
    """Return the beds that a name of claims.csv stands for: a bed, or all beds of a treatment."""
    beds = evidence.garden.beds
    same = [bed.bed for bed in beds if bed.bed == name]
    return same or [bed.bed for bed in beds if bed.treatment.casefold() == name.casefold()] or [name]


def beds_of_group(wanted: tuple[str, ...], evidence: Evidence) -> tuple[str, ...]:
    """Return the beds of these groups: 'amended', 'control' or names of treatments."""
    return tuple(b.bed for b in evidence.garden.beds if _in_group(b.treatment, b.amended, wanted))


def _in_group(treatment: str, amended: bool, wanted: tuple[str, ...]) -> bool:
    if "amended" in wanted and amended:
        return True
    if "control" in wanted and not amended:
        return True
    return amended and any(name.casefold() in treatment.casefold() for name in wanted)


def _beds_that_got(cause: str, evidence: Evidence) -> list[str]:
    """Return the beds on which the credited material was put, or whose treatment has its name."""
    named = cause.casefold()
    garden = evidence.garden
    by_treatment = [bed.bed for bed in garden.beds if bed.amended and named in bed.treatment.casefold()]
    targets = {a.bed.casefold() for a in garden.amendments if named in a.material.casefold()}
    if "all" in targets:
        return [bed.bed for bed in garden.beds]
    by_log = [
        bed.bed
        for bed in garden.beds
        if bed.bed.casefold() in targets or (bed.treatment and bed.treatment.casefold() in targets)
    ]
    return list(dict.fromkeys([*by_treatment, *by_log]))


def _analyte(measure: str, table: pd.DataFrame) -> str:
    """Return the analyte of the table that the sentence's word stands for ('water' → 'water_given')."""
    present = list(dict.fromkeys(table["analyte"]))
    if measure in present:
        return measure
    words = load_toml("claim_measures")["own"].get(measure, [measure])
    return next((name for name in present if any(word in name.split("_") for word in words)), measure)


def _no_records(measure: str, label: str) -> Reason:
    advice = load_toml("claim_measures")["advice"]
    name = analyte_name(measure)
    return Reason(
        "no-records", f"The records hold no {name} for {label}. {advice.get(measure, advice['other'])}"
    )


def listed(names: list[str]) -> str:
    """Say names in a row: 'A, B and C'."""
    if len(names) < 3:
        return " and ".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def dates_of(rows: pd.DataFrame) -> list[date]:
    """Return the sampling dates among ``rows``, in order, each once."""
    return sorted({stamp.date() for stamp in rows["sampled_on"]})

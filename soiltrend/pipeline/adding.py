"""``add``: a new report beside what the garden knows already, then into ``reports/``, once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from soiltrend.errors import SoiltrendError
from soiltrend.files import leads_outside, one_writer, sha256, write_bytes
from soiltrend.intake import Failure
from soiltrend.observations import usable
from soiltrend.pipeline.reading import ReadFiles, observation_records, read_for
from soiltrend.pipeline.study import Study
from soiltrend.pipeline.views import add_view

if TYPE_CHECKING:
    import pandas as pd

ADD_COLUMNS = (
    "bed", "analyte", "printed", "value", "unit", "last_value", "last_on", "change", "doubt", "source",
)  # fmt: skip
# A note that holds one of these is a reason to look at the report again before it is filed.
DOUBTS = (
    "assumed", "low-confidence", "ambiguous", "failed", "impossible", "future", "duplicate", "unmatched",
)  # fmt: skip
# Two conversions of one printed number are equal to this many decimals.
DECIMALS = 6


@dataclass(frozen=True)
class Proposal:
    """What ``add`` shows before it files anything."""

    paths: tuple[Path, ...]
    records: list[dict[str, Any]]
    columns: Sequence[str]
    failures: tuple[Failure, ...]
    messages: tuple[str, ...]

    @property
    def view(self) -> list[dict[str, Any]]:
        """The values beside the last ones, as a person at a terminal sees them."""
        return add_view(self.records)


def propose(files: Sequence[Path], folder: Path, today: date) -> Proposal:
    """Read new reports and set each value beside the last one of the same bed.

    ``paths`` of the result are the files that can be filed; those that could not be read are ``failures``.

    Raises
    ------
    SoiltrendError
        A file is missing, its content or its name is in the garden already, or the records are wrong.
    """
    study = Study(folder, today)
    _refuse_missing(files)
    _refuse_known_bytes(files, study)
    _refuse_names(files, folder)
    result = read_for(files, study.garden, today)
    _refuse_known_results(result, study)
    known = usable(study.observations)
    return Proposal(
        paths=tuple(path for path, failed in zip(files, _failed(result, files), strict=True) if not failed),
        records=[_beside_last(row, known) for row in observation_records(result.observations)[0]],
        columns=ADD_COLUMNS,
        failures=result.failures,
        messages=result.messages,
    )


def file_report(path: Path, folder: Path) -> str:
    """Copy one report under ``reports/`` and return its new name relative to the folder.

    Raises
    ------
    SoiltrendError
        Another report has that name already; nothing is overwritten.
    """
    with one_writer(folder):
        _refuse_names([path], folder)
        target = folder / "reports" / path.name
        write_bytes(target, path.read_bytes())
    return target.relative_to(folder).as_posix()


def _refuse_missing(files: Sequence[Path]) -> None:
    missing = [str(path) for path in files if not path.is_file()]
    if missing:
        raise SoiltrendError(f"{', '.join(missing)}: expected a report file, found none. Nothing was filed.")


def _refuse_known_bytes(files: Sequence[Path], study: Study) -> None:
    """Refuse what is in the garden already under whatever name, and the same report given twice."""
    reports = [path for path in study.garden.reports if not leads_outside(path, study.folder)]
    known = {
        sha256(path.read_bytes()): f"in the garden already, as {path.relative_to(study.folder).as_posix()}"
        for path in reports
        if path.is_file()
    }
    for path in files:
        digest = sha256(path.read_bytes())
        if digest in known:
            raise SoiltrendError(f"{path}: this report is {known[digest]}. Nothing was filed.")
        known[digest] = f"given twice, also as {path}"


def _refuse_names(files: Sequence[Path], folder: Path) -> None:
    """Refuse a name that another report has, and one that no report may have."""
    taken = {entry.name.casefold() for entry in (folder / "reports").glob("*")}
    for path in files:
        name = path.name.casefold()
        if name.startswith((".", "~$")):
            why = "files of such names are never read"
        elif name in taken:
            why = f"another report has this name ({folder / 'reports' / path.name})"
        else:
            taken.add(name)
            continue
        raise SoiltrendError(f"{path}: {why}. Rename yours and add it again; nothing was filed.")


def _refuse_known_results(result: ReadFiles, study: Study) -> None:
    """Refuse a report whose every result is in the garden already, in whatever kind of file."""
    key = ["sample", "sampled_on", "analyte", "value", "unit", "method"]
    known = study.observations[[*key, "source"]].round({"value": DECIMALS}).drop_duplicates(key)
    for source, rows in result.observations.round({"value": DECIMALS}).groupby("source"):
        found = rows.merge(known, on=key, how="left", suffixes=("", "_known"))["source_known"]
        if found.notna().all():
            raise SoiltrendError(
                f"{source}: every result of it is in the garden already, in {found.iloc[0]}. "
                "Nothing was filed."
            )


def _failed(result: ReadFiles, files: Sequence[Path]) -> list[bool]:
    """Return for each file whether it gave nothing."""
    failed = {failure.source for failure in result.failures}
    return [result.source_of(path) in failed for path in files]


def _beside_last(row: dict[str, Any], table: pd.DataFrame) -> dict[str, Any]:
    last = _last_of(row, table)
    before = None if last is None else float(last["value"])
    bounded = bool(row["qualifier"]) or (last is not None and bool(last["qualifier"]))
    known = row["value"] is not None and before is not None and not bounded
    return {
        **{key: row[key] for key in ("bed", "analyte", "value", "unit", "method", "sampled_on")},
        **{key: row[key] for key in ("qualifier", "place", "source")},
        "printed": row["value_printed"],
        "last_value": before,
        "last_on": None if last is None else last["sampled_on"].date().isoformat(),
        "last_qualifier": None if last is None else last["qualifier"],
        "last_method": None if last is None else last["method"],
        "change": row["value"] - before if known else None,
        "doubt": "; ".join(_doubts(row, last)) or None,
    }


def _last_of(row: dict[str, Any], table: pd.DataFrame) -> pd.Series | None:
    """Return the last earlier result of the same bed, analyte and unit; one by the same method wins."""
    same = table[
        (table["bed"] == row["bed"]) & (table["analyte"] == row["analyte"]) & (table["unit"] == row["unit"])
    ]
    if row["sampled_on"]:
        same = same[same["sampled_on"] < row["sampled_on"]]
    by_method = same[same["method"] == row["method"]]
    chosen = (by_method if len(by_method) else same).sort_values("sampled_on", kind="stable")
    return chosen.iloc[-1] if len(chosen) else None


def _doubts(row: dict[str, Any], last: pd.Series | None) -> list[str]:
    doubts = [note for note in row["notes"].split(";") if any(word in note for word in DOUBTS)]
    if last is not None and last["method"] != row["method"]:
        doubts.append(f"the last is by another method ({last['method'] or 'not told'})")
    if last is not None and last["qualifier"]:
        doubts.append(f"the last is {last['qualifier']} the value shown")
    return doubts

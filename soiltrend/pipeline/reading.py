"""``read`` and ``add``: from report files to the long table, and a new report into the folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from soiltrend.errors import SoiltrendError
from soiltrend.files import one_writer, sha256, write_bytes
from soiltrend.intake import Failure, Intake, Progress, take_in
from soiltrend.observations import COLUMNS, long_table
from soiltrend.pipeline.study import Study
from soiltrend.records import load_garden

if TYPE_CHECKING:
    import pandas as pd

Records = tuple[list[dict[str, Any]], Sequence[str]]

EXPLAIN_COLUMNS = ("taken", "sample", "analyte", "text", "place", "reason", "source")
ADD_COLUMNS = ("bed", "analyte", "value", "unit", "last_value", "last_on", "change", "doubt", "source")
# Notes that a person should look at before a report is filed.
DOUBTS = ("assumed", "low-confidence", "ambiguous", "failed", "impossible", "future", "duplicate")


@dataclass(frozen=True)
class ReadFiles:
    """What a set of files says: the intake, the long table and what a person should know."""

    intake: Intake
    observations: pd.DataFrame
    messages: tuple[str, ...]

    @property
    def failures(self) -> tuple[Failure, ...]:
        """The files that gave no rows, and why."""
        return self.intake.failures


def read_files(
    files: Sequence[Path], folder: Path | None, today: date, progress: Progress | None = None
) -> ReadFiles:
    """Read report files, with the beds, depths and declared layouts of a garden where ``folder`` is one.

    Raises
    ------
    SoiltrendError
        A file is not there, or the garden's records are wrong.
    """
    missing = [str(path) for path in files if not path.is_file()]
    if missing:
        raise SoiltrendError(f"{', '.join(missing)}: no such file. Nothing was read.")
    garden = load_garden(folder) if folder else None
    layouts = garden.layouts if garden else ()
    intake = take_in(files, root=_common_root(files), layouts=layouts, progress=progress)
    # Corrections and own measurements belong to the garden's own reports, not to these files.
    known = garden.model_copy(update={"corrections": (), "measurements": ()}) if garden else None
    table, said = long_table(intake.reports, known, today)
    return ReadFiles(intake, table, (*intake.messages, *said))


def _common_root(files: Sequence[Path]) -> Path:
    """Return where places are told from: the working folder for what lies below it."""
    here = Path.cwd()
    return here if all(path.resolve().is_relative_to(here) for path in files) else Path()


def observation_records(table: pd.DataFrame) -> Records:
    """Return the rows of the long table for printing: dates in ISO form, None where there is nothing."""
    shown = table.assign(sampled_on=table["sampled_on"].dt.strftime("%Y-%m-%d")).astype(object)
    rows = shown.where(shown.notna(), None).to_dict("records")
    return [{str(key): value for key, value in row.items()} for row in rows], COLUMNS


def explanation_records(result: ReadFiles) -> Records:
    """Return a row for each value taken, with the reason, and for each number left alone, with why not."""
    rows: list[dict[str, Any]] = []
    for report in result.intake.reports:
        rows += [
            {
                "taken": True,
                "sample": r.sample,
                "analyte": r.analyte,
                "text": r.value_printed,
                "place": r.place,
                "reason": r.reason,
                "source": report.source,
            }
            for r in report.readings
        ]
        rows += [
            {
                "taken": False,
                "sample": None,
                "analyte": left.near,
                "text": left.text,
                "place": left.place,
                "reason": left.reason,
                "source": report.source,
            }
            for left in report.left_alone
        ]
    return rows, EXPLAIN_COLUMNS


def draw_explanation(result: ReadFiles, files: Sequence[Path], picture: Path) -> None:
    """Draw one PDF or scan, its pages below each other, with what was taken and what was left.

    Raises
    ------
    SoiltrendError
        More than one file was given, nothing was read from it, or it has no page to draw.
    """
    from soiltrend.layout.picture import draw

    if len(files) != 1 or len(result.intake.reports) != 1:
        raise SoiltrendError("--picture draws one report: give one PDF or picture of a report.")
    write_bytes(picture, draw(files[0], result.intake.reports[0]))


@dataclass(frozen=True)
class Proposal:
    """What ``add`` shows before it files anything."""

    paths: tuple[Path, ...]
    records: list[dict[str, Any]]
    columns: Sequence[str]
    failures: tuple[Failure, ...]
    messages: tuple[str, ...]


def propose(files: Sequence[Path], folder: Path, today: date) -> Proposal:
    """Read new reports and set each value beside the last one of the same bed, method and layer.

    Raises
    ------
    SoiltrendError
        A file is missing, or its content is in the garden already under another name.
    """
    study = Study(folder, today)
    for path in files:
        if path.is_file():
            _refuse_known(path, study)
    result = read_files(files, folder, today)
    said = result.messages + _known_content(result, study)
    rows = [_beside_last(row, study.observations) for row in observation_records(result.observations)[0]]
    failed = {failure.source for failure in result.failures}
    readable = tuple(path for path in files if not any(path.as_posix().endswith(f) for f in failed))
    return Proposal(readable, rows, ADD_COLUMNS, result.failures, said)


def _refuse_known(path: Path, study: Study) -> None:
    digest = sha256(path.read_bytes())
    for known in study.garden.reports:
        if sha256(known.read_bytes()) == digest:
            raise SoiltrendError(
                f"{path}: this report is in the garden already, as "
                f"{known.relative_to(study.folder).as_posix()}. Nothing was filed."
            )


def _known_content(result: ReadFiles, study: Study) -> tuple[str, ...]:
    """Refuse a report whose every result is in the garden already, under whatever name or kind of file."""
    key = ["sample", "sampled_on", "analyte", "value", "unit", "method"]
    known = study.observations[[*key, "source"]].drop_duplicates(key)
    for source, rows in result.observations.groupby("source"):
        found = rows.merge(known, on=key, how="left", suffixes=("", "_known"))
        if len(found) and found["source_known"].notna().all():
            raise SoiltrendError(
                f"{source}: every result of it is in the garden already, in {found['source_known'].iloc[0]}. "
                "Nothing was filed."
            )
    return ()


def _beside_last(row: dict[str, Any], table: pd.DataFrame) -> dict[str, Any]:
    same = table[
        (table["bed"] == row["bed"])
        & (table["analyte"] == row["analyte"])
        & (table["unit"] == row["unit"])
        & (table["sampled_on"] < (row["sampled_on"] or "9999"))
    ].sort_values("sampled_on")
    last = same.iloc[-1] if len(same) else None
    value, before = row["value"], None if last is None else float(last["value"])
    known = value is not None and before is not None
    return {
        **{key: row[key] for key in ("bed", "analyte", "value", "unit", "source", "sampled_on", "place")},
        "last_value": before,
        "last_on": None if last is None else last["sampled_on"].date().isoformat(),
        "change": value - before if known else None,
        "doubt": "; ".join(n for n in row["notes"].split(";") if any(d in n for d in DOUBTS)) or None,
    }


def file_report(path: Path, folder: Path) -> str:
    """Copy one report under ``reports/`` and return its new name relative to the folder.

    Raises
    ------
    SoiltrendError
        Another report has that name already; nothing is overwritten.
    """
    target = folder / "reports" / path.name
    with one_writer(folder):
        if target.exists():
            raise SoiltrendError(
                f"{target}: another report has this name. Rename yours and add it again; nothing was written."
            )
        write_bytes(target, path.read_bytes())
    return target.relative_to(folder).as_posix()

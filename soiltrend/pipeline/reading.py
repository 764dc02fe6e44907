"""``read``: from report files to the long table, and why each number was taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from soiltrend.errors import SoiltrendError
from soiltrend.files import write_bytes
from soiltrend.intake import Failure, Intake, Progress, source_name, take_in
from soiltrend.observations import COLUMNS, long_table
from soiltrend.records import load_garden
from soiltrend.records.models import Garden

if TYPE_CHECKING:
    import pandas as pd

Records = tuple[list[dict[str, Any]], Sequence[str]]

EXPLAIN_COLUMNS = ("taken", "sample", "analyte", "text", "place", "reason", "source")


@dataclass(frozen=True)
class ReadFiles:
    """What a set of files says: the intake, the long table and what a person should know."""

    intake: Intake
    observations: pd.DataFrame
    messages: tuple[str, ...]
    root: Path

    def source_of(self, path: Path) -> str:
        """Return the name by which a file's rows and failures are known."""
        return source_name(path, self.root)

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
    if folders := [str(path) for path in files if path.is_dir()]:
        raise SoiltrendError(
            f"{', '.join(folders)}: expected report files, found a folder. Name the files in it. "
            "Nothing was read."
        )
    missing = [str(path) for path in files if not path.is_file()]
    if missing:
        raise SoiltrendError(f"{', '.join(missing)}: no such file. Nothing was read.")
    return read_for(files, load_garden(folder) if folder else None, today, progress)


def read_for(
    files: Sequence[Path], garden: Garden | None, today: date, progress: Progress | None = None
) -> ReadFiles:
    """Read report files that are there, with what a garden knows of its beds, depths and laboratories."""
    root = _common_root(files)
    intake = take_in(files, root=root, layouts=garden.layouts if garden else (), progress=progress)
    # Corrections and own measurements belong to the garden's own reports, not to these files.
    known = garden.model_copy(update={"corrections": (), "measurements": ()}) if garden else None
    table, said = long_table(intake.reports, known, today)
    return ReadFiles(intake, table, (*intake.messages, *said), root)


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

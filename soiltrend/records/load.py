"""The records folder → a :class:`Garden`, or everything that is wrong with it at once.

Only ``garden.toml`` must be there: without ``beds.csv`` the beds are as the laboratories print them, and
every other file adds what it knows. Files with other names are the grower's own business, unless a name is
so near to a record's that it must be meant.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from soiltrend.errors import Problem, RecordsError
from soiltrend.files import leads_outside
from soiltrend.records import cells, links, names, rows, settings, tables
from soiltrend.records.models import (
    Amendment,
    Bed,
    ClaimRow,
    Correction,
    Garden,
    Material,
    Measurement,
    MixPart,
    Record,
)

R = TypeVar("R", bound=Record)

TABLES: dict[str, type[Record]] = {
    "beds.csv": Bed,
    "amendments.csv": Amendment,
    "materials.csv": Material,
    "mixes.csv": MixPart,
    "measurements.csv": Measurement,
    "claims.csv": ClaimRow,
    "corrections.csv": Correction,
}
FILES = (settings.FILE, *TABLES)
_SPREADSHEET_ENDINGS = {".csv", ".toml", ".txt", ".tsv", ".tab", ".xlsx", ".xls", ".ods"}


def load_garden(folder: Path) -> Garden:
    """Return everything that the records folder holds, validated.

    Raises
    ------
    RecordsError
        Every problem of every file, each with file, line, column, what was expected and what was found.
    """
    _refuse_no_folder(folder)
    return _Loader(folder).load()


def _refuse_no_folder(folder: Path) -> None:
    advice = "Start one with: soiltrend new FOLDER"
    if not folder.exists():
        raise RecordsError([Problem(str(folder), None, None, "a records folder", "nothing", advice)])
    if not folder.is_dir():
        raise RecordsError([Problem(str(folder), None, None, "a records folder", "a file", advice)])


@dataclass(slots=True)
class _Loader:
    folder: Path
    problems: list[Problem] = field(default_factory=list)

    def load(self) -> Garden:
        try:
            garden = self._garden()
        except OSError as error:
            name = Path(error.filename or self.folder).name
            found = error.strerror or str(error)
            raise RecordsError(
                [*self.problems, Problem(name, None, None, "a readable file", found)]
            ) from error
        if self.problems:
            raise RecordsError(sorted(self.problems, key=_place))
        return garden

    def _garden(self) -> Garden:
        self._look_for_misnamed()
        config = self._settings()
        beds = self._beds()
        reports, layouts = self._files("reports", ""), self._files("layouts", ".toml")
        materials, mixes = self._rows("materials.csv", Material), self._rows("mixes.csv", MixPart)
        self.problems += links.check_materials(materials, mixes)
        report_names = [path.relative_to(self.folder).as_posix() for path in reports]
        corrections = links.resolve_corrections(
            self._rows("corrections.csv", Correction), report_names, self.problems
        )
        return Garden(
            folder=self.folder,
            name=config.name,
            units=config.units,
            sampling=config.sampling,
            soil=config.soil,
            noise=config.noise,
            beds=beds,
            amendments=links.resolve_amendments(self._rows("amendments.csv", Amendment), beds, self.problems),
            materials=materials,
            mixes=mixes,
            measurements=links.resolve_measurements(
                self._rows("measurements.csv", Measurement), beds, self.problems
            ),
            claims=links.resolve_claims(self._rows("claims.csv", ClaimRow), beds, self.problems),
            corrections=corrections,
            reports=reports,
            layouts=layouts,
        )

    def _beds(self) -> tuple[Bed, ...]:
        table = self._table("beds.csv", Bed)
        beds = self._records(table, Bed)
        self.problems += links.check_beds(beds)
        if not any(problem.file == "beds.csv" for problem in self.problems):
            return beds
        # The other files are still checked against every bed that is named, so that one mistake in
        # beds.csv does not turn into an unknown bed everywhere else.
        return tuple(_named_only(row) for row in table.rows if "bed" in row.cells)

    def _rows(self, name: str, model: type[R]) -> tuple[R, ...]:
        return self._records(self._table(name, model), model)

    def _table(self, name: str, model: type[Record]) -> tables.Table:
        content = self._content(name)
        table = tables.Table(name) if content is None else tables.parse(content, name, rows.columns_of(model))
        self.problems += table.problems
        return table

    def _records(self, table: tables.Table, model: type[R]) -> tuple[R, ...]:
        found, problems = rows.records(table, model)
        self.problems += problems
        return tuple(found)

    def _settings(self) -> settings.Settings:
        content = self._content(settings.FILE)
        if content is None:
            if not any(problem.expected.startswith(settings.FILE) for problem in self.problems):
                self.problems.append(self._no_garden())
            return settings.Settings()
        config, problems = settings.parse(content)
        self.problems += problems
        return config

    def _no_garden(self) -> Problem:
        if any(self.folder.iterdir()):
            found = f"no {settings.FILE}"
            advice = f'If this is a records folder, make {settings.FILE} with one line: name = "Home garden"'
        else:
            found = "an empty folder"
            advice = "Start a records folder with: soiltrend new FOLDER"
        return Problem(str(self.folder), None, None, settings.FILE, found, advice)

    def _content(self, name: str) -> bytes | None:
        """Return the bytes of one record file; None where there is none or it must not be followed."""
        path = self.folder / name
        if path.is_symlink() and leads_outside(path, self.folder):
            found = f"a symbolic link to {path.readlink()}"
            advice = "It was not followed. Put the file itself there."
            self.problems.append(Problem(name, None, None, "a file inside the records folder", found, advice))
            return None
        if path.is_dir():
            self.problems.append(Problem(name, None, None, "a file", "a folder"))
            return None
        return path.read_bytes() if path.exists() else None

    def _files(self, name: str, ending: str) -> tuple[Path, ...]:
        """Return the files below ``name``; links are among them, for whoever opens them to refuse."""
        root = self.folder / name
        if root.is_symlink() and leads_outside(root, self.folder):
            advice = "It was not followed. Put the folder itself there."
            found = f"a symbolic link to {root.readlink()}"
            self.problems.append(
                Problem(name, None, None, "a folder inside the records folder", found, advice)
            )
            return ()
        return tuple(
            path
            for path in sorted(root.rglob("*"))
            if (path.is_file() or path.is_symlink())
            and path.name.endswith(ending)
            and not any(part.startswith((".", "~$")) for part in path.relative_to(root).parts)
        )

    def _look_for_misnamed(self) -> None:
        for path in sorted(self.folder.iterdir()):
            if path.name in FILES or path.suffix.lower() not in _SPREADSHEET_ENDINGS or path.is_dir():
                continue
            meant = _meant(path.name)
            if meant is not None and not (self.folder / meant).exists():
                advice = f"Save it as {meant}, or give it a name that is not so near."
                self.problems.append(Problem(path.name, None, None, f"{meant}", repr(path.name), advice))


def _named_only(row: tables.Row) -> Bed:
    return Bed(
        line=row.line,
        bed=row.cells["bed"],
        treatment=row.cells.get("treatment", ""),
        also_called=cells.names(row.cells.get("also_called", "")),
    )


def _meant(name: str) -> str | None:
    """Return the record file whose name was most likely meant by ``name``."""
    stem = name.split(".", maxsplit=1)[0]
    near = names.nearest(stem, [file.split(".", maxsplit=1)[0] for file in FILES])
    return next((file for file in FILES if file.split(".", maxsplit=1)[0] == near), None)


def _place(problem: Problem) -> tuple[int, str, int]:
    known = FILES.index(problem.file) if problem.file in FILES else -1
    return known, problem.file, problem.line or 0

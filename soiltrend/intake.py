"""Many report files in, what each says out: read once, remembered, in parallel, and never stopped by one.

A file already read is not read again: what it said is kept under ``out/.cache`` by the file's hash, the
program that read it and the declared layouts.
"""

import json
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from soiltrend.errors import SoiltrendError
from soiltrend.files import leads_outside, sha256, write_text
from soiltrend.layout import load_layouts
from soiltrend.layout.reading import ReportReading, from_json, to_json

SOIL_TEST = "soil test"
# Starting worker processes costs about a second; below this many slow files one process is faster.
PARALLEL_FROM = 4
SLOW_ENDINGS = {".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp"}

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True)
class Failure:
    """A file that gave no rows, and why."""

    source: str
    reason: str


@dataclass(frozen=True, slots=True)
class Intake:
    """Everything the files said, in the order given, and the files that gave nothing."""

    reports: tuple[ReportReading, ...] = ()
    failures: tuple[Failure, ...] = ()

    @property
    def messages(self) -> tuple[str, ...]:
        """What the reader has to say about each file that was read, with the file's name in front."""
        return tuple(f"{report.source}: {text}" for report in self.reports for text in report.messages)


@dataclass(frozen=True, slots=True)
class _Job:
    path: Path
    root: Path
    layouts: tuple[Path, ...]


def take_in(
    paths: Sequence[Path],
    *,
    root: Path,
    layouts: Sequence[Path] = (),
    cache_folder: Path | None = None,
    progress: Progress | None = None,
    confined: bool = False,
) -> Intake:
    """Read every file of ``paths``.

    Parameters
    ----------
    paths : report files, in the order in which they are to be reported
    root : places are told relative to this folder
    layouts : declared layouts (TOML files of the records folder)
    cache_folder : where to remember what was read; None reads everything anew
    progress : called with files done, files in all and the file's name
    confined : name, and do not follow, a symbolic link that leads out of ``root``

    Raises
    ------
    RecordsError
        A declared layout cannot be used.
    """
    load_layouts(layouts)  # a wrong one is an error of the records, before any report is read
    jobs = [_Job(path, root, tuple(layouts)) for path in paths]
    outcomes: dict[Path, ReportReading | Failure] = {}
    waiting: list[_Job] = []
    for job in jobs:
        outside = _outside(job) if confined else None
        known = outside or _remembered(job, cache_folder)
        if known is None:
            waiting.append(job)
        else:
            outcomes[job.path] = known
    done = len(outcomes)
    for job, outcome in _read_all(waiting):
        outcomes[job.path] = outcome
        done += 1
        if progress:
            progress(done, len(jobs), job.path.name)
        if cache_folder is not None and isinstance(outcome, ReportReading):
            _remember(job, outcome, cache_folder)
    return _sorted_out([outcomes[job.path] for job in jobs])


def _sorted_out(outcomes: Iterable[ReportReading | Failure]) -> Intake:
    reports: list[ReportReading] = []
    failures: list[Failure] = []
    for outcome in outcomes:
        if isinstance(outcome, Failure):
            failures.append(outcome)
        elif outcome.looks_like != SOIL_TEST:
            failures.append(Failure(outcome.source, _not_a_soil_test(outcome)))
        elif not outcome.readings:
            failures.append(Failure(outcome.source, _nothing_found(outcome)))
        else:
            reports.append(outcome)
    return Intake(tuple(reports), tuple(failures))


def _not_a_soil_test(report: ReportReading) -> str:
    what = report.looks_like
    if what.startswith("no "):
        return (
            f"looks like {what}: no rows were taken. If it is one, say what its words mean in a file of "
            "layouts/, as README.md shows, or copy its numbers into a CSV file."
        )
    article = "" if what.startswith("nothing") else "an " if what[:1] in "aeiou" else "a "
    return f"looks like {article}{what}, not a soil test: no rows were taken"


def _nothing_found(report: ReportReading) -> str:
    said = " ".join(report.messages)
    return f"no soil-test result was found in it. {said}".strip()


def _outside(job: _Job) -> Failure | None:
    if not leads_outside(job.path, job.root):
        return None
    return Failure(_name(job), "is a symbolic link that leads out of the folder; it was not followed")


def source_name(path: Path, root: Path) -> str:
    """Return the name by which a file's rows and failures are known: relative to ``root`` if below it."""
    return (path.relative_to(root) if path.is_relative_to(root) else path).as_posix()


def _name(job: _Job) -> str:
    return source_name(job.path, job.root)


def _read_all(jobs: Sequence[_Job]) -> Iterable[tuple[_Job, ReportReading | Failure]]:
    slow = sum(job.path.suffix.lower() in SLOW_ENDINGS for job in jobs)
    processes = min(os.cpu_count() or 1, slow)
    if slow < PARALLEL_FROM or processes < 2:
        yield from ((job, _read(job)) for job in jobs)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        yield from zip(jobs, pool.map(_read, jobs, chunksize=2), strict=True)


def _read(job: _Job) -> ReportReading | Failure:
    """Read one file. Whatever a damaged file makes a library do, the other files are still read."""
    from soiltrend.layout import read_report
    from soiltrend.readers import open_document

    opened = False
    try:
        document = open_document(job.path, job.root)
        opened = True
        return read_report(document, load_layouts(job.layouts))
    except SoiltrendError as error:
        return Failure(_name(job), _without_name(str(error), job))
    except OSError as error:
        return Failure(_name(job), f"cannot be opened ({error.strerror or error})")
    except Exception as error:  # a library's on a damaged file, or a fault of this program on a good one
        why = "made this program fail; please report it" if opened else "is damaged or of an unknown kind"
        return Failure(_name(job), f"{why} ({error!r})"[:300])


def _without_name(message: str, job: _Job) -> str:
    """Take the file's name off the front: whoever prints a failure puts it there."""
    for name in (job.path.as_posix(), _name(job), job.path.name):
        message = message.removeprefix(f"{name}: ").removeprefix(f"{name} ")
    return message


@cache
def _program() -> str:
    """Return a digest of the rooms that read, so that a changed reader never trusts an old reading."""
    package = Path(__file__).parent
    parts = [package / name for name in ("values.py", "units.py", "vocabulary.py")]
    for folder in ("readers", "layout", "data"):
        parts += sorted(p for p in (package / folder).rglob("*") if p.suffix in {".py", ".toml", ".csv"})
    return sha256(b"".join(path.read_bytes() for path in parts if path.is_file()))[:16]


def _cache_file(job: _Job, folder: Path) -> Path:
    declared = b"".join(path.read_bytes() for path in job.layouts)
    return folder / f"{sha256(job.path.read_bytes())}-{sha256(declared + _program().encode())[:16]}.json"


def _remembered(job: _Job, folder: Path | None) -> ReportReading | None:
    if folder is None or not job.path.is_file():
        return None
    try:
        text = _cache_file(job, folder).read_text(encoding="utf-8")
        return replace(from_json(json.loads(text)), source=_name(job))
    except (OSError, ValueError, KeyError, TypeError):
        return None  # never written, or cut short by a full disk: the report itself is read again


def _remember(job: _Job, report: ReportReading, folder: Path) -> None:
    write_text(_cache_file(job, folder), json.dumps(to_json(report), ensure_ascii=False))

"""The command line: arguments in, one call of the pipeline, an exit status out."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from soiltrend import __version__
from soiltrend.errors import SoiltrendError

DONE, IN_PART, WRONG = 0, 1, 2
# 128 + SIGINT, as shells count it.
INTERRUPTED = 130

app = typer.Typer(
    name="soiltrend",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=(
        "Reads the soil-test reports that laboratories send, shows what really changed in each bed, and says "
        "which changes are hard to believe and why.\n\n"
        "Start with: soiltrend demo"
    ),
)


def _known_format(wanted: str | None) -> str | None:
    """Refuse an unknown format before anything is read or written."""
    from soiltrend.output import FORMATS

    if wanted is not None and wanted not in FORMATS:
        raise SoiltrendError(f"--format: expected table, csv or json, found {wanted!r}.")
    return wanted


Folder = Annotated[Path, typer.Argument(metavar="FOLDER", help="The garden's records folder.")]
Format = Annotated[
    str | None,
    typer.Option(
        "--format",
        metavar="table|csv|json",
        help="How to print (a pipe gets CSV).",
        show_default=False,
        callback=_known_format,
    ),
]
Output = Annotated[
    Path | None,
    typer.Option(
        "--output", metavar="FILE", help="Write to this file instead of the screen.", show_default=False
    ),
]


def main() -> None:
    """Run the command line; every mendable error becomes one message and an exit status."""
    try:
        status = app(standalone_mode=False)
        if status == INTERRUPTED:  # typer turns Ctrl-C into this status and says nothing
            raise KeyboardInterrupt
        raise SystemExit(status if isinstance(status, int) else DONE)
    except SoiltrendError as error:
        _tell(str(error))
        raise SystemExit(WRONG) from None
    except typer.Abort:
        _tell("Stopped. Nothing more was written.")
        raise SystemExit(WRONG) from None
    except BrokenPipeError:
        sys.stderr.close()
        raise SystemExit(DONE) from None
    except KeyboardInterrupt:
        _tell("Stopped. Files are either as they were or finished.")
        raise SystemExit(INTERRUPTED) from None
    except Exception as error:
        _leave_with(error)


def _leave_with(error: Exception) -> None:
    """Word a wrong call as click does; anything else is a fault of this program and says so."""
    if hasattr(error, "format_message") and hasattr(error, "exit_code"):
        _tell(error.format_message())
        raise SystemExit(WRONG) from None
    if isinstance(error, typer.Exit):
        raise SystemExit(error.exit_code) from None
    raise error


def _tell(message: str) -> None:
    print(message, file=sys.stderr)


def _version(wanted: bool) -> None:
    if wanted:
        print(f"soiltrend {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    pass


@contextmanager
def _progress(what: str) -> Iterator[Callable[[int, int, str], None] | None]:
    """Show a bar on standard error while many files are read, on a terminal only."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total, name: bar.update(task, completed=done, total=total, description=name)


@contextmanager
def _study(folder: Path) -> Iterator[Any]:
    """Open the garden, tell what the reading has to say, and end with status 1 where a file gave nothing."""
    from soiltrend.pipeline import Study

    with _progress("Reading reports") as progress:
        study = Study(folder, date.today(), progress)
        _ = study.intake
    _tell_of_reading(study.intake.failures, study.messages)
    yield study
    if study.intake.failures:
        raise typer.Exit(IN_PART)


def _tell_of_reading(failures: Any, messages: Any) -> None:
    for failure in failures:
        _tell(f"Not read: {failure.source} {failure.reason}")
    for message in messages:
        _tell(f"Note: {message}")


def _emit(rows: Any, wanted: str | None, output: Path | None) -> None:
    from soiltrend.output import emit

    emit(rows, wanted=wanted, output=output)


@app.command()
def demo(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="Where to write the garden.", show_default=True)
    ] = Path("soiltrend-demo"),
) -> None:
    """Write an invented garden and its report to look at."""
    from soiltrend.pipeline import write_demo

    write_demo(folder)
    print(f"An invented garden is in {folder}/ : its reports are in {folder}/reports/.")
    _report(folder)


@app.command()
def new(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="A folder that is empty or not there yet.")
    ],
) -> None:
    """Start a records folder to fill in."""
    from soiltrend.records import new_garden

    new_garden(folder)
    print(f"{folder}/ is ready. Put lab reports into {folder}/reports/, your beds into {folder}/beds.csv,")
    print(f"then run: soiltrend report {folder}")


@app.command()
def read(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Lab reports of any kind.")],
    garden: Annotated[
        Path | None,
        typer.Option("--garden", metavar="FOLDER", help="Match beds and depths by this garden's records."),
    ] = None,
    explain: Annotated[bool, typer.Option("--explain", help="Say for each value why it was taken.")] = False,
    picture: Annotated[
        Path | None,
        typer.Option(
            "--picture",
            metavar="FILE.png",
            help="With --explain: draw what was taken and left; PDF and scans, pages below each other.",
        ),
    ] = None,
    wanted: Format = None,
    output: Output = None,
) -> None:
    """Read lab reports into one long table."""
    from soiltrend.pipeline import draw_explanation, read_files, read_rows

    with _progress("Reading reports") as progress:
        result = read_files(files, garden, date.today(), progress)
    _tell_of_reading(result.failures, result.messages)
    if explain and picture is not None:
        draw_explanation(result, files, picture)
    _emit(read_rows(result, explain=explain), wanted, output)
    if result.failures:
        raise typer.Exit(IN_PART)


@app.command()
def add(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Lab reports to file.")],
    garden: Annotated[Path, typer.Option("--garden", metavar="FOLDER", help="The garden they belong to.")],
    yes: Annotated[bool, typer.Option("--yes", help="File without asking (for scripts).")] = False,
) -> None:
    """File new reports in a garden, after a look at them.

    Each value is shown beside the last one of the same bed, with what is doubtful about it."""
    from soiltrend.pipeline import Rows, file_report, propose

    proposal = propose(files, garden, date.today())
    _tell_of_reading(proposal.failures, proposal.messages)
    for failure in proposal.failures:
        _tell(f"Not filed: {Path(failure.source).name}.")
    if not proposal.paths:
        raise typer.Exit(WRONG)
    _emit(Rows(proposal.records, proposal.columns, view=proposal.view), None, None)
    for path in proposal.paths:
        agreed = yes or (sys.stdin.isatty() and typer.confirm(f"File {path.name} under reports/?", err=True))
        if agreed:
            _tell(f"Filed: {file_report(path, garden)}")
        else:
            _tell(
                f"Not filed: {path.name}. "
                + ("" if sys.stdin.isatty() else "Use --yes to file without asking.")
            )
    if proposal.failures:
        raise typer.Exit(IN_PART)


@app.command()
def trends(folder: Folder, wanted: Format = None, output: Output = None) -> None:
    """Show what changed per year in each bed."""
    from soiltrend.pipeline import trend_records

    with _study(folder) as study:
        _emit(trend_records(study), wanted, output)


@app.command()
def compare(folder: Folder, wanted: Format = None, output: Output = None) -> None:
    """Compare amended with unamended beds."""
    from soiltrend.pipeline import comparison_records

    with _study(folder) as study:
        _emit(comparison_records(study), wanted, output)


@app.command()
def check(folder: Folder, wanted: Format = None, output: Output = None) -> None:
    """List what is hard to believe, and why."""
    from soiltrend.pipeline import finding_records

    with _study(folder) as study:
        _emit(finding_records(study), wanted, output)


@app.command()
def claim(
    folder: Folder,
    texts: Annotated[
        list[str] | None,
        typer.Argument(metavar="[TEXT]...", help="Sentences to check; without one, all of claims.csv."),
    ] = None,
    card: Annotated[
        Path | None,
        typer.Option("--card", metavar="FILE.png|.svg", help="Draw claim and verdict as a picture to share."),
    ] = None,
    wanted: Format = None,
    output: Output = None,
) -> None:
    """Check a statement before it is shared."""
    from soiltrend.pipeline import check_card, check_claims, claim_records, draw_card

    with _study(folder) as study:
        judged = check_claims(study, texts or [])
        if card is not None:
            check_card(judged, card)
        _emit(claim_records(judged), wanted, output)
        if card is not None:
            draw_card(study, judged, card)
            _tell(f"The card is in {card}")


@app.command()
def dose(
    folder: Folder,
    material: Annotated[str, typer.Argument(metavar="MATERIAL", help="A material or a mix of yours.")],
    rate: Annotated[
        str, typer.Option("--rate", metavar="AMOUNT", help="How much, as '1 gal/10 ft2', '2 in deep', '5 %'.")
    ],
    bed: Annotated[
        list[str] | None, typer.Option("--bed", metavar="BED", help="Only for this bed; may be repeated.")
    ] = None,
    containers: Annotated[
        str | None, typer.Option("--containers", metavar="AMOUNT", help="For pots instead, as '12 x 5 gal'.")
    ] = None,
    mixed_to: Annotated[
        str | None, typer.Option("--mixed-to", metavar="DEPTH", help="How deep it is mixed in, as '6 in'.")
    ] = None,
    wanted: Format = None,
    output: Output = None,
) -> None:
    """Plan an application of a material or mix.

    How much each bed needs, what that carries, the most it can change, and whether a test could see it."""
    from soiltrend.pipeline import dose_records

    with _study(folder) as study:
        rows, cautions = dose_records(
            study, material, rate, beds=bed or (), containers=containers, mixed_to=mixed_to
        )
        _emit(rows, wanted, output)
        for caution in cautions:
            _tell(f"Caution: {caution}")


@app.command()
def balance(folder: Folder, wanted: Format = None, output: Output = None) -> None:
    """Add up what was put on, and what it can do."""
    from soiltrend.pipeline import balance_records

    with _study(folder) as study:
        _emit(balance_records(study), wanted, output)


@app.command()
def plan(
    folder: Folder,
    sheet: Annotated[
        Path | None,
        typer.Option(
            "--sheet", metavar="FILE.html", help="Where to write the sampling sheet and bag labels."
        ),
    ] = None,
    wanted: Format = None,
    output: Output = None,
) -> None:
    """Plan next year's sampling."""
    from soiltrend.pipeline import plan_records, write_sheet

    with _study(folder) as study:
        _emit(plan_records(study), wanted, output)
        _tell(f"The sampling sheet is in {write_sheet(study, sheet)}")


@app.command()
def report(folder: Folder) -> None:
    """Write the report of a garden, out/report.html."""
    _report(folder)


def _report(folder: Path) -> None:
    from soiltrend.pipeline import summary, write_report

    with _study(folder) as study:
        where = write_report(study)
        for line in summary(study):
            print(line)
        print(f"Open {where} in a browser.")

"""The files that commands make: the report and its machine-readable copies, the demo, cards and sheets."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from soiltrend import __version__, resources
from soiltrend.errors import SoiltrendError
from soiltrend.files import one_writer, write_bytes, write_folder, write_text
from soiltrend.pipeline.rows import (
    balance_records,
    check_claims,
    claim_records,
    comparison_records,
    plan_records,
)
from soiltrend.pipeline.study import OUT, Study

if TYPE_CHECKING:
    from soiltrend.claims import Judged
    from soiltrend.report import FileRead, ReportInput

DEMO = "fixtures/demo"


def write_demo(folder: Path) -> None:
    """Write the invented garden; a folder that holds exactly it already is left as it is.

    Raises
    ------
    SoiltrendError
        There is something else at ``folder``.
    """
    contents = resources.contents(DEMO)
    if not _holds(folder, contents):
        write_folder(folder, contents)


def _holds(folder: Path, contents: Mapping[str, bytes]) -> bool:
    return all(
        (folder / name).is_file() and (folder / name).read_bytes() == content
        for name, content in contents.items()
    )


def report_input(study: Study) -> ReportInput:
    """Return everything that the page is made from."""
    from soiltrend.report import ReportInput

    claims = check_claims(study, ()) if study.garden.claims else []
    return ReportInput(
        garden=study.garden,
        observations=study.observations,
        trends=study.trends,
        garden_trends=study.garden_trends,
        findings=study.findings,
        files=_files(study),
        balance=balance_records(study).records,
        comparisons=comparison_records(study).records,
        claims=claim_records(claims).records,
        plan=plan_records(study).records,
        advice=study.plan.advice,
        cautions=study.cautions,
        today=study.today,
        version=__version__,
    )


def _files(study: Study) -> list[FileRead]:
    from soiltrend.report import FileRead

    rows = study.observations["source"].value_counts()
    read = [
        FileRead(source=r.source, rows=int(rows.get(r.source, 0)), messages=r.messages)
        for r in study.intake.reports
    ]
    failed = [FileRead(source=f.source, rows=0, messages=(f.reason,)) for f in study.intake.failures]
    return read + failed


def write_report(study: Study) -> Path:
    """Write ``out/report.html`` and the machine-readable copies beside it; return where the page is."""
    from soiltrend.report import build_model, copies, render

    given = report_input(study)
    page = render(build_model(given))
    out = study.folder / OUT
    with one_writer(study.folder):
        for name, content in copies(given).items():
            write_bytes(out / name, content)
        write_text(out / "report.html", page)
    return out / "report.html"


def summary(study: Study) -> list[str]:
    """Return the lines that end a run: what was read, what changed, what is hard to believe."""
    if not study.intake.reports:
        return [
            f"No report was read yet: put lab reports into {study.folder / 'reports'}/ and run this again."
        ]
    from soiltrend.report.rows import copies_of

    copies = copies_of(study.observations)
    read = [report for report in study.intake.reports if report.source not in copies]
    shown = [t for t in study.trends if t.verdict in {"rising", "falling"}]
    hard = [f for f in study.findings if f.severity == "unbelievable"]
    doubtful = [f for f in study.findings if f.severity == "doubtful"]
    beds = study.observations["bed"].nunique()
    lines = [
        f"{_count(len(read), 'report')} read, {_count(beds, 'bed')}, "
        f"{_count(len(study.observations), 'value')}.",
        f"{_count(len(shown), 'change')} shown in {_count(len(study.trends), 'series', 'series')}; "
        f"{len(hard)} hard to believe, {len(doubtful)} doubtful.",
    ]
    return lines + [f"  {first_sentence(finding.text)}" for finding in hard]


def first_sentence(text: str) -> str:
    """Return the first sentence of a text; a point inside a number ends none."""
    return re.split(r"(?<=[.!?])\s", text, maxsplit=1)[0]


def _count(number: int, one: str, many: str | None = None) -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def check_card(judged: list[Judged], card: Path) -> None:
    """Refuse a card that cannot be drawn, before anything else is printed or written.

    Raises
    ------
    SoiltrendError
        The ending is neither .png nor .svg, or there are several statements.
    """
    if card.suffix.lower() not in {".png", ".svg"}:
        raise SoiltrendError(f"--card {card}: expected a file name that ends in .png or .svg.")
    if len(judged) != 1:
        raise SoiltrendError(f"--card draws one statement; found {len(judged)}. Give one sentence.")


def draw_card(study: Study, judged: list[Judged], card: Path) -> None:
    """Draw the first statement and its verdict as a picture, 1200 × 630.

    Raises
    ------
    SoiltrendError
        The ending is neither .png nor .svg, or there are several statements.
    """
    from soiltrend.report.card import card_png, card_svg

    check_card(judged, card)
    record = claim_records(judged).records[0]
    change, scope = judged[0].change, judged[0].scope
    labs = [lab for lab in scope.rows["lab"].drop_duplicates() if lab] if scope else []
    svg = card_svg(record, change.trend if change else None, labs)
    write_bytes(card, card_png(svg) if card.suffix.lower() == ".png" else svg.encode("utf-8"))


def write_sheet(study: Study, sheet: Path | None) -> Path:
    """Write the sampling sheet and bag labels as one HTML file; return where it is."""
    from soiltrend.report.sheet import render_sheet

    path = sheet or study.folder / OUT / "sampling.html"
    page = render_sheet(study.plan, study.garden)
    with one_writer(study.folder):
        write_text(path, page)
    return path

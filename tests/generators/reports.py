"""Writes the reports of fixtures/ with their tables: ``python -m tests.generators.reports [PART OF A NAME]``.

Needs Chromium and LibreOffice for the files that they make; the tests read what is committed.
"""

import importlib
import sys
from pathlib import Path

from tests.generators.report_common import MAKERS, Maker, table

FIXTURES = Path(__file__).parents[2] / "fixtures"
ENGINES = (
    "text",
    "csv",
    "sheets",
    "canvas",
    "platypus",
    "fpdf",
    "chromium",
    "office",
    "others",
    "outside",
    "hand",
)


def load() -> None:
    """Import every module that registers makers."""
    for engine in ENGINES:
        importlib.import_module(f"tests.generators.report_{engine}")


def quick_makers() -> dict[str, Maker]:
    """Return the makers that need no other program than this Python."""
    load()
    others = (
        "tests.generators.report_chromium",
        "tests.generators.report_office",
        "tests.generators.report_others",
    )
    return {name: maker for name, maker in MAKERS.items() if maker.__module__ not in others}


def main(wanted: str = "") -> None:
    """Write the files whose path holds ``wanted``."""
    load()
    for name, maker in MAKERS.items():
        if wanted in name:
            content, rows = maker()
            path = FIXTURES / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
            path.with_name(path.name + ".expected.csv").write_text(table(rows), encoding="utf-8")
            print(f"{name}: {len(content)} bytes, {len(rows)} rows")


if __name__ == "__main__":
    main(*sys.argv[1:])

"""Writes the demo garden and, beside it, the truth that reading it must give.

    python -m tests.generators.demo_garden

writes fixtures/demo (shipped) and fixtures/demo_truth (for the tests only), the same bytes each time.
"""

from datetime import date
from pathlib import Path

from tests.generators.demo_records import records
from tests.generators.demo_reports import (
    Report,
    first_laboratory,
    second_laboratory,
    third_laboratory,
    truth_table,
)
from tests.generators.demo_soil import Weather

FIXTURES = Path(__file__).parents[2] / "fixtures"
# Of a hundred draws, one in which every planted story shows at about its planted size.
START = 2098
# The year in which the first laboratory printed P as P2O5 and did not say so.
OXIDE_YEAR = 2021
FIRST = (date(2020, 4, 18), date(2021, 4, 17), date(2022, 4, 16), date(2023, 4, 22))
SECOND = (date(2024, 4, 20), date(2025, 4, 19), date(2026, 4, 18))
THIRD = date(2024, 10, 13)
# The grower saved one report twice.
COPY = ("reports/2022-hollowbrook.csv", "reports/2022-hollowbrook_copy.csv")


def reports() -> list[Report]:
    """Return the reports of all years."""
    weather = Weather(START)
    return [
        *(first_laboratory(weather, day, as_oxide=day.year == OXIDE_YEAR) for day in FIRST),
        *(second_laboratory(weather, day) for day in SECOND),
        third_laboratory(weather, THIRD),
    ]


def garden() -> dict[str, bytes]:
    """Return every file of the demo garden by its path."""
    files = {name: text.encode("utf-8") for name, text in records(Weather(START + 1)).items()}
    files |= {f"reports/{report.name}": report.content for report in reports()}
    return files | {COPY[1]: files[COPY[0]]}


def main() -> None:
    """Write the garden and its truth."""
    for name, content in garden().items():
        path = FIXTURES / "demo" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    truth = FIXTURES / "demo_truth" / "observations.csv"
    truth.parent.mkdir(parents=True, exist_ok=True)
    truth.write_text(truth_table(reports()), encoding="utf-8")


if __name__ == "__main__":
    main()

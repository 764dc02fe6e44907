from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from soiltrend.layout.reading import Reading, ReportReading
from soiltrend.records.models import Bed, Garden, Sampling, Soil
from soiltrend.values import Result


@pytest.fixture
def reading() -> Callable[..., Reading]:
    """One reading of pH 6.5 in North 1; any field may be given another value."""

    def make(value: float | None = 6.5, **fields: Any) -> Reading:
        defaults: dict[str, Any] = {
            "sample": "North 1",
            "analyte": "ph",
            "unit": "",
            "result": Result(number=value, status="measured"),
            "value_printed": str(value),
            "sampled_on": date(2024, 4, 15),
            "date_basis": "sampled",
            "place": "row 2 column pH",
        }
        return Reading(**(defaults | fields))

    return make


@pytest.fixture
def report() -> Callable[..., ReportReading]:
    def make(*readings: Reading, source: str = "reports/a.csv", sha256: str | None = None) -> ReportReading:
        return ReportReading(source=source, sha256=sha256 or source, readings=readings)

    return make


@pytest.fixture
def garden() -> Garden:
    return Garden(
        folder=Path(),
        beds=(Bed(bed="North 1", also_called=("N1",)), Bed(bed="South 1", bulk_density_g_cm3=1.1)),
        sampling=Sampling(depth_cm=20),
        soil=Soil(bulk_density_g_cm3=1.3),
    )

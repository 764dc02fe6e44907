"""Which readings and which series are doubtful, and which finding says so."""

from collections.abc import Sequence

from soiltrend.checks.finding import Finding
from soiltrend.data import load_toml
from soiltrend.report.model import Json, Link
from soiltrend.trends import Trend

SERIOUS = ("unbelievable", "doubtful")


def title_of(code: str) -> str:
    """Return the plain title of a finding's code."""
    return str(load_toml("display")["findings"].get(code, code.replace("-", " ").capitalize()))


class Doubts:
    """The doubtful and unbelievable findings of a garden, found by reading and by series."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.serious = [finding for finding in findings if finding.severity in SERIOUS]
        self.notes = [finding for finding in findings if finding.severity not in SERIOUS]
        self._links = [
            Link(title_of(finding.code), f"#finding-{number}")
            for number, finding in enumerate(self.serious, start=1)
        ]
        self._by_place: dict[str, list[int]] = {}
        for number, finding in enumerate(self.serious):
            for place in finding.observations:
                self._by_place.setdefault(place, []).append(number)

    def of_reading(self, source: str, place: str, analyte: str) -> tuple[Link, ...]:
        """Return the findings that name this reading."""
        numbers = self._by_place.get(f"{source}: {place}", ()) if self._by_place else ()
        return tuple(self._links[n] for n in numbers if self.serious[n].analyte in (None, analyte))

    def of_trend(self, trend: Trend) -> tuple[Link, ...]:
        """Return the findings about this bed and test: by name, or by a reading of this very test."""
        numbers = {
            number
            for number, finding in enumerate(self.serious)
            if finding.analyte == trend.analyte and finding.bed == trend.bed
        }
        for point in trend.points:
            for number in self._by_place.get(f"{point.source}: {point.place}", ()):
                if self.serious[number].analyte == trend.analyte:
                    numbers.add(number)
        return tuple(self._links[number] for number in sorted(numbers))

    def of_comparison(self, item: Json) -> bool:
        """Whether a bed on either side of a comparison is in doubt by name, for this very test."""
        beds = {*(item.get("beds") or ()), *(item.get("reference_beds") or ())}
        return any(found.analyte == item.get("analyte") and found.bed in beds for found in self.serious)

    def of_bed(self, bed: str) -> tuple[Link, ...]:
        """Return the findings about one bed."""
        return tuple(
            link for link, finding in zip(self._links, self.serious, strict=True) if finding.bed == bed
        )

"""The balance of a garden: what was put on each bed, when, and what that held."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from soiltrend.balance.contents import Contents, total
from soiltrend.balance.mixes import Portion
from soiltrend.records.models import Bed, Garden

if TYPE_CHECKING:
    from soiltrend.balance.layer import Layer
    from soiltrend.balance.outcome import Possible


@dataclass(frozen=True, kw_only=True)
class Applied:
    """One application on one bed.

    ``portions`` and ``contents`` are per m² (kg/m², volumes in m deep as put on); ``line`` is the row of
    amendments.csv; ``mixed_to_cm`` 0 = left on top, None = not recorded.
    """

    bed: str
    on: date
    material: str
    amount: float
    unit: str
    line: int
    mixed_to_cm: float | None
    portions: tuple[Portion, ...]

    @cached_property
    def contents(self) -> Contents:
        """Return what it held, in kg/m²."""
        return total(portion.contents for portion in self.portions)

    @property
    def notes(self) -> tuple[str, ...]:
        """Return what had to be taken from published ranges or read from a name."""
        return tuple(note for portion in self.portions for note in portion.substance.notes)


@dataclass(frozen=True, kw_only=True)
class Balance:
    """What was put on, application by application, in order of date.

    Without any application in the records ``recorded`` is False: then nothing is known to have been
    put on, which is not the same as knowing that nothing was.
    """

    garden: Garden
    today: date
    applied: tuple[Applied, ...] = ()

    @property
    def recorded(self) -> bool:
        """Whether the records hold any application at all, on whatever bed."""
        return bool(self.applied)

    @property
    def beds(self) -> tuple[Bed, ...]:
        """Return the garden's beds."""
        return self.garden.beds

    def bed(self, name: str) -> Bed:
        """Return the bed of this name; of an unknown one (a sample's printed name) a bare bed."""
        found = (bed for bed in self.garden.beds if bed.bed == name)
        return next(found, Bed(bed=name))

    def of(self, bed: str, start: date | None = None, end: date | None = None) -> tuple[Applied, ...]:
        """Return the applications on ``bed`` from ``start`` to ``end``, both days included."""
        return tuple(
            one
            for one in self._by_bed.get(bed, ())
            if (start is None or one.on >= start) and (end is None or one.on <= end)
        )

    @cached_property
    def _by_bed(self) -> dict[str, list[Applied]]:
        found: dict[str, list[Applied]] = {}
        for one in self.applied:
            found.setdefault(one.bed, []).append(one)
        return found

    def total(self, bed: str, start: date | None = None, end: date | None = None) -> Contents:
        """Return what was put on ``bed`` in that time, in kg/m²."""
        return total(one.contents for one in self.of(bed, start, end))

    def yearly(self, bed: str) -> dict[int, Contents]:
        """Return what was put on ``bed`` in each calendar year with an application, in kg/m²."""
        years = sorted({one.on.year for one in self.of(bed)})
        return {year: self.total(bed, date(year, 1, 1), date(year, 12, 31)) for year in years}

    def possible(
        self,
        bed: str,
        analyte: str,
        start: date,
        end: date,
        start_value: float,
        layer: "Layer | None" = None,
        *,
        method: str = "",
        unit: str = "",
        organic_matter_pct: float | None = None,
    ) -> "Possible | None":
        """Return how far a test can have moved; see :func:`soiltrend.balance.possible.possible`."""
        from soiltrend.balance.possible import possible

        return possible(
            self,
            bed,
            analyte,
            start,
            end,
            start_value,
            layer=layer,
            method=method,
            unit=unit,
            organic_matter_pct=organic_matter_pct,
        )

    @property
    def notes(self) -> tuple[str, ...]:
        """Return what had to be filled up from published ranges, each once."""
        return unique(note for one in self.applied for note in one.notes)


def unique(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the texts in their order, each once."""
    return tuple(dict.fromkeys(texts))

"""What a sentence says, no more: what it leaves out is None and is never worked out here."""

from dataclasses import dataclass
from typing import Any

JSON_KEYS = (
    "measure",
    "direction",
    "negated",
    "from",
    "to",
    "change",
    "unit",
    "percent",
    "times",
    "per_year",
    "span_years",
    "beds",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """One statement of a sentence.

    ``level_from`` and ``level_to`` are levels in ``unit`` as said, ``change`` an absolute amount, ``percent``
    a size (a fall has direction ``down``), ``times`` a ratio. ``comparator`` is empty or ``about``,
    ``at-least`` or ``at-most``. ``relative`` marks a percent that can only be a share of what it was.
    ``cause`` is the material or treatment that the sentence credits;
    ``against_controls`` is true where it says more, or less, than other beds: those of ``reference_beds`` or
    ``reference_groups``, else the unamended; ``by_level`` where it speaks of how things stand ('is higher
    than'), not of how they moved ('rose more than'). ``not_understood`` are the words that carried something
    and were not understood.
    """

    text: str
    measure: str | None = None
    measurable: bool = True
    direction: str | None = None
    negated: bool = False
    level_from: float | None = None
    level_to: float | None = None
    change: float | None = None
    unit: str | None = None
    percent: float | None = None
    relative: bool = False
    times: float | None = None
    per_year: bool = False
    span_years: float | None = None
    since: int | None = None
    until: int | None = None
    beds: tuple[str, ...] = ()
    unknown_beds: tuple[str, ...] = ()
    treatments: tuple[str, ...] = ()
    whole_garden: bool = False
    comparator: str = ""
    cause: str = ""
    against_controls: bool = False
    reference_beds: tuple[str, ...] = ()
    reference_groups: tuple[str, ...] = ()
    by_level: bool = False
    question: bool = False
    not_understood: tuple[str, ...] = ()
    read_as: tuple[str, ...] = ()

    @property
    def has_amount(self) -> bool:
        """Whether the statement says how much, not only which way."""
        return any(value is not None for value in (self.level_to, self.change, self.percent, self.times))

    def understood(self) -> dict[str, Any]:
        """Return the ``understood`` object of the JSON of ``soiltrend claim``."""
        values = (
            self.measure,
            self.direction,
            self.negated,
            self.level_from,
            self.level_to,
            self.change,
            self.unit,
            self.percent,
            self.times,
            self.per_year,
            self.span_years,
            list(self.beds) or None,
        )
        return dict(zip(JSON_KEYS, values, strict=True))

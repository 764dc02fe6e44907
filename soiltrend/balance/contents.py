"""What a heap, a batch or a bed's share of it holds: the same quantities everywhere in this room."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields

from soiltrend.balance.ranges import NOTHING, Range


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """Masses as ranges, in kg or kg/m² as the owner says; elements as the element.

    ``organic_matter`` is what burns off, char's included; ``char_matter`` is char's part of it and
    ``char_carbon`` char's part of ``carbon``. ``lime_equivalent`` and ``acid_equivalent`` are in
    CaCO3; the second is what acid-forming materials use up. ``salts`` are soluble salts.
    """

    dry_mass: Range = NOTHING
    organic_matter: Range = NOTHING
    carbon: Range = NOTHING
    char_carbon: Range = NOTHING
    char_matter: Range = NOTHING
    n: Range = NOTHING
    p: Range = NOTHING
    k: Range = NOTHING
    ca: Range = NOTHING
    mg: Range = NOTHING
    s: Range = NOTHING
    lime_equivalent: Range = NOTHING
    acid_equivalent: Range = NOTHING
    salts: Range = NOTHING

    def __add__(self, other: "Contents") -> "Contents":
        return Contents(**{name: value + getattr(other, name) for name, value in self.items()})

    def __mul__(self, factor: Range | float) -> "Contents":
        return Contents(**{name: value * factor for name, value in self.items()})

    def __getitem__(self, quantity: str) -> Range:
        if quantity not in QUANTITIES:
            raise KeyError(quantity)
        value: Range = getattr(self, quantity)
        return value

    def items(self) -> Iterator[tuple[str, Range]]:
        """Yield each quantity's name and range."""
        return ((name, getattr(self, name)) for name in QUANTITIES)


QUANTITIES = tuple(field.name for field in fields(Contents))


def total(parts: Iterable[Contents]) -> Contents:
    """Return the sum of the parts; of nothing it is all zero."""
    return sum(parts, start=Contents())

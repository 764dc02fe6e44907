"""Amounts in the vessels a grower carries: by weight, litres or gallons, buckets, wheelbarrows."""

from collections.abc import Sequence

from soiltrend.balance.amounts import parse_unit
from soiltrend.balance.mixes import Batch, Portion
from soiltrend.balance.ranges import Range

_METRIC = ("kg", "L", "bucket", "wheelbarrow")
_US = ("lb", "gal", "bucket", "wheelbarrow")


def shown(portions: Sequence[Portion], units: str, heap: Range | None = None) -> list[tuple[str, Range]]:
    """Return the amount of these portions together by weight first, by volume next.

    ``heap`` is their volume in m³ where it is known; else the heap's, into which liquids soak. A
    bucket is 5 US gallons, a wheelbarrow 6 ft³.
    """
    batch = Batch(name="", portions=tuple(portions))
    return [(name, _in(batch, heap or batch.volume, name)) for name in (_US if units == "us" else _METRIC)]


def _in(batch: Batch, heap: Range, name: str) -> Range:
    unit = parse_unit(name)
    return (batch.moist if unit.kind == "mass" else heap) / unit.size.typical

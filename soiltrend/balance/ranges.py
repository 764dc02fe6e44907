"""A quantity known to within a low and a high end: the arithmetic of composition figures."""

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """``low`` ≤ ``typical`` ≤ ``high`` of one quantity.

    Sums add end to end: what is wrong with a compost this year is wrong with it next year. Products
    combine the relative spreads as independent errors do (root of the sum of squares, on the
    logarithm), because the wettest load is not also the richest and the densest.
    """

    low: float = 0.0
    typical: float = 0.0
    high: float = 0.0

    def __post_init__(self) -> None:
        if not self.low <= self.typical <= self.high:
            raise ValueError(f"a range must rise: {self.low}, {self.typical}, {self.high}")

    @classmethod
    def exact(cls, value: float) -> "Range":
        """Return the range of a value taken as it stands."""
        return cls(value, value, value)

    @property
    def is_zero(self) -> bool:
        """Whether nothing is in it at either end."""
        return self.low == self.high == 0.0

    def __add__(self, other: "Range") -> "Range":
        return Range(self.low + other.low, self.typical + other.typical, self.high + other.high)

    def __neg__(self) -> "Range":
        return Range(-self.high, -self.typical, -self.low)

    def __sub__(self, other: "Range") -> "Range":
        return self + -other

    def __mul__(self, other: "Range | float") -> "Range":
        """Return the product; of two ranges both must not be negative."""
        if isinstance(other, Range):
            return _product(self, other)
        ends = (self.low * other, self.typical * other, self.high * other)
        return Range(*ends) if other >= 0 else Range(*reversed(ends))

    __rmul__ = __mul__

    def __truediv__(self, other: "Range | float") -> "Range":
        """Return the quotient; a range to divide by must be above zero."""
        if isinstance(other, Range):
            return self * Range(1 / other.high, 1 / other.typical, 1 / other.low)
        return Range(self.low / other, self.typical / other, self.high / other)


NOTHING = Range()


def total(ranges: Iterable[Range]) -> Range:
    """Return the sum, end to end; of nothing it is zero."""
    return sum(ranges, start=Range())


def _product(a: Range, b: Range) -> Range:
    if min(a.low, b.low) < 0:
        raise ValueError("only ranges from zero up can be multiplied with each other")
    typical = a.typical * b.typical
    if typical == 0:
        return Range(0.0, 0.0, a.high * b.high)
    return Range(
        typical * _spread(a.low / a.typical, b.low / b.typical, -1),
        typical,
        typical * _spread(a.high / a.typical, b.high / b.typical, +1),
    )


def _spread(a: float, b: float, sign: int) -> float:
    """Combine two ratios to the typical value on the log scale; 1 comes out as exactly 1."""
    if a == 0 or b == 0:
        return 0.0
    if a == 1 or b == 1:
        return a * b
    return math.exp(sign * math.hypot(math.log(a), math.log(b)))

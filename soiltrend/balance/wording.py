"""Numbers and masses in the lines of arithmetic, in the grower's units."""

from dataclasses import dataclass
from math import floor, log10

from soiltrend.balance.ranges import Range
from soiltrend.data import load_toml


def plain(value: float, digits: int = 3) -> str:
    """Return ``value`` with so many significant digits, never in scientific notation.

    Of numbers above 1,000 four digits are kept: a calculator must be able to follow.
    """
    if value == 0:
        return "0"
    size = floor(log10(abs(value)))
    places = max(0, digits - 1 - size)
    kept = round(value, min(places, 3 - size)) if size > 3 else value
    text = f"{kept:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def printed(value: float, digits: int = 3) -> float:
    """Return the number that a reader sees of ``value``: sums are made of these, so that they compute."""
    return float(plain(value, digits))


def rounded(value: float | None, digits: int = 6) -> float | None:
    """Return ``value`` to so many significant digits, as tables print it."""
    return None if value is None else float(f"{value:.{digits}g}")


def signed(value: float, digits: int = 2) -> str:
    """Return ``value`` with its sign; a fall gets a true minus."""
    text = plain(abs(value), digits)
    if text == "0":
        return "0"
    return f"−{text}" if value < 0 else f"+{text}"


def spread(values: Range, digits: int = 2) -> str:
    """Return ``typical (low to high)``, or one number where the three are equal."""
    if values.low == values.high:
        return plain(values.typical, digits)
    return f"{plain(values.typical, digits)} ({plain(values.low, digits)} to {plain(values.high, digits)})"


def signed_spread(values: Range, digits: int = 2) -> str:
    """Return ``+typical (+low to +high)``."""
    ends = f"{signed(values.low, digits)} to {signed(values.high, digits)}"
    return f"{signed(values.typical, digits)} ({ends})"


@dataclass(frozen=True, slots=True)
class Masses:
    """How masses per area are shown: ``factor`` × kg/m², then ``label``."""

    factor: float
    label: str

    @property
    def inches(self) -> bool:
        """Whether the grower reads depths in inches."""
        return self.label.startswith("lb")

    def number(self, kg_m2: float, digits: int = 3) -> str:
        """Return the mass without its unit."""
        return plain(kg_m2 * self.factor, digits)

    def printed(self, kg_m2: float, digits: int = 3) -> float:
        """Return the mass as a reader sees it, in this unit."""
        return printed(kg_m2 * self.factor, digits)

    def of(self, kg_m2: float, digits: int = 3) -> str:
        """Return the mass with its unit."""
        return f"{self.number(kg_m2, digits)} {self.label}"

    def spread(self, values: Range, digits: int = 2) -> str:
        """Return ``typical (low to high) unit``."""
        return f"{spread(values * self.factor, digits)} {self.label}"


def masses(units: str) -> Masses:
    """Return how a garden with these ``units`` (``metric`` or ``us``) reads masses per area."""
    if units != "us":
        return Masses(1.0, "kg/m²")
    return Masses(pounds_per_1000_ft2(), "lb/1000 ft²")


def pounds_per_1000_ft2() -> float:
    """Return what 1 kg/m² is in lb per 1,000 square feet."""
    amounts = load_toml("amounts")
    pound = next(unit["size"] for unit in amounts["unit"] if unit["name"] == "lb")
    foot2 = next(area["size"] for area in amounts["area"] if area["name"] == "ft2")
    return float(1000.0 * foot2 / pound)

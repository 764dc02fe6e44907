"""Numbers for a reader: as many figures as the uncertainty carries, and never a false 0 or 100 %."""

import math
from dataclasses import dataclass

NBSP = "\u00a0"
THIN = "\u202f"
MINUS = "\u2212"

# A number that rounds to nothing gets up to this many further decimals before it is called "about 0".
_MORE_DECIMALS = 2
ABOUT_ZERO = f"about{NBSP}0"


@dataclass(frozen=True, slots=True)
class Rounded:
    """An estimate and its interval, rounded alike and ready to print, without the unit."""

    value: str
    low: str
    high: str

    @property
    def interval(self) -> str:
        """The interval in words: ``0.08 to 0.22``."""
        return f"{self.low} to {self.high}"


def decimals_for(uncertainty: float) -> int:
    """Return how many decimals a number with this uncertainty deserves; negative is tens, hundreds.

    The rule of the Particle Data Group (Review of Particle Physics, introduction, "Rounding"; from memory):
    by the first three figures of the uncertainty, 100 to 354 keep two figures, 355 to 949 keep one,
    950 to 999 round up to 1000 and keep two. An uncertainty of zero or no number keeps three decimals.
    """
    if not math.isfinite(uncertainty) or uncertainty <= 0:
        return 3
    exponent = math.floor(math.log10(uncertainty))
    leading = round(uncertainty / 10.0**exponent * 100)
    if leading >= 950:
        return -exponent
    return 1 - exponent if leading < 355 else -exponent


def two_figures(value: float) -> int:
    """Return how many decimals show two figures of ``value``; of zero or no number, none."""
    return 1 - math.floor(math.log10(abs(value))) if value and math.isfinite(value) else 0


def plain(value: float, decimals: int) -> str:
    """Print ``value`` with a true minus sign and a thin space between thousands.

    Two more decimals are used where the number would else read as zero and is not, then "about 0".
    """
    for places in range(decimals, decimals + _MORE_DECIMALS + 1):
        rounded = round(value, places)
        if rounded or not value:
            return _printed(rounded, places)
    return ABOUT_ZERO


def signed(value: float, decimals: int) -> str:
    """Print a change with its sign: ``+0.14``, ``−0.14``; zero has none."""
    text = plain(value, decimals)
    return f"+{text}" if value > 0 and text != ABOUT_ZERO else text


def estimate(value: float, low: float, high: float, *, sign: bool = False) -> Rounded:
    """Round an estimate and its interval by half the interval's width.

    An estimate that rounds to nothing inside an interval on both sides of zero is "about 0".
    """
    decimals = decimals_for((high - low) / 2)
    show = signed if sign else plain
    middle = low < 0 < high and round(value, decimals) == 0
    return Rounded(ABOUT_ZERO if middle else show(value, decimals), show(low, decimals), show(high, decimals))


def reading(value: float, noise: float | None = None) -> str:
    """Print one value, by its noise where that is known, else with four figures."""
    if noise is not None and noise > 0:
        return plain(value, max(decimals_for(noise), 0))
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "–"
    decimals = max(0, 3 - math.floor(math.log10(abs(value))))
    text = _printed(round(value, min(decimals, 6)), min(decimals, 6))
    return text.rstrip("0").rstrip(".") if "." in text else text


def share(part: float) -> str:
    """Print a share (0 to 1) as percent; only exactly all is 100 % and only exactly none is 0 %."""
    percent = 100 * part
    if 0 < percent < 1:
        return f"under 1{NBSP}%"
    if 99 < percent < 100:
        return f"over 99{NBSP}%"
    return f"{percent:.0f}{NBSP}%"


def about_share(part: float) -> str:
    """Print a share that is a judgement: to the nearest 5 %, ``about 45 %``, ``under 5 %``."""
    percent = 100 * part
    if percent < 2.5:
        return f"under 1{NBSP}%" if percent < 1 else f"under 5{NBSP}%"
    return f"about {min(5 * round(percent / 5), 95)}{NBSP}%" if percent < 100 else share(part)


def with_unit(number: str, unit: str) -> str:
    """Join a number and its unit so that no line ends between them."""
    return f"{number}{NBSP}{unit.replace(' ', NBSP)}" if unit else number


def _printed(rounded: float, decimals: int) -> str:
    size = abs(rounded)
    places = max(decimals, 0)
    text = f"{size:.{places}f}" if size < 10_000 else f"{size:,.{places}f}".replace(",", THIN)
    return f"{MINUS}{text}" if rounded < 0 else text

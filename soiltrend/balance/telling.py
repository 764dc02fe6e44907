"""Lines of arithmetic that every answer shares: what was put on, and what was not recorded."""

from collections.abc import Callable

from soiltrend.balance import wording
from soiltrend.balance.contents import Contents
from soiltrend.balance.counting import om_methods
from soiltrend.balance.model import unique
from soiltrend.balance.question import Question
from soiltrend.balance.ranges import Range, total

Counting = Callable[[Contents], Range]


def most_line(zero_loss: float, expected: Range) -> str:
    """Return the line that ends an answer."""
    most, usual = wording.signed(zero_loss), wording.signed_spread(expected)
    return f"The most that is possible: {most}; expected {usual}."


def span(asked: Question) -> str:
    """Return the time between the dates in words."""
    years = wording.plain(asked.years, 2)
    return f"{years} year" if years == "1" else f"{years} years"


def assumptions(asked: Question) -> tuple[str, ...]:
    """Return what was not recorded and had to be taken from published ranges."""
    said = [note for one in asked.applied for note in one.notes]
    if asked.layer.basis == "estimated":
        said.append("bulk density not measured: estimated from organic matter, so the soil's mass is a range")
    if any(one.mixed_to_cm is None for one in asked.applied):
        said.append("mixing depth not recorded: from left on top to dug in deep")
    if asked.analyte == "organic_matter" and asked.method not in om_methods():
        said.append("method not known: read as loss on ignition, the bound by whichever counts most")
    return unique(said)


def applied_lines(asked: Question, what: str, counted: Counting) -> tuple[str, ...]:
    """Return one line per material put on between the dates, or one that says there was none."""
    if not asked.balance.recorded:
        return ("No application is recorded in this garden: nothing is known of what was put on.",)
    if not asked.applied:
        return (f"Nothing was put on {asked.bed} between {asked.start} and {asked.end}.",)
    materials = unique(one.material for one in asked.applied)
    return tuple(_material_line(asked, name, what, counted) for name in materials)


def _material_line(asked: Question, name: str, what: str, counted: Counting) -> str:
    rows = [one for one in asked.applied if one.material == name]
    kg = asked.masses
    dry = kg.spread(total(one.contents.dry_mass for one in rows))
    held = kg.spread(total(counted(one.contents) for one in rows))
    if len(rows) == 1:
        one = rows[0]
        return f"{one.on}, {name}, {wording.plain(one.amount)} {one.unit}: {dry} dry, in it {held} of {what}."
    when = f"{rows[0].on} to {rows[-1].on}"
    return f"{name}, {len(rows)} times, {when}: {dry} dry in all, in it {held} of {what}."

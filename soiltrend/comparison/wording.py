"""Sentences that a comparison carries: how much, how sure, on what."""

from datetime import date
from math import floor, log10

from soiltrend.comparison.mixed import SecondOpinion
from soiltrend.comparison.model import Comparison
from soiltrend.data import load_toml


def analyte_name(analyte: str) -> str:
    """Return the analyte's name at the start of a sentence."""
    known = load_toml("display")["analytes"].get(analyte)
    return str(known[0]) if known else analyte.replace("_", " ").capitalize()


def change_unit(unit: str, system: str) -> str:
    """Return the unit of a change as the grower reads it: points for a percentage, ppm in us units."""
    known = load_toml("display")["units"].get(unit)
    return str(known[2] or known[system == "us"]) if known else unit


def per_year(unit: str, system: str) -> str:
    """Return the unit of a yearly change: ``points a year`` for a percentage."""
    return f"{change_unit(unit, system)} a year"


def counted(names: tuple[str, ...]) -> str:
    """Return the bed's name where there is one, else how many there are."""
    return names[0] if len(names) == 1 else f"{len(names)} beds"


def listed(names: tuple[str, ...]) -> str:
    """Return ``a``, ``a and b`` or ``a, b and c``."""
    return "".join(names) if len(names) < 2 else f"{', '.join(names[:-1])} and {names[-1]}"


def rounded(value: float, uncertainty: float) -> str:
    """Return ``value`` to two digits of its uncertainty, with a proper minus sign."""
    size = uncertainty if uncertainty > 0 else abs(value)
    places = 1 - floor(log10(size)) if size > 0 else 0
    text = f"{round(value, places):.{max(places, 0)}f}"
    return ("0" if float(text) == 0 else text).replace("-", "−")


def nothing_to_compare(row: Comparison) -> str:
    """Say which side has no bed with a report."""
    name = analyte_name(row.analyte)
    if not row.beds and not row.reference_beds:
        return f"{name}: neither side has a bed with a report."
    if not row.reference_beds:
        return (
            f"{name}: no {row.reference} bed was tested, so what {row.group} did cannot be told from what "
            "the years did. Leave one bed or more untreated and test it in the same visits."
        )
    return f"{name}: no bed with {row.group} has a report."


def too_few_reports(row: Comparison) -> str:
    """Say that the reports do not carry a difference of slopes, and what would."""
    return (
        f"{analyte_name(row.analyte)}: too few reports to compare {row.group} ({counted(row.beds)}) with "
        f"{row.reference} ({counted(row.reference_beds)}): each side needs a bed with two dates of the same "
        "method and layer. Test both sides again in one visit."
    )


def no_ranking(row: Comparison, least: int) -> str:
    """Say why the beds are not ranked."""
    return (
        f"{analyte_name(row.analyte)}: {len(row.beds)} beds; a ranking of fewer than {least} beds tested in "
        "the same visits would rank their luck, so none is given. Each bed's own change stands under trends."
    )


def chosen_because_low(
    row: Comparison, selection: tuple[tuple[str, ...], date, float | None], system: str, *, capped: bool
) -> str:
    """Say what choosing the poor beds does by itself: ``selection`` is the beds, the day and the rise."""
    beds, day, rise = selection
    what = f"{listed(beds)} {'was' if len(beds) == 1 else 'were'} chosen because of poor results. "
    size = (
        f"That alone makes {row.group} rise by about {rounded(rise, abs(rise))} "
        f"{change_unit(row.unit, system)} at the next test (regression to the mean). "
        if rise is not None and rise > 0
        else "That alone makes later tests look better (regression to the mean). "
    )
    if capped:
        return what + size + "Without two reports since, it cannot be ruled out."
    return what + size + f"The reports up to {day.isoformat()}, which led to the choice, are left out."


def sentence(row: Comparison, system: str, family: int) -> str:
    """Return the sentence that the row's numbers carry, in the grower's ``system`` of units.

    ``family`` is the number of comparisons that were judged together.
    """
    if row.difference_per_year is None or row.ci_low is None or row.ci_high is None:
        return row.sentence
    if row.verdict in ("group-rose-more", "group-rose-less"):
        body = _shown(row, system)
    elif row.verdict == "too-few":
        body = f"one bed on each side is too few to tell a treatment from a bed; {_rose(row, system)}."
    elif row.capped:
        body = f"no difference shown; {_rose(row, system)}. Regression to the mean cannot be ruled out."
    elif row.ci_low > 0 or row.ci_high < 0:
        body = _leaning(row, system, family)
    else:
        body = _not_shown(row, system)
    return f"{analyte_name(row.analyte)}: {body} {_basis(row)}"


def _half(row: Comparison) -> float:
    return ((row.ci_high or 0.0) - (row.ci_low or 0.0)) / 2


def _interval(row: Comparison) -> str:
    low, high = rounded(row.ci_low or 0.0, _half(row)), rounded(row.ci_high or 0.0, _half(row))
    return f"{100 * row.ci_level:g} % interval {low} to {high}"


def _difference(row: Comparison, system: str) -> str:
    value = row.difference_per_year or 0.0
    return (
        f"{rounded(abs(value), _half(row))} {per_year(row.unit, system)} {'more' if value >= 0 else 'less'}"
    )


def _sides(row: Comparison) -> tuple[str, str]:
    if row.kind == "bed":
        return row.group, f"the mean of the other {len(row.reference_beds)} beds"
    return f"{row.group} ({counted(row.beds)})", f"{row.reference} ({counted(row.reference_beds)})"


def _rose(row: Comparison, system: str) -> str:
    ours, theirs = _sides(row)
    return f"{ours} rose {_difference(row, system)} than {theirs} ({_interval(row)})"


def _shown(row: Comparison, system: str) -> str:
    if row.kind == "treatment":
        return f"{_rose(row, system)}."
    return f"{_rose(row, system)}; drawn towards them, {rounded(row.pooled_difference or 0.0, _half(row))}."


def _leaning(row: Comparison, system: str, family: int) -> str:
    """Say why an interval without zero does not count as shown."""
    return (
        f"{_rose(row, system)}, but among the {family} comparisons judged together chance alone can make one "
        "lean like this, so it does not count as shown."
    )


def _not_shown(row: Comparison, system: str) -> str:
    ours, theirs = _sides(row)
    start = f"no difference shown between {ours} and {theirs}: {_difference(row, system)} ({_interval(row)})."
    if row.kind == "bed":
        return f"{start} There is no evidence that the beds differ." if row.spread_per_year == 0 else start
    margin = row.no_larger_than or 0.0
    return f"{start} No difference larger than {rounded(margin, margin)} {per_year(row.unit, system)}."


def _basis(row: Comparison) -> str:
    first, last = row.first_on, row.last_on
    years = "" if first is None or last is None else f", {first.year} to {last.year}"
    visits = f"{row.visits} shared visits" if row.years_shared else f"{row.visits} visits, not shared"
    return f"({visits}{years}.)"


def second(row: Comparison, other: SecondOpinion) -> str:
    """Say what the mixed model thinks of a difference that is shown."""
    agrees = other.p_value <= 1 - row.ci_level and (other.difference > 0) == ((row.ci_low or 0.0) > 0)
    view = "agrees" if agrees else "is not sure of it"
    value = rounded(other.difference, other.se)
    return f"A mixed model of all reports {view} ({value}, p {other.p_value:.2g}). {other.weakness}"

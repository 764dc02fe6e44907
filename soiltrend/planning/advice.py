"""The plan in sentences, the most useful first."""

from collections.abc import Iterator, Sequence
from statistics import median

from soiltrend.comparison.wording import analyte_name, change_unit, per_year, rounded
from soiltrend.data import load_toml
from soiltrend.planning.model import DifferenceAhead, Lever, Outlook, Plan, Visit
from soiltrend.planning.schedule import MONTHS, length


def advice(plan: Plan, visit: Visit, system: str) -> tuple[str, ...]:
    """Return what to do, what it will show, what would show more, and what went wrong so far.

    ``system`` is the grower's: ``metric`` or ``us``.
    """
    first = _first_analyte(plan.outlooks)
    mine = [o for o in plan.outlooks if o.analyte == first and o.horizons]
    return (
        when_and_how(visit, system),
        *_single_bed(mine, system),
        *_groups([ahead for ahead in plan.differences if ahead.analyte == first], system),
        *(f"{lever.text}: {earned_text(lever)}." for lever in plan.levers if lever.analyte == first),
        *_overstated(mine),
        *(warning.text for warning in plan.warnings),
    )


def _first_analyte(outlooks: Sequence[Outlook]) -> str:
    """Return the analyte the sentences are about: organic matter where it is tested."""
    names = list(dict.fromkeys(outlook.analyte for outlook in outlooks))
    return "organic_matter" if "organic_matter" in names else next(iter(names), "")


def when_and_how(visit: Visit, system: str) -> str:
    """Say when to sample, how deep and where to send it."""
    assumed = " (assumed; count them)" if visit.cores_assumed else ""
    parts = [f"{visit.cores} cores to a bag{assumed}"]
    if visit.depth_to_cm is not None:
        top = f"{length(visit.depth_from_cm, system)} to " if visit.depth_from_cm else "from the top to "
        parts.insert(0, top + length(visit.depth_to_cm, system))
    if visit.lab:
        parts.append(f"sent to {visit.lab} with the same methods by name")
    count = len(visit.beds)
    beds = visit.beds[0] if count == 1 else f"all {count} beds in one visit"
    return f"Sample {beds} in {MONTHS[visit.on.month - 1]} {visit.on.year}: {', '.join(parts)}."


def _single_bed(mine: Sequence[Outlook], system: str) -> Iterator[str]:
    if not mine:
        return
    nearest, furthest = (median([o.horizons[i].per_year for o in mine]) for i in (0, -1))
    total, last, unit = median([o.horizons[0].smallest for o in mine]), mine[0].horizons[-1], mine[0].unit
    yield (
        f"{analyte_name(mine[0].analyte)}, one bed by itself: with the next test a steady change of some "
        f"{_two(nearest)} {per_year(unit, system)} ({_two(total)} {change_unit(unit, system)} in all since "
        f"its first test) would be shown eight times in ten; by {last.on.year}, with {last.tests} more "
        f"tests, {_two(furthest)} a year. Smaller changes will mostly stay unseen."
    )


def _two(value: float) -> str:
    return rounded(value, abs(value))


def _groups(mine: Sequence[DifferenceAhead], system: str) -> Iterator[str]:
    for ahead in mine:
        known = {tests: rate for tests, rate in ahead.per_year.items() if rate is not None}
        if not known:
            continue
        first, last = min(known), max(known)
        yield (
            f"{analyte_name(ahead.analyte)}, {ahead.group} ({ahead.beds}) against {ahead.reference} "
            f"({ahead.reference_beds}): a difference of {_two(known[first])} {per_year(ahead.unit, system)} "
            f"would be shown after {_tests(first)}, one of {_two(known[last])} after {_tests(last)}."
        )


def _tests(number: int) -> str:
    return "the next visit" if number == 1 else f"{number} more visits"


def earned_text(lever: Lever) -> str:
    """Say how many years a step is worth."""
    if lever.years_earned is None:
        return f"worth more than {lever.at_most} years of testing"
    if lever.years_earned < 0.05:
        return "worth nothing here"
    return f"worth about {lever.years_earned:.1f} years of testing"


def _overstated(mine: Sequence[Outlook]) -> Iterator[str]:
    """Say how far a shown result would be from a modest truth (type M error), where it is far."""
    factors = [o.overstatement for o in mine if o.overstatement is not None]
    least = float(load_toml("planning")["overstatement"]["worth_saying"])
    if factors and median(factors) >= least:
        name = analyte_name(mine[0].analyte)
        yield (
            f"If {name if name[:2] == 'pH' else name[:1].lower() + name[1:]} truly changes by "
            f"{100 * mine[0].true_change:.0f} % until {mine[0].horizons[-1].on.year}, a result from one bed "
            f"that counts as shown would overstate it about {median(factors):.1f}-fold: only the lucky ones "
            "get shown."
        )

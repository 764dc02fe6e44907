"""The plan as rows for a table and JSON."""

from typing import Any

from soiltrend.planning.model import Lever, Outlook, Plan

COLUMNS = (
    "bed",
    "analyte",
    "unit",
    "tests_so_far",
    "next_on",
    "smallest_next",
    "percent_next",
    "smallest_in_3",
    "smallest_in_5",
    "best_step",
)


def to_records(plan: Plan) -> list[dict[str, Any]]:
    """Return one row per bed and analyte.

    ``smallest_*`` is the smallest true change since the first test that would be shown eight times in ten,
    in ``unit``, after the next test, three and five, ``per_year_*`` the same as a steady rate;
    ``no_change_within_next`` the margin inside which no change would be shown to lie; ``shown_*`` the year
    in which a true change of that size would be shown; ``best_step`` what earns most years,
    ``years_earned`` how many (null: more than can be counted).
    """
    return [_record(outlook, plan) for outlook in plan.outlooks]


def _record(outlook: Outlook, plan: Plan) -> dict[str, Any]:
    by_tests = {horizon.tests: horizon for horizon in outlook.horizons}
    following, best = by_tests.get(1), best_step(outlook.analyte, plan)
    years = outlook.years_to_show
    return {
        "bed": outlook.bed,
        "analyte": outlook.analyte,
        "unit": outlook.unit,
        "method": outlook.method,
        "tests_so_far": outlook.n,
        "since": outlook.since,
        "next_on": plan.future[0],
        "smallest_next": following.smallest if following else None,
        "percent_next": following.percent if following else None,
        "no_change_within_next": following.no_change_within if following else None,
        "smallest_in_3": by_tests[3].smallest if 3 in by_tests else None,
        "smallest_in_5": by_tests[5].smallest if 5 in by_tests else None,
        "per_year_next": following.per_year if following else None,
        "per_year_in_5": by_tests[5].per_year if 5 in by_tests else None,
        **{f"shown_{100 * fraction:.0f}_percent": year for fraction, year in years.items()},
        "best_step": best.text if best else None,
        "years_earned": best.years_earned if best else None,
    }


def best_step(analyte: str, plan: Plan) -> Lever | None:
    """Return the step that earns most for one bed's own change, None where none earns anything."""
    mine = [
        lever
        for lever in plan.levers
        if lever.analyte == analyte and lever.code in ("more-cores", "second-bag") and lever.years_earned != 0
    ]
    return max(mine, key=_worth, default=None)


def _worth(lever: Lever) -> float:
    return float("inf") if lever.years_earned is None else lever.years_earned

"""Where the sampling so far was not alike from visit to visit, or not as garden.toml plans it."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING

from soiltrend.comparison.wording import analyte_name, listed
from soiltrend.data import load_toml
from soiltrend.planning.model import Visit, Warning
from soiltrend.planning.schedule import MONTHS, dated, given, length, rules, sampled, usual_month
from soiltrend.records.models import Garden

if TYPE_CHECKING:
    import pandas as pd


def warnings(observations: "pd.DataFrame", garden: Garden, visit: Visit) -> tuple[Warning, ...]:
    """Return where the sampling so far was not alike, or not as garden.toml plans it."""
    table = dated(observations)
    return (
        *_months(table, garden),
        *_depths(table, garden),
        *_labs(table),
        *_changed_methods(table),
        *_gaps(table),
        *_missed(table, garden),
        *_cores(visit),
    )


def _visits(table: "pd.DataFrame") -> list[date]:
    return sorted(set(table["day"]))


def _months(table: "pd.DataFrame", garden: Garden) -> Iterator[Warning]:
    usual = usual_month(table, garden)
    off: dict[int, set[int]] = {}
    for day in sorted(set(sampled(table))):
        apart = abs(day.month - usual)
        if min(apart, 12 - apart) >= int(rules()["month_off_by"]):
            off.setdefault(day.month, set()).add(day.year)
    for month, years in off.items():
        yield Warning(
            code="month-drifted",
            text=f"Sampled in {MONTHS[month - 1]} in {_years(years)}, otherwise in {MONTHS[usual - 1]}: the "
            "season moves nitrate, pH, phosphorus and potassium. Keep to one month.",
        )


def _years(years: set[int]) -> str:
    return listed(tuple(str(year) for year in sorted(years)))


def _depths(table: "pd.DataFrame", garden: Garden) -> Iterator[Warning]:
    near = float(load_toml("noise")["segments"]["same_layer_within"])
    seen: dict[float, set[int]] = {}
    for depth, day in zip(table["depth_to_cm"], table["day"], strict=True):
        if given(depth):
            alike = next((d for d in seen if abs(d - depth) <= near * d), float(depth))
            seen.setdefault(alike, set()).add(day.year)
    if len(seen) > 1:
        yield Warning(code="depth-changed", text=_depths_text(seen, garden.units))
    planned = garden.sampling.depth_cm
    if planned is not None and len(seen) == 1 and abs((only := next(iter(seen))) - planned) > near * planned:
        said = (
            f"garden.toml plans {length(planned, garden.units)}, the reports say {length(only, garden.units)}"
        )
        yield Warning(
            code="depth-changed",
            text=f"{said}: mend the one that is wrong, or every change will be one of depth.",
        )


def _depths_text(seen: dict[float, set[int]], system: str) -> str:
    """Name the usual depth once and the others with their years."""
    usual = max(seen, key=lambda depth: len(seen[depth]))
    others = [f"to {length(d, system)} in {_years(years)}" for d, years in seen.items() if d != usual]
    return (
        f"Sampled {listed(tuple(others))}, otherwise to {length(usual, system)}: each depth is a series of "
        "its own. Keep to one."
    )


def _runs(pairs: Sequence[tuple[date, str]]) -> list[tuple[str, int]]:
    """Return each value and the year in which it took over from another; spelling does not tell two apart."""
    runs: list[tuple[str, int]] = []
    for day, value in pairs:
        if value and (not runs or _plain(runs[-1][0]) != _plain(value)):
            runs.append((value, day.year))
    return runs


def _plain(text: str) -> str:
    return "".join(filter(str.isalnum, text.casefold()))


def _by_visit(table: "pd.DataFrame", column: str) -> list[tuple[date, str]]:
    """Return the most frequent text of each day."""
    found = []
    for day in _visits(table):
        cells = [str(c) for c in table.loc[table["day"] == day, column] if given(c)]
        if cells:
            found.append((day, Counter(cells).most_common(1)[0][0]))
    return found


def _labs(table: "pd.DataFrame") -> Iterator[Warning]:
    runs = _runs(_by_visit(table, "lab"))
    if len(runs) > 1:
        told = listed(tuple(f"{lab} from {year}" for lab, year in runs))
        yield Warning(
            code="lab-changed",
            text=f"The laboratory changed ({told}): nothing rises or falls across a change. If it has to "
            "change again, split the samples of one visit between both.",
        )


def earlier_lab(observations: "pd.DataFrame") -> str:
    """Return the laboratory of most visits before the present one, empty where it never changed."""
    visits = _by_visit(dated(observations), "lab")
    if not visits:
        return ""
    others = Counter(lab for _, lab in visits if _plain(lab) != _plain(visits[-1][1]))
    return others.most_common(1)[0][0] if others else ""


def _changed_methods(table: "pd.DataFrame") -> Iterator[Warning]:
    """Name each change of method once, with the analytes that share it."""
    changes: dict[tuple[tuple[str, int], ...], list[str]] = {}
    for analyte in dict.fromkeys(table["analyte"]):
        runs = _runs(_by_visit(table[table["analyte"] == analyte], "method"))
        if len(runs) > 1:
            changes.setdefault(tuple(runs), []).append(analyte_name(analyte))
    names = load_toml("display")["methods"]
    for history, analytes in changes.items():
        told = listed(tuple(f"{names.get(m, m.replace('_', ' '))} from {year}" for m, year in history))
        yield Warning(
            code="method-changed",
            text=f"{listed(tuple(analytes))}: the method changed ({told}). Ask for one method by name.",
        )


def _gaps(table: "pd.DataFrame") -> Iterator[Warning]:
    days = _visits(table)
    for before, after in pairwise(days):
        if (after - before).days > int(rules()["gap_days"]):
            yield Warning(
                code="year-missed",
                text=f"No test between {before.isoformat()} and {after.isoformat()}.",
            )


def _missed(table: "pd.DataFrame", garden: Garden) -> Iterator[Warning]:
    """Name beds that were not in the last visit."""
    last = max(table["day"])
    recent = {
        bed
        for bed, day in zip(table["bed"], table["day"], strict=True)
        if (last - day).days < int(rules()["earliest_days"])
    }
    missing = tuple(bed.bed for bed in garden.beds if bed.bed not in recent)
    if missing and len(missing) < len(garden.beds):
        yield Warning(
            code="bed-missed",
            text=f"Not tested in {last.year}: {listed(missing)}. Beds that miss a visit cannot be compared "
            "in it.",
        )


def _cores(visit: Visit) -> Iterator[Warning]:
    if visit.cores_assumed:
        yield Warning(
            code="cores-unknown",
            text=f"garden.toml does not say how many cores go into a bag; {visit.cores} are assumed. Count "
            "them and write [sampling] cores.",
        )

"""The next visit, as much like the earlier ones as can be, and where those were not alike."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from soiltrend.comparison.wording import analyte_name, listed
from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.planning.model import SheetRow, Visit, Warning
from soiltrend.records.models import Garden

if TYPE_CHECKING:
    import pandas as pd

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip


def rules() -> dict[str, Any]:
    """Return the rules for visits."""
    found: dict[str, Any] = load_toml("planning")["visit"]
    return found


def dated(observations: "pd.DataFrame") -> "pd.DataFrame":
    """Return the rows with a date, oldest first, the date as a ``date``."""
    import pandas as pd

    days = pd.to_datetime(observations["sampled_on"], errors="coerce")
    table = observations.assign(day=days)[days.notna()].sort_values("day", kind="stable")
    return table.assign(day=[stamp.date() for stamp in table["day"]])


def next_visit(observations: "pd.DataFrame", garden: Garden, noise: Noise, today: date) -> Visit | None:
    """Return the next sampling: same month, layer, laboratory and methods as before, None without a test."""
    table = dated(observations)
    if table.empty:
        return None
    top, bottom = _layer(table, garden)
    labs = [lab for lab in table["lab"] if _given(lab)]
    usual = int(load_toml("planning")["cores"]["usual"])
    return Visit(
        on=_next_day(table, garden, today),
        depth_from_cm=top,
        depth_to_cm=bottom,
        cores=noise.cores or usual,
        cores_assumed=noise.cores is None,
        lab=labs[-1] if labs else "",
        methods=_methods(table),
        beds=_beds(table, garden),
    )


def _given(cell: Any) -> bool:
    return cell is not None and cell == cell and str(cell) != ""  # noqa: PLR0124 -- NaN


def _methods(table: "pd.DataFrame") -> dict[str, str]:
    named = zip(table["analyte"], table["method"], strict=True)
    return {analyte: method for analyte, method in named if _given(method)}


def _beds(table: "pd.DataFrame", garden: Garden) -> tuple[str, ...]:
    return tuple(bed.bed for bed in garden.beds) or tuple(dict.fromkeys(table["bed"]))


def _layer(table: "pd.DataFrame", garden: Garden) -> tuple[float | None, float | None]:
    """Return the layer of garden.toml, else that of the latest results."""
    if garden.sampling.depth_cm is not None:
        return 0.0, garden.sampling.depth_cm
    known = table[table["depth_to_cm"].notna()]
    if known.empty:
        return None, None
    last = known.iloc[-1]
    top = last["depth_from_cm"]
    return (float(top) if _given(top) else 0.0), float(last["depth_to_cm"])


def usual_month(table: "pd.DataFrame", garden: Garden) -> int:
    """Return the month of garden.toml, else the one in which most visits were."""
    if garden.sampling.month is not None:
        return garden.sampling.month
    days = _sampled(table) or list(table["day"])
    return Counter(day.month for day in sorted(set(days), reverse=True)).most_common(1)[0][0]


def _sampled(table: "pd.DataFrame") -> list[date]:
    """Return the days that are known to be those of sampling."""
    return [d for d, basis in zip(table["day"], table["date_basis"], strict=True) if basis == "sampled"]


def _next_day(table: "pd.DataFrame", garden: Garden, today: date) -> date:
    """Return the first day of that month after today, and not soon after the last visit."""
    month, last = usual_month(table, garden), max(table["day"])
    days = sorted(day.day for day in _sampled(table) if day.month == month)
    day = min(days[len(days) // 2] if days else int(rules()["day_of_month"]), 28)
    year = today.year
    while True:
        on = date(year, month, day)
        if on > today and (on - last).days >= int(rules()["earliest_days"]):
            return on
        year += 1


def future_visits(visit: Visit, count: int) -> tuple[date, ...]:
    """Return the next ``count`` yearly visits."""
    return tuple(visit.on.replace(year=visit.on.year + later) for later in range(count))


def sheet(observations: "pd.DataFrame", garden: Garden, visit: Visit) -> tuple[SheetRow, ...]:
    """Return one row for each bed to sample; the bag carries the name the laboratory last printed."""
    table = dated(observations)
    known = {bed.bed: bed for bed in garden.beds}
    tested = zip(table["bed"], table["day"], table["sample"], strict=True)
    last = {bed: (day, sample) for bed, day, sample in tested}
    rows = []
    for number, name in enumerate(visit.beds, start=1):
        bed = known.get(name)
        day, sample = last.get(name, (None, name))
        rows.append(
            SheetRow(
                number=number,
                bed=name,
                bag=sample or name,
                treatment=bed.treatment if bed else "",
                area_m2=bed.area_m2 if bed else None,
                last_on=day,
                remarks="" if day else "never tested before",
            )
        )
    return tuple(rows)


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
    for day in sorted(set(_sampled(table))):
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
        if _given(depth):
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


def length(centimetres: float, system: str) -> str:
    """Return a depth in centimetres or inches; whole numbers where rounding explains the rest."""
    inch = float(load_toml("display")["conversions"]["cm_per_inch"])
    number, unit = (centimetres / inch, "inches") if system == "us" else (centimetres, "cm")
    near = float(load_toml("noise")["segments"]["same_layer_within"])
    whole = round(number) if abs(round(number) - number) <= near * number else number
    return f"{whole:.3g} {unit}"


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
        cells = [str(c) for c in table.loc[table["day"] == day, column] if _given(c)]
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

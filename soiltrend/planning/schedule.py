"""The next visit, as much like the earlier ones as can be."""

from collections import Counter
from datetime import date
from typing import TYPE_CHECKING, Any

from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.planning.model import SheetRow, Visit
from soiltrend.records.models import Garden

if TYPE_CHECKING:
    import pandas as pd

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip

OWN_MEASUREMENT = "own_measurement"


def rules() -> dict[str, Any]:
    """Return the rules for visits."""
    found: dict[str, Any] = load_toml("planning")["visit"]
    return found


def dated(observations: "pd.DataFrame") -> "pd.DataFrame":
    """Return the laboratory results with a date, oldest first, the date as a ``date``.

    The grower's own measurements follow a calendar of their own and are left out.
    """
    import pandas as pd

    days = pd.to_datetime(observations["sampled_on"], errors="coerce")
    kept = days.notna() & (observations["method"] != OWN_MEASUREMENT)
    table = observations.assign(day=days)[kept].sort_values("day", kind="stable")
    return table.assign(day=[stamp.date() for stamp in table["day"]])


def next_visit(observations: "pd.DataFrame", garden: Garden, noise: Noise, today: date) -> Visit | None:
    """Return the next sampling: same month, layer, laboratory and methods as before, None without a test."""
    table = dated(observations)
    if table.empty:
        return None
    top, bottom = _layer(table, garden)
    labs = [lab for lab in table["lab"] if given(lab)]
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


def given(cell: Any) -> bool:
    """Whether a cell of the table says anything."""
    return cell is not None and cell == cell and str(cell) != ""  # noqa: PLR0124 -- NaN


def _methods(table: "pd.DataFrame") -> dict[str, str]:
    named = zip(table["analyte"], table["method"], strict=True)
    return {analyte: method for analyte, method in named if given(method)}


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
    return (float(top) if given(top) else 0.0), float(last["depth_to_cm"])


def usual_month(table: "pd.DataFrame", garden: Garden) -> int:
    """Return the month of garden.toml, else the one in which most visits were."""
    if garden.sampling.month is not None:
        return garden.sampling.month
    days = sampled(table) or list(table["day"])
    return Counter(day.month for day in sorted(set(days), reverse=True)).most_common(1)[0][0]


def sampled(table: "pd.DataFrame") -> list[date]:
    """Return the days that are known to be those of sampling."""
    return [d for d, basis in zip(table["day"], table["date_basis"], strict=True) if basis == "sampled"]


def _next_day(table: "pd.DataFrame", garden: Garden, today: date) -> date:
    """Return the first day of that month after today, and not soon after the last visit."""
    month, last = usual_month(table, garden), max(table["day"])
    days = sorted(day.day for day in sampled(table) if day.month == month)
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


def length(centimetres: float, system: str) -> str:
    """Return a depth in centimetres or inches; whole numbers where rounding explains the rest."""
    inch = float(load_toml("display")["conversions"]["cm_per_inch"])
    number, unit = (centimetres / inch, "inches") if system == "us" else (centimetres, "cm")
    near = float(load_toml("noise")["segments"]["same_layer_within"])
    whole = round(number) if abs(round(number) - number) <= near * number else number
    return f"{whole:.3g} {unit}"

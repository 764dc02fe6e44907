"""What was put on, what that could have changed, and what the tests show, from the rows of the balance."""

from collections.abc import Sequence

from soiltrend.balance.nutrients import removed
from soiltrend.data import load_toml
from soiltrend.records.models import Amendment, Garden
from soiltrend.report.model import Application, Json, Table
from soiltrend.report.numbers import (
    NBSP,
    decimals_for,
    estimate,
    plain,
    reading,
    signed,
    two_figures,
    with_unit,
)
from soiltrend.report.series import Scale
from soiltrend.report.words import analyte_name, depth, listed, unit_name

UNITS = {"metric": "kg/m2", "us": "lb/1000 ft2"}
TOTAL = "total"


def amount_text(item: Amendment) -> str:
    """Return an amount as the grower wrote it."""
    return f"{reading(item.amount)}{NBSP}{item.unit.replace(' ', NBSP)}"


def applications(garden: Garden) -> tuple[Application, ...]:
    """Return what was put on in order of date; beds that got the same on one day share a line."""
    beds: dict[tuple[str, ...], list[str]] = {}
    for item in sorted(garden.amendments, key=lambda item: item.date):
        placed = _placed(item.mixed_to_cm, garden.units)
        key = (item.date.isoformat(), item.material, amount_text(item), placed, item.notes)
        beds.setdefault(key, []).append(item.bed)
    return tuple(
        Application(day=day, beds=tuple(names), material=material, amount=amount, placed=placed, notes=notes)
        for (day, material, amount, placed, notes), names in beds.items()
    )


def balance_tables(records: Sequence[Json], system: str) -> tuple[Table, ...]:
    """Return two tables: what each bed got in all, and what that could change beside what the tests show."""
    tables = (_held(records, system), _changes(records, system))
    return tuple(table for table in tables if table.rows)


def _placed(mixed_to_cm: float | None, system: str) -> str:
    if mixed_to_cm is None:
        return ""
    return "left on top" if mixed_to_cm == 0 else f"mixed in, {depth(0, mixed_to_cm, system)}"


def _held(records: Sequence[Json], system: str) -> Table:
    """One row per bed, one column per quantity; a quantity that no bed got has no column."""
    totals = [row for row in records if row.get("year") == TOTAL and row.get("unit") == UNITS[system]]
    names = load_toml("display")["quantities"]
    held = {row["quantity"] for row in totals if row.get("high")}
    quantities = [name for name in names if name in held]
    cells = {(row["bed"], row["quantity"]): _range(row) for row in totals}
    beds = list(dict.fromkeys(str(row["bed"]) for row in totals))
    return Table(
        f"In all, {unit_name('kg/m2', system)}",
        ("Bed", *(names[quantity] for quantity in quantities)),
        _alike([(bed, *(cells.get((bed, quantity), "") for quantity in quantities)) for bed in beds]),
        f"All applications together{_tenth(system)}. In brackets how sure the amount is, with the published "
        "range of the composition where the material was not analysed. N, P and K are the elements, not the "
        f"oxides.{_builds_up(records, system)}",
    )


def _builds_up(records: Sequence[Json], system: str) -> str:
    """Name the beds that got more phosphorus a year, at the least, than the heaviest crop takes off."""
    yearly: dict[str, list[Json]] = {}
    for row in records:
        if row.get("quantity") == "p" and row.get("year") != TOTAL and row.get("unit") == UNITS["metric"]:
            yearly.setdefault(str(row["bed"]), []).append(row)
    crops = removed("p")
    much = {bed: rows for bed, rows in yearly.items() if _mean(rows, "low") > crops.high}
    if not much:
        return ""
    scale = Scale.of("kg/m2", system)
    mean = sum(_mean(rows, "typical") for rows in much.values()) / len(much)
    got, usual, most = (
        plain(scale.factor * kg, two_figures(kg * scale.factor)) for kg in (mean, crops.typical, crops.high)
    )
    return (
        f" Phosphorus builds up in {listed(list(much))}: about {got} {scale.unit} in each year of "
        f"application, where vegetables take off about {usual} a year and a heavy crop of corn {most}."
    )


def _mean(rows: Sequence[Json], key: str) -> float:
    return sum(float(row.get(key) or 0.0) for row in rows) / len(rows)


def _alike(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return the rows with the beds that got the same on one line."""
    beds: dict[tuple[str, ...], list[str]] = {}
    for bed, *cells in rows:
        beds.setdefault(tuple(cells), []).append(bed)
    return tuple((listed(names), *cells) for cells, names in beds.items())


def _tenth(system: str) -> str:
    return "; a bed of 100 ft² got a tenth of it" if system == "us" else ", for each square metre"


def _range(row: Json) -> str:
    low, typical, high = (float(row[key] or 0.0) for key in ("low", "typical", "high"))
    if high == low:
        return reading(float(f"{typical:.3g}"))
    decimals = decimals_for((high - low) / 2)
    ends = f"({plain(low, decimals)} to {plain(high, decimals)})".replace(" ", NBSP)
    return f"{plain(typical, decimals)} {ends}"


def _changes(records: Sequence[Json], system: str) -> Table:
    treated = {row["bed"] for row in records if row.get("year") == TOTAL}
    rows = tuple(
        _change(row, system)
        for row in records
        if row["bed"] in treated
        and row.get("observed") is not None
        and row.get("largest") is not None
        and _worth(row)
    )
    return Table(
        "What it could change, and what the tests show",
        ("Bed", "Test", "Years", "To be expected", "At most, nothing lost", "The tests show"),
        rows,
        "Only where something put on can move the test. The tests' change is that of the fitted line over "
        "the years that can be compared, with its interval in brackets; the expected one covers all years.",
    )


def _worth(row: Json) -> bool:
    return any(abs(float(row.get(key) or 0.0)) > 0 for key in ("low", "typical", "high"))


def _change(row: Json, system: str) -> tuple[str, ...]:
    scale = Scale.of(str(row["unit"]), system)
    largest = float(row["largest"]) * scale.factor
    return (
        str(row["bed"]),
        analyte_name(str(row["quantity"])),
        str(row["year"]),
        _spread(scale, row.get("typical"), row.get("low"), row.get("high")),
        with_unit(signed(largest, two_figures(largest)), scale.change),
        _spread(scale, row["observed"], row.get("observed_low"), row.get("observed_high")),
    )


def _spread(scale: Scale, middle: float | None, low: float | None, high: float | None) -> str:
    if middle is None or low is None or high is None:
        return ""
    rounded = estimate(*(scale.factor * number for number in (middle, low, high)), sign=True)
    return f"{with_unit(rounded.value, scale.change)} ({rounded.interval})"

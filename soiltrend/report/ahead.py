"""What the next tests can show, test by test, from the rows of the plan."""

from collections.abc import Sequence

from soiltrend.report.model import Json, Table
from soiltrend.report.numbers import NBSP, plain, two_figures
from soiltrend.report.series import Scale
from soiltrend.report.words import analyte_name

AHEAD = (
    ("smallest_next", "After the next test"),
    ("smallest_in_3", "After three"),
    ("smallest_in_5", "After five"),
)


def plan_tables(records: Sequence[Json], system: str) -> tuple[Table, ...]:
    """Return one row per test: the smallest true change that would show, over all beds."""
    tests = list(dict.fromkeys((str(row["analyte"]), str(row["unit"])) for row in records))
    rows = tuple(_row(analyte, unit, records, system) for analyte, unit in tests)
    if not rows:
        return ()
    heads = ("Test", *(head for _, head in AHEAD), "What helps most")
    steps = {row[-1] for row in rows if row[-1]}
    alike = (
        f" What helps most with every laboratory test: {next(iter(steps)).rstrip('.')}."
        if len(steps) == 1
        else ""
    )
    if alike or not steps:
        heads, rows = heads[:-1], tuple(row[:-1] for row in rows)
    return (
        Table(
            "The smallest change that would show",
            heads,
            rows,
            "A true change of this size since the first test would be shown eight times in ten. Where beds "
            f"differ, the range over the beds is given.{alike}",
        ),
    )


def _row(analyte: str, unit: str, records: Sequence[Json], system: str) -> tuple[str, ...]:
    mine = [row for row in records if row["analyte"] == analyte and row["unit"] == unit]
    scale = Scale.of(unit, system)
    steps = [str(row["best_step"]) for row in mine if row.get("best_step")]
    best = max(dict.fromkeys(steps), key=steps.count, default="")
    return (analyte_name(analyte), *(_span(mine, key, scale) for key, _ in AHEAD), best)


def _span(rows: Sequence[Json], key: str, scale: Scale) -> str:
    sizes = [float(row[key]) * scale.factor for row in rows if row.get(key) is not None]
    if not sizes:
        return ""
    decimals = two_figures(min(sizes))
    low, high = (plain(size, decimals) for size in (min(sizes), max(sizes)))
    text = low if low == high else f"{low} to {high}"
    return f"{text}{NBSP}{scale.change}" if scale.change else text

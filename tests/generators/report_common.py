"""Invented laboratories' reports: the soils behind them, and the table a careful person would copy out."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import csv
import io
import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

COLUMNS = (
    "sample", "sampled_on", "date_basis", "analyte", "form", "value", "qualifier", "unit", "method",
    "depth_from_cm", "depth_to_cm", "lab", "report",
)  # fmt: skip
INCHES_6 = ("0", "15.24")

Row = dict[str, str]


@dataclass(frozen=True)
class Item:
    """One result as a report prints it: what it is and in which unit, form and by which method."""

    analyte: str
    unit: str = ""
    form: str = ""
    method: str = ""


PPM, PCT, MEQ, LB = "mg/kg", "%", "meq/(100.g)", "lb/acre"
ITEMS: Mapping[str, Item] = {
    "ph": Item("ph"), "bph": Item("buffer_ph"), "om": Item("organic_matter", PCT), "cec": Item("cec", MEQ),
    "p": Item("phosphorus", PPM), "k": Item("potassium", PPM), "ca": Item("calcium", PPM),
    "mg": Item("magnesium", PPM), "na": Item("sodium", PPM), "s": Item("sulfur", PPM),
    "zn": Item("zinc", PPM), "mn": Item("manganese", PPM), "cu": Item("copper", PPM),
    "fe": Item("iron", PPM), "b": Item("boron", PPM), "no3n": Item("nitrate_n", PPM),
    "ec": Item("soluble_salts", "dS/m"), "h": Item("exchangeable_acidity", MEQ),
    "sat_ca": Item("base_saturation_ca", PCT), "sat_mg": Item("base_saturation_mg", PCT),
    "sat_k": Item("base_saturation_k", PCT), "sat_h": Item("base_saturation_h", PCT),
    "sat_na": Item("base_saturation_na", PCT), "sand": Item("sand", PCT), "silt": Item("silt", PCT),
    "clay": Item("clay", PCT),
}  # fmt: skip
# mg/kg in 1 meq/100 g, as laboratories round them
WEIGHT = {"ca": 200.0, "mg": 121.5, "k": 390.0, "na": 230.0}


def soil(name: str) -> dict[str, str]:
    """Return every printed value of one invented soil; its cations, CEC and saturations agree."""
    rng = random.Random(name)
    ph = rng.uniform(5.4, 7.3)
    found = {
        "ca": round(rng.uniform(700, 3200)), "mg": round(rng.uniform(70, 420)), "k": round(rng.uniform(55, 420)),
        "na": round(rng.uniform(9, 60)),
    }  # fmt: skip
    acid = round(max(0.0, 2.2 * (7.0 - round(ph, 1))), 1)
    meq = {key: value / WEIGHT[key] for key, value in found.items()} | {"h": acid}
    cec = sum(meq.values())
    clay, sand = round(rng.uniform(8, 34)), round(rng.uniform(20, 50))
    return {
        "ph": f"{ph:.1f}", "bph": f"{7.0 - acid / 12:.2f}", "om": f"{rng.uniform(1.9, 9.4):.1f}",
        "cec": f"{cec:.1f}", "h": f"{acid:.1f}", **{key: str(value) for key, value in found.items()},
        **{f"sat_{key}": f"{100 * value / cec:.1f}" for key, value in meq.items()},
        "p": str(round(rng.uniform(11, 160))), "s": str(round(rng.uniform(5, 31))),
        "zn": f"{rng.uniform(0.6, 9.9):.1f}", "mn": f"{rng.uniform(5, 60):.1f}", "cu": f"{rng.uniform(0.4, 5.9):.1f}",
        "fe": str(round(rng.uniform(21, 190))), "b": f"{rng.uniform(0.2, 1.4):.2f}",
        "no3n": f"{rng.uniform(3, 40):.1f}", "ec": f"{rng.uniform(0.11, 0.78):.2f}",
        "sand": str(sand), "clay": str(clay), "silt": str(100 - sand - clay),
    }  # fmt: skip


@dataclass(frozen=True)
class Bag:
    """One sample: its printed name and values, and what the report says of it."""

    name: str
    values: Mapping[str, str]
    sampled_on: str = ""
    basis: str = ""
    depth: tuple[str, str] = ("", "")
    lab: str = ""
    report: str = ""
    items: Mapping[str, Item] = field(default_factory=lambda: ITEMS)

    def has(self, **changes: object) -> "Bag":
        """Return the bag with other particulars."""
        return replace(self, **changes)  # type: ignore[arg-type]

    def rows(self, keys: Iterable[str]) -> list[Row]:
        """Return the table rows of the results that the report prints of it."""
        return [self.row(key) for key in keys]

    def row(self, key: str) -> Row:
        """Return the row of one printed result; ``<`` and a decimal comma are understood."""
        item, printed = self.items[key], self.values[key]
        qualifier = printed[0] if printed[0] in "<>" else ""
        value = printed.lstrip("<> ").replace(",", ".")
        return dict(
            zip(
                COLUMNS,
                (
                    self.name, self.sampled_on, self.basis, item.analyte, item.form, value, qualifier, item.unit,
                    item.method, *self.depth, self.lab, self.report,
                ),
                strict=True,
            )
        )  # fmt: skip


def bags(names: Sequence[str], salt: str, **same: object) -> list[Bag]:
    """Return one bag for each name, all of one report."""
    return [Bag(name, soil(f"{salt}/{name}")).has(**same) for name in names]


def items(**changes: Item) -> dict[str, Item]:
    """Return the usual items with some of them printed otherwise."""
    return {**ITEMS, **changes}


def by_method(**methods: str) -> dict[str, Item]:
    """Return the usual items with the methods that a report states."""
    return items(**{key: replace(ITEMS[key], method=method) for key, method in methods.items()})


def comma(values: Mapping[str, str]) -> dict[str, str]:
    """Return values printed with a decimal comma."""
    return {key: text.replace(".", ",") for key, text in values.items()}


Made = tuple[bytes, list[Row]]
Maker = Callable[[], Made]
MAKERS: dict[str, Maker] = {}


def report(path: str) -> Callable[[Maker], Maker]:
    """Register the maker of ``fixtures/<path>``: it returns the file's bytes and its table."""

    def register(maker: Maker) -> Maker:
        if path in MAKERS:
            raise ValueError(f"two makers for {path}")
        MAKERS[path] = maker
        return maker

    return register


def table(rows: Sequence[Row]) -> str:
    """Return the expected table as CSV."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()

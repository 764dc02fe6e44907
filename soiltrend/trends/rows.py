"""The long table as arrays: the rows that can enter a fit, with codes instead of names."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from soiltrend.noise import Noise, setting

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

DAYS_PER_YEAR = 365.25
KEPT_OUT = re.compile(r"(^|;)\s*(duplicate-of|not-in-fits|impossible-value)")
NUMBER = re.compile(r"\d(?:[\d.,'’\s]*\d)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Rows of the long table that can enter a fit; one entry per row in every array.

    ``index`` is the row's number in the long table, ``day`` counts from 1970-01-01, ``side`` is -1 for a
    result below ``value``, +1 above it, ``step`` the smallest step the printed number could take, in the
    unit, NaN where unknown. ``lab``, ``method`` and ``layer`` are codes into the name lists (-1 = not said).
    """

    index: Ints
    day: Ints
    value: Floats
    side: Ints
    step: Floats
    group: Ints
    lab: Ints
    method: Ints
    layer: Ints
    lab_names: list[str]
    method_names: list[str]
    layer_names: list[str]
    groups: list[tuple[str, str, str]]
    source: list[str]
    place: list[str]


def usable_rows(observations: "pd.DataFrame", noise: Noise) -> Rows:
    """Take what can enter a fit out of the long table.

    Kept out are rows without date or value, duplicates, impossible values, rows marked ``not-in-fits``, and
    negative values of what is fitted on the log scale.
    """
    import pandas as pd

    days, dated = _days(observations["sampled_on"])
    value = pd.to_numeric(observations["value"], errors="coerce").to_numpy(dtype=float, na_value=np.nan)
    notes, of_note = _coded(observations, "notes")
    out = np.array([bool(KEPT_OUT.search(text)) for text in notes], dtype=bool)
    keep = np.flatnonzero(np.isfinite(value) & dated & ~out[of_note] & ~_negative(observations, value, noise))
    rows = observations.iloc[keep]
    lab_names, lab = _labs(rows)
    method_names, method = _named(rows, "method")
    layer_names, layer = _layers(rows)
    groups, group = _groups(rows)
    qualifiers, of_qualifier = _coded(rows, "qualifier")
    sides = np.array([{"<": -1, ">": 1}.get(text.strip(), 0) for text in qualifiers], dtype=np.intp)
    return Rows(
        index=keep,
        day=days[keep],
        value=value[keep],
        side=sides[of_qualifier] if keep.size else np.zeros(0, dtype=np.intp),
        step=_steps(rows, value[keep]),
        group=group,
        lab=lab,
        method=method,
        layer=layer,
        lab_names=lab_names,
        method_names=method_names,
        layer_names=layer_names,
        groups=groups,
        source=_texts(rows, "source"),
        place=_texts(rows, "place"),
    )


def _negative(observations: "pd.DataFrame", value: Floats, noise: Noise) -> NDArray[np.bool_]:
    analytes, analyte = _coded(observations, "analyte")
    units, unit = _coded(observations, "unit")
    log = np.array([[noise.of(a, u).scale == "log" for u in units] for a in analytes], dtype=bool)
    return np.asarray((value < 0) & log[analyte, unit])


def _days(column: "pd.Series[Any]") -> tuple[Ints, NDArray[np.bool_]]:
    import pandas as pd

    dates = pd.to_datetime(column, errors="coerce").to_numpy(dtype="datetime64[D]")
    dated = ~np.isnat(dates)
    return np.where(dated, dates.astype(np.int64), 0).astype(np.intp), dated


def _texts(frame: "pd.DataFrame", name: str) -> list[str]:
    if name not in frame:
        return [""] * len(frame)
    column = frame[name]
    return [str(text) for text in column.where(column.notna(), "").tolist()]


def _coded(frame: "pd.DataFrame", name: str) -> tuple[list[str], Ints]:
    """Return the different texts of a column and a code per row; missing values are empty texts."""
    import pandas as pd

    if name not in frame or not len(frame):
        return [""], np.zeros(len(frame), dtype=np.intp)
    codes, names = pd.factorize(frame[name], use_na_sentinel=True)
    texts = [str(text) for text in names]
    if (codes < 0).any():
        codes = np.where(codes < 0, len(texts), codes)
        texts.append("")
    return texts, np.asarray(codes, dtype=np.intp)


def _named(frame: "pd.DataFrame", name: str) -> tuple[list[str], Ints]:
    """Like :func:`_coded`, with -1 where nothing is said."""
    texts, codes = _coded(frame, name)
    known = [text.strip() for text in texts]
    names = list(dict.fromkeys(text for text in known if text))
    code_of = np.array([names.index(text) if text else -1 for text in known], dtype=np.intp)
    return names, code_of[codes]


def _labs(frame: "pd.DataFrame") -> tuple[list[str], Ints]:
    """Return laboratories; case, spaces and punctuation of the printed name do not tell two apart."""
    texts, codes = _coded(frame, "lab")
    keys = ["".join(filter(str.isalnum, text.casefold())) for text in texts]
    different = list(dict.fromkeys(keys))
    names = [texts[keys.index(key)].strip() for key in different]
    return names, np.array([different.index(key) for key in keys], dtype=np.intp)[codes]


def _layers(frame: "pd.DataFrame") -> tuple[list[str], Ints]:
    """Return sampled layers; depths that differ only by inches rounded to centimetres are the same."""
    upper, lower = _depth(frame, "depth_from_cm"), _depth(frame, "depth_to_cm")
    upper = np.where(np.isnan(upper) & ~np.isnan(lower), 0.0, upper)
    tops, bottoms = _clustered(upper), _clustered(lower)
    known = ~np.isnan(bottoms)
    pairs = np.stack([np.where(known, tops, 0.0), np.where(known, bottoms, 0.0)], axis=1)[known]
    different, codes = np.unique(pairs, axis=0, return_inverse=True)
    layer = np.full(len(frame), -1, dtype=np.intp)
    layer[known] = codes.reshape(-1)
    return [f"{top:.3g}-{bottom:.3g} cm" for top, bottom in different], layer


def _depth(frame: "pd.DataFrame", name: str) -> Floats:
    import pandas as pd

    if name not in frame:
        return np.full(len(frame), np.nan)
    return pd.to_numeric(frame[name], errors="coerce").to_numpy(dtype=float, na_value=np.nan)


def _clustered(depths: Floats) -> Floats:
    """Replace each depth by the smallest one it cannot be told apart from."""
    near = 1 + setting("segments", "same_layer_within")
    out = depths.copy()
    start = np.nan
    for depth in np.unique(depths[~np.isnan(depths)]):
        if not depth <= start * near:
            start = depth
        out[depths == depth] = start
    return out


def _groups(frame: "pd.DataFrame") -> tuple[list[tuple[str, str, str]], Ints]:
    """Return (bed, analyte, unit) and a code per row."""
    beds, bed = _coded(frame, "bed")
    analytes, analyte = _coded(frame, "analyte")
    units, unit = _coded(frame, "unit")
    joint = (bed * len(analytes) + analyte) * len(units) + unit
    different, codes = np.unique(joint, return_inverse=True)
    names = [
        (
            beds[code // (len(units) * len(analytes))],
            analytes[code // len(units) % len(analytes)],
            units[code % len(units)],
        )
        for code in different.tolist()
    ]
    return names, codes.reshape(-1).astype(np.intp)


def _steps(frame: "pd.DataFrame", value: Floats) -> Floats:
    """Return the step of the last printed digit, in the unit of the value.

    The digits of '6.4' make 64, so its step is 1/64 of the value: this holds for any decimal mark and after
    any conversion by a factor. A printed zero has the step of its decimals, in the unit as printed.
    """
    if "value_printed" not in frame:
        return np.full(len(frame), np.nan)
    texts, codes = _coded(frame, "value_printed")
    parts = np.array([_digits(text) for text in texts], dtype=float).reshape(-1, 2)[codes]
    with np.errstate(divide="ignore", invalid="ignore"):
        step = np.abs(value) / parts[:, 0]
    return np.asarray(np.where(parts[:, 0] > 0, step, parts[:, 1]), dtype=float)


def _digits(printed: str) -> tuple[float, float]:
    """Return the digits of a printed number as a whole number, and the size of its last place."""
    found = NUMBER.search(printed)
    if found is None:
        return float("nan"), float("nan")
    text = re.sub(r"['’\s]", "", found.group())
    decimals = len(text) - 1 - max(text.rfind("."), text.rfind(","))
    has_mark = "." in text or "," in text
    return float(re.sub(r"[.,]", "", text)), 10.0 ** -(decimals if has_mark else 0)

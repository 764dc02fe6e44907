"""What changed about the testing rather than about the soil: method, laboratory, depth, season."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, cast

import pandas as pd

from soiltrend import noise
from soiltrend.checks.budget import setting
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Finding
from soiltrend.checks.records import apart
from soiltrend.checks.wording import MONTHS, analyte_name, day, figure, listed, method_name, sentence
from soiltrend.data import load_toml

SHOWN = 6


def method_changed(evidence: Evidence) -> Iterable[Finding]:
    """Find analytes tested by another method than in the bed's report before."""
    pairs = _pairs(evidence, "method")
    changed = pairs[(pairs["before"] != "") & (pairs["after"] != "") & (pairs["before"] != pairs["after"])]
    yield from _once(
        (
            (before, after),
            _finding(
                "method-changed", rows, f"now {method_name(after)}, before {method_name(before)}", evidence
            ),
        )
        for (before, after), rows in _groups(changed)
    )


def lab_changed(evidence: Evidence) -> Iterable[Finding]:
    """Find beds whose samples went to another laboratory than before."""
    pairs = _pairs(evidence, "lab")
    changed = pairs[(pairs["before"] != "") & (pairs["after"] != "") & (pairs["before"] != pairs["after"])]
    extra = {"differ_up_to_pct": setting("laboratory", "log") * 100}
    yield from _once(
        (key, _finding("lab-changed", rows, f"now from {key[1]}, before from {key[0]}", evidence, extra))
        for key, rows in _groups(changed)
    )


def depth_changed(evidence: Evidence) -> Iterable[Finding]:
    """Find beds sampled to another depth than before."""
    pairs = _pairs(evidence, "depth_to_cm")
    before, after = pairs["before"].astype(float), pairs["after"].astype(float)
    slack = noise.setting("segments", "same_layer_within")
    changed = pairs[(after - before).abs() > slack * before.clip(lower=1.0)]
    yield from _once((key, _depth_finding(key, rows, evidence)) for key, rows in _groups(changed))


def season_changed(evidence: Evidence) -> Iterable[Finding]:
    """Find beds sampled in another part of the year than before."""
    pairs = _pairs(evidence, "month")
    gaps = [apart(int(a), int(b)) for a, b in zip(pairs["before"], pairs["after"], strict=True)]
    changed = pairs[pd.Series(gaps, index=pairs.index, dtype=float) > setting("season", "months")]
    yield from _once((key, _season_finding(key, rows, evidence)) for key, rows in _groups(changed))


def _depth_finding(key: tuple[Any, Any], rows: pd.DataFrame, evidence: Evidence) -> Finding:
    old, new = (float(value) for value in key)
    what = f"cores now to {figure(new)} cm, before to {figure(old)} cm"
    return _finding("depth-changed", rows, what, evidence, {"before_cm": old, "after_cm": new})


def _season_finding(key: tuple[Any, Any], rows: pd.DataFrame, evidence: Evidence) -> Finding:
    old, new = (int(value) for value in key)
    what = f"sampled in {MONTHS[new - 1]}, before in {MONTHS[old - 1]}"
    return _finding("season-changed", rows, what, evidence, {"before_month": old, "after_month": new})


def _pairs(evidence: Evidence, column: str) -> pd.DataFrame:
    """Return each row with what its bed's report before said in ``column``.

    Analytes by several methods in one report, or by several laboratories on one day, are compared with
    nothing.
    """
    frame = evidence.usable[["bed", "analyte", "round", "day", "row"]].copy()
    table = evidence.table.loc[frame["row"]]
    frame["after"] = frame["day"].dt.month if column == "month" else table[column].to_numpy()
    if column == "depth_to_cm":
        frame = frame[frame["after"].notna() & ~table["notes"].str.contains("depth-assumed").to_numpy()]
    elif column != "month":
        frame["after"] = frame["after"].fillna("")
    one = ["bed", "analyte", "round"]
    several = frame.groupby(one)["after"].transform("nunique") > 1
    several |= frame.groupby(["bed", "analyte", "day"])["after"].transform("nunique") > 1
    frame = frame[~several].drop_duplicates(one)  # two results alike in this are one
    frame = frame.sort_values(["bed", "analyte", "day"], kind="stable")
    frame["before"] = frame.groupby(["bed", "analyte"], sort=False)["after"].shift()
    return frame[frame["before"].notna()]


def _groups(changed: pd.DataFrame) -> Iterator[tuple[tuple[Any, Any], pd.DataFrame]]:
    """Yield what was before and after, with the rows of one round where that changed."""
    for key, rows in changed.groupby(["round", "before", "after"], sort=True):
        _, before, after = cast(tuple[Any, Any, Any], key)
        yield (before, after), rows


def _finding(
    code: str, rows: pd.DataFrame, what: str, evidence: Evidence, extra: Mapping[str, float] | None = None
) -> Finding:
    beds, analytes = list(rows["bed"].unique()), sorted(rows["analyte"].unique())
    date = evidence.round_days[int(rows["round"].iloc[0])]
    help_text = load_toml("check_help")[code]
    names = listed((analyte_name(a) for a in analytes), SHOWN)
    whose = beds[0] if len(beds) == 1 else f"{len(beds)} beds"
    return Finding(
        code=code,
        severity="note",
        bed=beds[0] if len(beds) == 1 else None,
        analyte=analytes[0] if len(analytes) == 1 else None,
        observations=evidence.places_of(rows["row"].tolist()),
        text=f"{sentence(names)} of {whose}: {what}, in the report of {day(date)}. {help_text['means']}",
        numbers={"date": date.date().isoformat(), "beds": beds, "analytes": analytes, **(extra or {})},
        next_step=help_text["do"],
        would_change=help_text["would_change"],
    )


def _once(found: Iterable[tuple[tuple[Any, Any], Finding]]) -> Iterator[Finding]:
    """Yield the findings without those that only undo the one before: the odd report is named once."""
    last: dict[tuple[Any, ...], tuple[Any, Any]] = {}
    for (before, after), one in found:
        whose = (tuple(one.numbers["beds"]), tuple(one.numbers["analytes"]))
        if last.get(whose) == (after, before):
            del last[whose]
            continue
        last[whose] = (before, after)
        yield one


def too_few_years(evidence: Evidence) -> Iterable[Finding]:
    """Beds and analytes with too few comparable reports to speak of a trend."""
    few = pd.DataFrame(
        [(t.n, t.bed, t.analyte, t.points) for t in evidence.trends if t.verdict == "too-few" or t.n <= 3],
        columns=["n", "bed", "analyte", "points"],
    )
    if few.empty:
        return
    few["beds"] = few.groupby(["n", "analyte"])["bed"].transform(lambda beds: "\n".join(sorted(set(beds))))
    for key, rows in few.groupby(["n", "beds"], sort=True):
        count, beds = cast(tuple[Any, str], key)
        yield _few_finding(int(count), beds.split("\n"), rows, evidence)


def _few_finding(count: int, beds: list[str], rows: pd.DataFrame, evidence: Evidence) -> Finding:
    analytes = sorted(rows["analyte"].unique())
    names = listed((analyte_name(a) for a in analytes), SHOWN)
    help_text = load_toml("check_help")["too-few-years"]
    whose = beds[0] if len(beds) == 1 else listed(beds, SHOWN)
    reports = {0: "no report", 1: "one report"}.get(count, f"{count} reports")
    can = {0: "nothing can be said", 1: "that shows a level, not a change"}.get(
        count, "that shows a difference at most, not a trend"
    )
    return Finding(
        code="too-few-years",
        severity="note",
        bed=beds[0] if len(beds) == 1 else None,
        analyte=analytes[0] if len(analytes) == 1 else None,
        observations=evidence.places_of([p.row for points in rows["points"] for p in points]),
        text=f"{whose}: {names} {_have(analytes)} {reports}; {can}.",
        numbers={"reports": count, "beds": beds, "analytes": analytes},
        next_step=help_text["do"],
        would_change=help_text["would_change"],
    )


def _have(analytes: list[str]) -> str:
    return "has" if len(analytes) == 1 else "have"

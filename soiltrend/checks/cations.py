"""A report that contradicts itself: saturations, cations and exchange capacity of one sample."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from soiltrend.checks.budget import setting
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding
from soiltrend.checks.panels import rounding_step
from soiltrend.checks.wording import analyte_name, figure, sentence
from soiltrend.checks.wording import printed as printed_number
from soiltrend.data import load_toml
from soiltrend.units import confusions, equivalent_weight

SATURATIONS = {
    "base_saturation_ca": "calcium",
    "base_saturation_mg": "magnesium",
    "base_saturation_k": "potassium",
    "base_saturation_na": "sodium",
}
HYDROGEN = "base_saturation_h"
BASES = tuple(SATURATIONS.values())
MANY = 3
SAMPLE = ["bed", "sample", "sampled_on", "source", "report"]


@dataclass(frozen=True)
class Sample:
    """One sample's values by analyte, the rows they stand in, and the size of their last decimal."""

    bed: str
    value: dict[str, float]
    row: dict[str, int]
    step: dict[str, float]
    method: dict[str, str]

    def has(self, *analytes: str) -> bool:
        """Whether all of these were measured."""
        return all(a in self.value for a in analytes)


def cations_do_not_add_up(evidence: Evidence) -> Iterable[Finding]:
    """Saturations that do not make 100, cations that do not make their saturation or the capacity."""
    groups: dict[tuple[object, ...], list[Finding]] = defaultdict(list)
    for sample in _samples(evidence):
        found = [*_total(sample, evidence), *_each(sample, evidence)]
        for one in found or _capacity(sample, evidence):
            report = one.observations[0].partition(": ")[0]
            groups[report, one.severity, one.analyte, tuple(one.numbers)].append(one)
    for alike in groups.values():
        yield from alike if len(alike) < MANY else [_together(alike)]


def _together(alike: list[Finding]) -> Finding:
    """Return one finding for a report that contradicts itself in the same way in many samples."""
    first = alike[0]
    others = (
        f" The same holds for {len(alike) - 1} more samples of {first.observations[0].partition(': ')[0]}."
    )
    return replace(
        first,
        bed=None,
        text=first.text + others,
        observations=tuple(place for one in alike for place in one.observations),
        numbers={"samples": len(alike), "by_bed": {one.bed: one.numbers for one in alike}},
        arithmetic=tuple(f"{one.bed}: {line}" for one in alike[:MANY] for line in one.arithmetic),
    )


def _samples(evidence: Evidence) -> Iterator[Sample]:
    table = evidence.measured
    wanted = table[table["analyte"].isin([*SATURATIONS, HYDROGEN, *BASES, "cec"]) & table["qualifier"].eq("")]
    wanted = wanted[wanted["unit"] != "mg/dm3"]
    steps = {str(a): rounding_step(group) for a, group in wanted.groupby("analyte")["value_printed"]}
    for key, group in wanted.groupby(SAMPLE, dropna=False, sort=False):
        if group["analyte"].is_unique:
            names = group["analyte"].tolist()
            yield Sample(
                str(key[0]),
                dict(zip(names, group["value"].astype(float), strict=True)),
                dict(zip(names, (int(i) for i in group.index), strict=True)),
                steps,
                dict(zip(names, group["method"].fillna("").astype(str), strict=True)),
            )


def _total(sample: Sample, evidence: Evidence) -> Iterator[Finding]:
    """Saturations of bases and acid make 100; of bases alone not more."""
    parts = [a for a in [*SATURATIONS, HYDROGEN] if a in sample.value]
    if not sample.has("base_saturation_ca", "base_saturation_mg", "base_saturation_k"):
        return
    total = sum(sample.value[a] for a in parts)
    slack = load_toml("check_limits")["sums"]["saturation"] + sum(sample.step[a] for a in parts) / 2
    complete = HYDROGEN in parts
    if total - 100 > slack or (complete and 100 - total > slack):
        sums = " + ".join(figure(sample.value[a]) for a in parts)
        should = "100 %" if complete else "at most 100 %"
        text = f"{sample.bed}: the saturations make {figure(total)} % of the exchange capacity, not {should}."
        yield _finding(
            sample, parts, text, (f"{sums} = {figure(total)}",), evidence, numbers={"total": total}
        )


def _each(sample: Sample, evidence: Evidence) -> Iterator[Finding]:
    """Hold each cation, by its equivalent weight and the capacity, against its saturation."""
    sums = load_toml("check_limits")["sums"]
    for saturation, cation in SATURATIONS.items():
        if not sample.has(saturation, cation, "cec") or sample.value["cec"] <= 0:
            continue
        printed, mass, cec = (sample.value[a] for a in (saturation, cation, "cec"))
        weight = equivalent_weight(cation)
        expected = 100 * mass / weight / cec
        rounding = (sample.step[cation] / max(mass, 1e-9) + sample.step["cec"] / cec) / 2
        charge = abs(weight / sums["rounded_charge"][cation] - 1)
        relative = sums["saturation_tolerance_pct"] / 100 + rounding + charge
        if abs(expected - printed) > relative * max(expected, printed) + sample.step[saturation] / 2:
            yield _saturation_finding(sample, (saturation, cation), expected, evidence)


def _saturation_finding(
    sample: Sample, pair: tuple[str, str], expected: float, evidence: Evidence
) -> Finding:
    saturation, cation = pair
    printed, mass, cec = (sample.value[a] for a in (saturation, cation, "cec"))
    weight = equivalent_weight(cation)
    charge = printed_number(mass, 4) / printed_number(weight, 4)
    shown = 100 * printed_number(charge, 4) / printed_number(cec)
    text = (
        f"{sample.bed}: {analyte_name(cation)} {figure(mass)} mg/kg would be {figure(shown)} % of an "
        f"exchange capacity of {figure(cec)} meq/100 g, but the report says {figure(printed)} %."
    )
    lines = (
        f"{figure(mass, 4)} ÷ {figure(weight, 4)} = {figure(charge, 4)} meq/100 g",
        f"{figure(charge, 4)} ÷ {figure(cec)} × 100 = {figure(shown)} %, printed {figure(printed)} %",
    )
    numbers = {"expected": expected, "printed": printed, "cation": mass, "cec": cec}
    ratio = expected / printed if printed > 0 else float("nan")
    return _finding(
        sample,
        [saturation, cation, "cec"],
        text,
        lines,
        evidence,
        numbers=numbers,
        causes=_mending(cation, ratio),
    )


def _mending(cation: str, ratio: float) -> tuple[Cause, ...]:
    """Return the unit mix-ups of the cation that fit the ratio, the nearest heaviest."""
    within, sd = setting("mending", "within"), setting("mending", "sd")
    near = [c for c in confusions(cation) if ratio > 0 and abs(np.log(ratio / c.factor)) < within]
    closeness = np.array([np.exp(-((np.log(ratio / c.factor) / sd) ** 2) / 2) for c in near])
    return tuple(
        Cause(f"unit-{c.code}", f"{sentence(c.text)}: that makes × {figure(c.factor)}.", round(float(w), 3))
        for c, w in sorted(
            zip(near, closeness / max(closeness.sum(), 1e-12), strict=True), key=lambda p: -p[1]
        )
    )


def _capacity(sample: Sample, evidence: Evidence) -> Iterator[Finding]:
    """Bases alone cannot be more than the capacity that is their sum with the acidity."""
    if not sample.has("cec", "calcium", "magnesium", "potassium"):
        return
    tolerance = load_toml("check_limits")["sums"]["capacity_tolerance_pct"] / 100
    bases = [b for b in BASES if b in sample.value and (b != "sodium")]
    total, cec = sum(sample.value[b] / equivalent_weight(b) for b in bases), sample.value["cec"]
    if total <= cec * (1 + tolerance) + sample.step["cec"] / 2:
        return
    charges = [printed_number(sample.value[b], 4) / printed_number(equivalent_weight(b), 4) for b in bases]
    shown = sum(printed_number(charge, 4) for charge in charges)
    summed = sample.method["cec"] == "summation"
    why = "though it is said to be their sum" if summed else "as free lime or salts in the extract make it"
    text = (
        f"{sample.bed}: calcium, magnesium and potassium make {figure(shown)} meq/100 g, more than the "
        f"exchange capacity of {figure(cec)} meq/100 g, {why}."
    )
    each = [
        f"{analyte_name(b)}: {figure(sample.value[b], 4)} ÷ {figure(equivalent_weight(b), 4)} = "
        f"{figure(c, 4)}"
        for b, c in zip(bases, charges, strict=True)
    ]
    lines = (*each, f"{' + '.join(figure(c, 4) for c in charges)} = {figure(shown)}, printed {figure(cec)}")
    numbers = {"sum": total, "cec": cec}
    severity = "doubtful" if summed else "note"
    yield _finding(sample, [*bases, "cec"], text, lines, evidence, numbers=numbers, severity=severity)


def _finding(
    sample: Sample,
    analytes: list[str],
    text: str,
    lines: tuple[str, ...],
    evidence: Evidence,
    *,
    numbers: dict[str, Any],
    causes: tuple[Cause, ...] = (),
    severity: str = "doubtful",
) -> Finding:
    help_text = load_toml("check_help")["cations-do-not-add-up"]
    return Finding(
        code="cations-do-not-add-up",
        severity=severity,  # type: ignore[arg-type]
        bed=sample.bed,
        analyte=analytes[1] if len(analytes) == 3 else None,
        observations=evidence.places_of([sample.row[a] for a in analytes]),
        text=text,
        numbers={name: round(value, 4) for name, value in numbers.items()},
        causes=causes,
        next_step=help_text["do"],
        arithmetic=lines,
        would_change=help_text["would_change"],
    )

"""Treatments against unamended beds: one row for each treatment and analyte, still without its verdict."""

from dataclasses import replace

import numpy as np

from soiltrend.comparison import wording
from soiltrend.comparison.cautions import cautions
from soiltrend.comparison.chosen import Selection, selection_of
from soiltrend.comparison.contrast import Contrast, ReportNoise, contrast
from soiltrend.comparison.groups import Pair, blocks, drawn_by_lot
from soiltrend.comparison.model import BedSlope, Comparison
from soiltrend.comparison.samples import Samples
from soiltrend.comparison.scale import Reader
from soiltrend.records.models import Garden


def compare_pair(
    samples: Samples, pair: Pair, garden: Garden, noise: ReportNoise, level: float
) -> tuple[Comparison, Contrast | None]:
    """Compare one group with its reference in one analyte: the row, and the contrast it rests on.

    Beds chosen because they were poor are judged on the reports after the one they were chosen by; where
    those do not carry a difference, all reports are used and the verdict is capped.
    """
    row = _blank(samples, pair, level)
    if not row.beds or not row.reference_beds:
        return replace(row, sentence=wording.nothing_to_compare(row)), None
    chosen = selection_of(samples, row.beds, row.reference_beds, garden, noise)
    late = _contrast(chosen.after, row, pair, garden, noise) if chosen and len(chosen.after) else None
    found = late or _contrast(samples, row, pair, garden, noise)
    if found is None:
        return replace(row, sentence=wording.too_few_reports(row)), None
    filled = _filled(row, found, level)
    filled = replace(filled, expected_fake_rise=_fake_rise(chosen, Reader.of(found.used)))
    doubts = _chosen_caution(chosen, late is None, filled, garden.units) if chosen else ()
    row = replace(
        filled,
        capped=chosen is not None and late is None,
        cautions=doubts + cautions(filled, found, garden, pair),
    )
    return row, found


def _blank(samples: Samples, pair: Pair, level: float) -> Comparison:
    have = set(samples.beds)
    return Comparison(
        analyte=samples.analyte,
        unit=samples.unit,
        group=pair.group,
        reference=pair.reference,
        beds=tuple(name for name in pair.beds if name in have),
        reference_beds=tuple(name for name in pair.reference_beds if name in have),
        ci_level=level,
        method=samples.method,
    )


def _contrast(
    samples: Samples, row: Comparison, pair: Pair, garden: Garden, noise: ReportNoise
) -> Contrast | None:
    by_lot = drawn_by_lot(garden, pair)
    return contrast(samples, row.beds, row.reference_beds, noise, by_lot=by_lot, blocks=blocks(garden))


def _filled(row: Comparison, found: Contrast, level: float) -> Comparison:
    """Fill in the numbers, turned from the fitting scale into the analyte's unit."""
    reader, lot, estimate = Reader.of(found.used), found.permutation, found.difference.estimate
    low, high = found.interval(level)
    sides = list(zip(found.used.beds, found.treated, strict=True))
    return replace(
        row,
        beds=tuple(name for name, treated in sides if treated),
        reference_beds=tuple(name for name, treated in sides if not treated),
        difference_per_year=reader.unit(estimate),
        ci_low=reader.unit(low),
        ci_high=reader.unit(high),
        p_value=found.p_value,
        estimator=found.estimator,
        percent_per_year=reader.share(estimate),
        percent_low=reader.share(low),
        percent_high=reader.share(high),
        no_larger_than=reader.unit(found.no_larger_than),
        permutation_p=lot.p_value if lot else None,
        smallest_possible_p=lot.smallest if lot else None,
        years_shared=found.shared,
        visits=len(np.unique(found.used.visit)),
        first_on=min(found.used.days),
        last_on=max(found.used.days),
        slopes=_bed_slopes(row, found, reader),
    )


def _bed_slopes(row: Comparison, found: Contrast, reader: Reader) -> tuple[BedSlope, ...]:
    return tuple(
        BedSlope(
            bed=name,
            group=row.group if treated else row.reference,
            change_per_year=reader.unit(float(slope)),
            reports=int(np.count_nonzero(found.used.bed == number)),
        )
        for number, (name, treated, slope) in enumerate(
            zip(found.used.beds, found.treated, found.slopes, strict=True)
        )
    )


def _fake_rise(chosen: Selection | None, reader: Reader) -> float | None:
    return reader.unit(chosen.fake_rise) if chosen and chosen.fake_rise is not None else None


def _chosen_caution(chosen: Selection, capped: bool, row: Comparison, system: str) -> tuple[str, ...]:
    selection = (chosen.beds, chosen.day, row.expected_fake_rise)
    return (wording.chosen_because_low(row, selection, system, capped=capped),)

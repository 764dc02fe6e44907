"""Beds side by side: one dot with its interval for each bed, test by test, on a common scale."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from soiltrend.report.beds import Names, name_of
from soiltrend.report.doubts import Doubts
from soiltrend.report.model import Json, Link, ReportInput, SideRow, SideView, Tick
from soiltrend.report.multiples import ticks
from soiltrend.report.numbers import NBSP, estimate, with_unit
from soiltrend.report.series import VERBS, Scale, kind_of
from soiltrend.report.words import analyte_name, counted, listed
from soiltrend.trends import Trend

# The scale ends at this many times the median interval or the largest estimate; intervals may reach beyond.
ROOM = 2.2
DIFFERENCE = "difference"
GARDEN = "garden"
DIFFERS = ("group-rose-more", "group-rose-less")


@dataclass(frozen=True, slots=True)
class _Item:
    link: Link
    group: str
    kind: str
    doubtful: bool
    mid: float
    low: float
    high: float


def side_views(
    given: ReportInput, names: Names, tests: Sequence[str], doubts: Doubts
) -> tuple[SideView, ...]:
    """Return one view for each test in which at least two beds, or a bed and the garden, have a change."""
    amended = {bed.bed: bed.amended for bed in given.garden.beds}
    views = []
    for test in tests:
        trends = [trend for trend in given.trends if trend.analyte == test and _has_slope(trend)]
        if not trends:
            continue
        scale = Scale.of(trends[0].unit, given.garden.units)
        items = [_of_trend(trend, scale, names, doubts, amended.get(trend.bed)) for trend in trends]
        items.sort(key=lambda item: item.group != "amended")
        items += [
            _of_garden(trend, scale)
            for trend in given.garden_trends
            if trend.analyte == test and _has_slope(trend)
        ]
        compared = [item for item in given.comparisons if item.get("analyte") == test and _told(item)]
        items += [_of_comparison(item, scale, doubts) for item in compared if _between_groups(item)]
        views.append(_view(test, scale, items, compared))
    return tuple(views)


def between(item: Json) -> bool:
    """Whether a comparison is between treatments, not of one bed with the others."""
    return bool(item.get("kind", "treatment") == "treatment")


def _between_groups(item: Json) -> bool:
    return between(item) and item.get("ci_low") is not None


def _told(item: Json) -> bool:
    """Whether a comparison is worth a sentence: every treatment, and a bed only where it stands out."""
    return between(item) or item.get("verdict") in DIFFERS


def _has_slope(trend: Trend) -> bool:
    numbers = (trend.slope_per_year, trend.ci_low, trend.ci_high)
    return None not in numbers and kind_of(trend) != "few"


def _of_trend(trend: Trend, scale: Scale, names: Names, doubts: Doubts, amended: bool | None) -> _Item:
    group = "" if amended is None else "amended" if amended else "unamended"
    link = Link(name_of(trend.bed), f"#{names.figure(trend)}")
    return _item(link, group, kind_of(trend), bool(doubts.of_trend(trend)), _numbers(trend, scale))


def _of_garden(trend: Trend, scale: Scale) -> _Item:
    return _item(Link("Whole garden"), GARDEN, kind_of(trend), False, _numbers(trend, scale))


def _of_comparison(item: Json, scale: Scale, doubts: Doubts) -> _Item:
    numbers = tuple(float(item[key]) * scale.factor for key in ("difference_per_year", "ci_low", "ci_high"))
    link = Link(f"{item.get('group')} minus {item.get('reference')}")
    kinds = {"group-rose-more": "up", "group-rose-less": "down"}
    return _item(
        link, DIFFERENCE, kinds.get(str(item.get("verdict")), "flat"), doubts.of_comparison(item), numbers
    )


def _numbers(trend: Trend, scale: Scale) -> tuple[float, ...]:
    numbers = (trend.slope_per_year, trend.ci_low, trend.ci_high)
    return tuple((number or 0.0) * scale.factor for number in numbers)


def _item(link: Link, group: str, kind: str, doubtful: bool, numbers: tuple[float, ...]) -> _Item:
    mid, low, high = numbers
    return _Item(link, group, kind, doubtful, mid, low, high)


def _view(test: str, scale: Scale, items: Sequence[_Item], compared: Sequence[Json]) -> SideView:
    low, high = _limits(items)

    def at(value: float) -> float:
        return round(100 * (min(max(value, low), high) - low) / (high - low), 1)

    return SideView(
        id=side_href(test)[1:],
        analyte=test,
        name=analyte_name(test),
        unit=f"{scale.change} a year".strip(),
        zero=at(0.0),
        ticks=tuple(Tick(at(value), label) for value, label in ticks(low, high, 4)),
        rows=tuple(_row(item, at, low, high) for item in items),
        verdicts=tuple(verdict_text(item, scale) for item in compared),
        text=_text(items),
    )


def _limits(items: Sequence[_Item]) -> tuple[float, float]:
    """Return the ends of the scale: zero is inside, and one hopeless interval does not flatten the rest."""
    widths = sorted(item.high - item.low for item in items)
    reach = ROOM * max(widths[len(widths) // 2], max(abs(item.mid) for item in items) / 1.5)
    low = max(min(0.0, *(item.low for item in items)), -reach)
    high = min(max(0.0, *(item.high for item in items)), reach)
    pad = (high - low) * 0.04 or 1.0
    return low - pad, high + pad


def _row(item: _Item, at: Callable[[float], float], low: float, high: float) -> SideRow:
    rounded = estimate(item.mid, item.low, item.high, sign=True)
    return SideRow(
        bed=item.link,
        group=item.group,
        kind=item.kind,
        doubtful=item.doubtful,
        low=at(item.low),
        mid=at(item.mid),
        high=at(item.high),
        cut_low=item.low < low,
        cut_high=item.high > high,
        number=rounded.value,
        interval=rounded.interval,
    )


def _text(items: Sequence[_Item]) -> str:
    beds = [item for item in items if item.group not in (DIFFERENCE, GARDEN)]
    firm = [item.kind for item in beds if not item.doubtful]
    words = [f"{firm.count(kind)} {verb}" for kind, verb in VERBS.items() if kind in firm]
    doubtful = len(beds) - len(firm)
    words += [f"{doubtful} cannot be believed yet"] if doubtful else []
    if not words:
        return f"No change is shown in any of {counted(len(beds), 'bed')}."
    return f"Of {counted(len(beds), 'bed')}, {listed(words)}."


def side_notes(compared: Sequence[Json]) -> tuple[str, ...]:
    """Return every caution of the comparisons that are told, each once."""
    texts = [str(text) for item in compared if _told(item) for text in item.get("cautions") or ()]
    return tuple(dict.fromkeys(texts))


def side_href(test: str) -> str:
    """Return the link to a test's beds side by side."""
    return f"#side-{test.replace('_', '-')}"


def beds_called(group: object) -> str:
    """Return how the beds of a group are called: ``unamended beds``, ``beds with compost``."""
    return f"{group} beds" if group in ("amended", "unamended") else f"beds with {group}"


def difference(item: Json, scale: Scale) -> str:
    """Return the difference of two groups per year with its interval in brackets."""
    numbers = [float(item[key]) * scale.factor for key in ("difference_per_year", "ci_low", "ci_high")]
    rounded = estimate(*numbers, sign=True)
    return f"{with_unit(rounded.value, scale.change)} a{NBSP}year ({rounded.interval})"


def verdict_text(item: Json, scale: Scale) -> str:
    """Say one comparison of two groups of beds: in its own sentence, else in one made here."""
    if item.get("sentence"):
        return str(item["sentence"])
    group, reference = (beds_called(item.get(key)) for key in ("group", "reference"))
    sizes = f"{counted(len(item.get('beds') or ()), 'bed')} against {len(item.get('reference_beds') or ())}"
    verdict = str(item.get("verdict"))
    if verdict == "too-few" or item.get("ci_low") is None:
        return f"{group} against {reference} ({sizes}): too few beds or reports to compare."
    said = {
        "group-rose-more": f"{group} rose more than {reference}",
        "group-rose-less": f"{group} rose less than {reference}",
    }.get(verdict, f"no difference is shown between {group} and {reference}")
    text = f"{said} ({sizes}): {difference(item, scale)}."
    return text[:1].upper() + text[1:]

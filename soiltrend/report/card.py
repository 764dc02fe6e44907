"""One statement and its verdict as a picture to share: 1200 × 630, readable on a phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from soiltrend.data import load_toml
from soiltrend.report.environment import environment
from soiltrend.report.model import Chart
from soiltrend.report.multiples import Dot, TimeAxis, draw
from soiltrend.report.numbers import reading
from soiltrend.report.words import analyte_in_text, change_unit, unit_name
from soiltrend.trends import Point, Trend

PREFIX = "Say instead:"
LEADING = 1.26
BAR_LEFT, BAR_WIDTH = 780.0, 320.0
FINE_SIZE, FINE_BOTTOM, FINE_STEP = 21, 610.0, 26.0


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text at its height."""

    text: str
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The interval of a difference of two sides: where its ends, its middle and zero stand."""

    low: float
    middle: float
    high: float
    zero: float
    low_text: str
    high_text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What the picture shows; every text is wrapped already."""

    claim: tuple[Line, ...]
    claim_size: int
    verdict: str
    verdict_y: float
    reason: tuple[Line, ...]
    reason_size: int
    say: tuple[Line, ...]
    say_size: int
    fine_print: tuple[Line, ...]
    chart: Chart | None
    chart_title: str
    bar: Bar | None = None


def card_svg(record: Mapping[str, Any], trend: Trend | None, labs: Sequence[str] = ()) -> str:
    """Return the picture as SVG.

    Parameters
    ----------
    record : one object of the JSON of ``soiltrend claim``
    trend : the fit on which the verdict rests, None where the statement could not be tested
    labs : the laboratories whose reports it rests on
    """
    return environment("card").get_template("card.svg.j2").render(card=build_card(record, trend, labs))


def card_png(svg: str) -> bytes:
    """Return an SVG of the card as PNG, 1200 × 630."""
    import vl_convert

    return bytes(vl_convert.svg_to_png(svg, scale=1.0))


def build_card(record: Mapping[str, Any], trend: Trend | None, labs: Sequence[str] = ()) -> Card:
    """Lay the texts out: what does not fit at the large size is set smaller, and cut only at the last."""
    numbers = record.get("numbers") or {}
    bar = None if trend else _bar(numbers)
    width = 640 if trend or bar else 1080
    claim_size, claim = _claim(f"“{record['claim'].strip()}”", width)
    say_size, say = _in_room(f"{PREFIX} {_short(record['say_instead'])}", 1080, (33, 31, 28, 25), 95)
    verdict_y = 118 + len(claim) * claim_size * 1.22 + 34
    why_size, why = _in_room(_reason(record), width, (28, 26, 24), 396 - verdict_y - 40)
    return Card(
        claim=_placed(claim, 118, claim_size * 1.22),
        claim_size=claim_size,
        verdict=load_toml("card_words")["verdicts"][record["verdict"]],
        verdict_y=verdict_y,
        reason=_placed(why, verdict_y + 40, why_size * LEADING),
        reason_size=why_size,
        say=_placed(say, 462, say_size * LEADING),
        say_size=say_size,
        fine_print=_fine_print(numbers, trend, labs),
        chart=_chart(trend) if trend else None,
        chart_title=_chart_title(trend, numbers) if trend else "",
        bar=bar,
    )


def _bar(numbers: Mapping[str, Any]) -> Bar | None:
    """Lay out the interval of a difference of two sides between the edges of the chart's room."""
    if "difference_low" not in numbers:
        return None
    share = numbers["difference_as"] == "share"
    low, middle, high = (
        float(numbers[f"difference{end}"]) * (100 if share else 1) for end in ("_low", "", "_high")
    )
    unit = "%" if share else change_unit(numbers["unit_shown"], "metric")
    first, last = min(low, 0.0), max(high, 0.0)
    places = [BAR_LEFT + BAR_WIDTH * (v - first) / ((last - first) or 1.0) for v in (low, middle, high, 0.0)]
    texts = [
        f"{'+' if end > 0 else ''}{reading(end, (high - low) / 2)} {unit}".strip() for end in (low, high)
    ]
    return Bar(
        low=places[0],
        middle=places[1],
        high=places[2],
        zero=places[3],
        low_text=texts[0],
        high_text=texts[1],
    )


def _reason(record: Mapping[str, Any]) -> str:
    """Return the reason that decided: not the interval where something else lowered the verdict."""
    reasons = list(record["reasons"])
    words = load_toml("card_words")["reasons"]
    deciding = words["deciding"].get(record["verdict"], [])
    chosen = [reason for code in deciding for reason in reasons if reason["code"] == code]
    if record["verdict"] == "unproven" and reasons and reasons[0]["code"] not in words["granting"]:
        chosen = []
    return str((chosen or reasons)[0]["text"]) if reasons else ""


def _short(sentence: str) -> str:
    """Leave out how it was tested: that stands in the fine print."""
    start = sentence.find(" Tested ")
    end = sentence.find(". ", start + 1)
    if start < 0:
        return sentence
    return (sentence[:start] + (sentence[end + 1 :] if end > 0 else "")).strip()


def _placed(lines: Sequence[str], top: float, step: float) -> tuple[Line, ...]:
    return tuple(Line(text, round(top + number * step, 1)) for number, text in enumerate(lines))


def _fitted(text: str, *, width: float, sizes: Sequence[int], most: int) -> tuple[int, list[str]]:
    for size in sizes:
        lines = wrap(text, width / size)
        if len(lines) <= most:
            return size, lines
    kept = lines[:most]
    kept[-1] = kept[-1].rstrip(" .,;") + " …"
    return sizes[-1], kept


def _claim(text: str, width: float) -> tuple[int, list[str]]:
    """Return the claim in two lines, or in three small ones, so that the reason keeps its room."""
    for size in (44, 38, 33):
        lines = wrap(text, width / size)
        if len(lines) <= 2:
            return size, lines
    return _fitted(text, width=width, sizes=(31,), most=3)


def _in_room(text: str, width: float, sizes: Sequence[int], height: float) -> tuple[int, list[str]]:
    """Return the largest size at which the text fits, else the smallest and as many lines as fit."""
    most = [1 + max(0, int(height / (size * LEADING))) for size in sizes]
    for size, lines in zip(sizes, most, strict=True):
        found = wrap(text, width / size)
        if len(found) <= lines:
            return size, found
    return _fitted(text, width=width, sizes=sizes[-1:], most=most[-1])


def wrap(text: str, width: float) -> list[str]:
    """Break ``text`` into lines no wider than ``width``, in units of the type size."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer) <= width:
            lines[-1] = longer
        else:
            lines += _pieces(word, width)
    return lines or [""]


def _pieces(word: str, width: float) -> list[str]:
    """Cut a word that is wider than a whole line."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def text_width(text: str) -> float:
    """Return about how wide ``text`` is in units of its type size, a little more rather than less."""
    widths = load_toml("card_words")["widths"]
    narrow, wide = set(widths["narrow_letters"]), set(widths["wide_letters"])
    sizes = {"narrow": float(widths["narrow"]), "wide": float(widths["wide"])}
    usual = float(widths["usual"])
    return sum(
        sizes["narrow"] if c in narrow else sizes["wide"] if c in wide or not c.isascii() else usual
        for c in text
    )


def _fine_print(numbers: Mapping[str, Any], trend: Trend | None, labs: Sequence[str]) -> tuple[Line, ...]:
    """Say on what it rests, and below it at which laboratories; the last are counted where they run over."""
    if trend is None or trend.first_on is None or trend.last_on is None:
        return (Line(_of_sides(numbers) if numbers else "No reports that could test it.", FINE_BOTTOM),)
    method = str(load_toml("display")["methods"].get(trend.method, trend.method.replace("_", " ")))
    methods = " and ".join(numbers.get("methods") or [method])
    years = f"{trend.first_on.year}–{trend.last_on.year}"
    parts = [f"n = {trend.n} reports, {years}", methods, f"one report ± {trend.noise_text}"]
    told = [" · ".join(part for part in parts if part), _laboratories(list(numbers.get("labs") or labs))]
    texts = [text for text in told if text]
    top = FINE_BOTTOM - FINE_STEP * (len(texts) - 1)
    cut = [_fitted(text, width=1080, sizes=(FINE_SIZE,), most=1)[1][0] for text in texts]
    return _placed(cut, top, FINE_STEP)


def _laboratories(names: list[str]) -> str:
    for kept in range(len(names), 0, -1):
        more = len(names) - kept
        text = " · ".join(names[:kept]) + (f" and {more} more" if more else "")
        if text_width(text) * FINE_SIZE <= 1080:
            return text
    return f"{len(names)} laboratories" if names else ""


def _of_sides(numbers: Mapping[str, Any]) -> str:
    days = [str(numbers[key])[:4] for key in ("first_on", "last_on") if numbers.get(key)]
    beds = f"{len(numbers.get('beds') or [])} against {len(numbers.get('reference_beds') or [])} beds"
    return " · ".join([f"n = {numbers.get('n')} shared days, {'–'.join(dict.fromkeys(days))}", beds])


def _chart_title(trend: Trend, numbers: Mapping[str, Any]) -> str:
    name, unit = analyte_in_text(trend.analyte), unit_name(numbers.get("unit_shown") or trend.unit, "metric")
    title = name[:1].upper() + name[1:] if trend.analyte != "ph" else "pH"
    return f"{title}, {unit}" if unit and unit != "pH" else title


def _chart(trend: Trend) -> Chart:
    days = [point.sampled_on for point in trend.points]
    return draw([_dot(point) for point in trend.points], TimeAxis.of(days))


def _dot(point: Point) -> Dot:
    return Dot(
        day=point.sampled_on,
        value=point.value,
        noise_low=point.noise_low,
        noise_high=point.noise_high,
        segment=point.segment,
        kind="below" if point.qualifier == "<" else "dot",
        href="",
        title="",
        fitted=point.fitted,
        low=point.low,
        high=point.high,
    )

"""One statement and its verdict as a picture to share: 1200 × 630, readable on a phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from soiltrend.data import load_toml
from soiltrend.report.environment import environment
from soiltrend.report.model import Chart
from soiltrend.report.multiples import Dot, TimeAxis, draw
from soiltrend.report.words import analyte_in_text, unit_name
from soiltrend.trends import Point, Trend

PREFIX = "Say instead:"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text at its height."""

    text: str
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What the picture shows; every text is wrapped already."""

    claim: tuple[Line, ...]
    claim_size: int
    verdict: str
    verdict_y: float
    reason: tuple[Line, ...]
    say: tuple[Line, ...]
    say_size: int
    fine_print: str
    chart: Chart | None
    chart_title: str


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
    claim_size, claim = _fitted(f"“{record['claim'].strip()}”", width=620, sizes=(44, 38, 32), most=3)
    say_size, say = _fitted(f"{PREFIX} {record['say_instead']}", width=1080, sizes=(31, 28, 25), most=4)
    verdict_y = 118 + len(claim) * claim_size * 1.22 + 40
    reason = record["reasons"][0]["text"] if record["reasons"] else ""
    room = max(1, int((404 - verdict_y) // 30))
    _, why = _fitted(reason, width=620, sizes=(23,), most=room)
    return Card(
        claim=_placed(claim, 118, claim_size * 1.22),
        claim_size=claim_size,
        verdict=load_toml("card_words")["verdicts"][record["verdict"]],
        verdict_y=verdict_y,
        reason=_placed(why, verdict_y + 38, 30),
        say=_placed(say, 468, say_size * 1.28),
        say_size=say_size,
        fine_print=_fine_print(trend, labs),
        chart=_chart(trend) if trend else None,
        chart_title=_chart_title(trend) if trend else "",
    )


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


def _fine_print(trend: Trend | None, labs: Sequence[str]) -> str:
    if trend is None or trend.first_on is None or trend.last_on is None:
        return "No reports that could test it."
    method = str(load_toml("display")["methods"].get(trend.method, trend.method.replace("_", " ")))
    years = f"{trend.first_on.year}–{trend.last_on.year}"
    parts = [f"n = {trend.n} reports, {years}", *labs[:2], method, f"one report ± {trend.noise_text}"]
    return " · ".join(part for part in parts if part)


def _chart_title(trend: Trend) -> str:
    name, unit = analyte_in_text(trend.analyte), unit_name(trend.unit, "metric")
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

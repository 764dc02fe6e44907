"""The first picture as a Vega-Lite specification, and specifications as SVG.

Colours in a specification are stand-ins: the style sheet replaces each by the page's own, light or dark.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from soiltrend.report.model import Picture
from soiltrend.report.series import Scale
from soiltrend.report.words import analyte_name
from soiltrend.trends import Trend

INK, MUTED, ACCENT, PAPER = "#24211d", "#8d867b", "#7b2457", "#fdfcf9"
FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Liberation Sans', sans-serif"
# role = colour and width of its line, drawn in this order
ROLES = {"plain": (MUTED, 1.0), "changed": (ACCENT, 2.5), "doubtful": (INK, 1.8)}
# Lines beyond these only make a grey cloud thicker.
MOST_LINES = 40
MOST_LABELS = 5
LABEL_LETTERS = 18
WIDER = 1.6  # units a letter may be wider in the letters of the reader than in those the picture is made with


# The page says in words what the picture shows; roles that Vega puts on groups and marks would say it twice.
_TAG = re.compile(r"<[^<>]*>")
_SEMANTICS = re.compile(r' (?:role|aria-[a-z]+|class)="[^"]*"')


@dataclass(frozen=True, slots=True)
class Told:
    """A series and how it is told: ``changed``, ``doubtful`` or ``plain``."""

    trend: Trend
    role: str


def story(told: Sequence[Told], scale: Scale, title: str, text: str) -> Picture:
    """Return the picture of one test in all beds over time; changed and doubtful beds stand out."""
    ordered = sorted(told, key=lambda item: ("changed", "doubtful", "plain").index(item.role))[:MOST_LINES]
    values = [_value(item, point, scale) for item in ordered for point in item.trend.points]
    noise = _noise(told, scale)
    low = min(noise["value"], *(value["value"] for value in values))
    high = max(noise["high"], *(value["value"] for value in values))
    pad = (high - low) * 0.06 or 1.0
    drawn = _Drawn(values, noise, [low - pad, high + pad])
    sizes = ((520, 270), (236, 240))
    wide, narrow = (_spec(drawn, _labels(ordered, scale, drawn.domain, size[1]), *size) for size in sizes)
    return Picture(title, text, wide, narrow)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What both sizes of the picture share; ``noise`` is a bar from ``value`` to ``high``."""

    values: list[dict[str, Any]]
    noise: dict[str, Any]
    domain: list[float]


def _noise(told: Sequence[Told], scale: Scale) -> dict[str, Any]:
    """Return the noise bar of the report in the middle of all values, placed just before the first report."""
    points = sorted((point for item in told for point in item.trend.points), key=lambda point: point.value)
    middle = points[len(points) // 2]
    days = [point.sampled_on for point in points]
    before = min(days) - max((max(days) - min(days)) / 25, timedelta(days=20))
    return {
        "day": before.isoformat(),
        "value": scale.value(middle.noise_low),
        "high": scale.value(middle.noise_high),
    }


def to_svg(spec: dict[str, Any]) -> str:
    """Return a Vega-Lite specification as SVG text. The first call of a process takes some 0.3 s."""
    import vl_convert

    return _TAG.sub(lambda tag: _SEMANTICS.sub("", tag[0]), str(vl_convert.vegalite_to_svg(spec)))


def _value(item: Told, point: Any, scale: Scale) -> dict[str, Any]:
    return {
        "day": point.sampled_on.isoformat(),
        "value": scale.value(point.value),
        "line": f"{item.trend.bed}\u0000{item.trend.method}\u0000{point.segment}",
        "role": item.role,
    }


def _labels(
    told: Sequence[Told], scale: Scale, domain: Sequence[float], height: float
) -> list[dict[str, Any]]:
    """Return the names at the ends of the lines that stand out, moved apart so that none covers another."""
    ends: list[dict[str, Any]] = [
        {
            "day": item.trend.points[-1].sampled_on.isoformat(),
            "value": scale.value(item.trend.points[-1].value),
            "role": item.role,
            "name": _short(item.trend.bed),
        }
        for item in told
        if item.role != "plain"
    ][:MOST_LABELS]
    gap = 15 / height * (domain[1] - domain[0])
    place = float("inf")
    for end in sorted(ends, key=lambda end: -end["value"]):
        place = min(end["value"], place - gap)
        end["value"] = place
    return ends


def _short(name: str) -> str:
    return name if len(name) <= LABEL_LETTERS else f"{name[: LABEL_LETTERS - 1]}…"


def _spec(drawn: _Drawn, labels: list[dict[str, Any]], width: int, height: int) -> dict[str, Any]:
    x = {
        "field": "day", "type": "temporal", "title": None, "scale": {"type": "utc"},
        "axis": {"format": "%Y", "tickCount": "year", "labelOverlap": True},
    }  # fmt: skip
    y = {
        "field": "value", "type": "quantitative", "title": None,
        "scale": {"domain": drawn.domain, "zero": False, "nice": False},
    }  # fmt: skip
    layers = [_noise_layer(drawn.noise, x, y)]
    layers += [layer for role in ROLES for layer in _role_layers(role, x, y)]
    layers += [_label_layer(role, labels, x, y) for role in ROLES if role != "plain"]
    return {
        "data": {"values": drawn.values},
        "width": width,
        "height": height,
        "padding": {"left": 2, "top": 6, "right": _room(labels), "bottom": 2},
        "layer": layers,
        "config": _config(),
    }


def _room(labels: Sequence[dict[str, Any]]) -> float:
    """Return the room right of the labels: a reader's own letters may be wider, and paper cuts them off."""
    return 4 + WIDER * max((len(label["name"]) for label in labels), default=0)


def _noise_layer(noise: dict[str, Any], x: dict[str, Any], y: dict[str, Any]) -> dict[str, Any]:
    return {
        "data": {"values": [noise]},
        "mark": {"type": "rule", "stroke": MUTED, "strokeWidth": 3},
        "encoding": {"x": x, "y": y, "y2": {"field": "high"}},
    }


def _role_layers(role: str, x: dict[str, Any], y: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the line of one role and, where it stands out, its dots: filled, or hollow when doubtful."""
    colour, width = ROLES[role]
    both: dict[str, Any] = {
        "transform": [{"filter": {"field": "role", "equal": role}}],
        "encoding": {"x": x, "y": y, "detail": {"field": "line"}},
    }
    dash: dict[str, Any] = {"strokeDash": [5, 4]} if role == "doubtful" else {}
    line = {"mark": {"type": "line", "stroke": colour, "strokeWidth": width, **dash}, **both}
    if role == "plain":
        return [line]
    dot = {"type": "point", "size": 42, "stroke": colour, "strokeWidth": 1.8, "opacity": 1}
    return [line, {"mark": {**dot, "fill": PAPER if role == "doubtful" else colour}, **both}]


def _label_layer(
    role: str, labels: list[dict[str, Any]], x: dict[str, Any], y: dict[str, Any]
) -> dict[str, Any]:
    mark = {"type": "text", "align": "left", "dx": 9, "fill": ROLES[role][0], "fontWeight": 600}
    return {
        "data": {"values": [label for label in labels if label["role"] == role]},
        "mark": mark,
        "encoding": {"x": x, "y": y, "text": {"field": "name"}},
    }


def _config() -> dict[str, Any]:
    return {
        "aria": False,
        "background": None,
        "font": FONT,
        "view": {"stroke": None},
        "text": {"fontSize": 13, "font": FONT},
        "axis": {
            "labelColor": INK, "labelFontSize": 12, "gridColor": MUTED, "gridOpacity": 0.25, "domain": False,
            "tickColor": MUTED, "labelFont": FONT, "tickSize": 4,
        },
        "axisX": {"grid": False},
        "axisY": {"ticks": False, "tickCount": 4, "labelPadding": 6},
    }  # fmt: skip


def chart_title(test: str, scale: Scale) -> str:
    """Return what the first picture shows, with its unit."""
    return f"{analyte_name(test)}, {scale.unit}" if scale.unit else analyte_name(test)

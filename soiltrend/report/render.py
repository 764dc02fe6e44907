"""The page as data → one self-contained HTML file."""

import gc
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256

from markupsafe import Markup

from soiltrend.report.charts import to_svg
from soiltrend.report.environment import environment
from soiltrend.report.model import Picture, Report
from soiltrend.resources import folder


def render(report: Report) -> str:
    """Return the page as HTML text: no request leaves it, and no script runs in it but its own."""
    script = _shipped("report.js")
    with _collector_at_rest():
        return (
            environment("report")
            .get_template("page.html.j2")
            .render(
                report=report,
                style=Markup(_shipped("report.css")),
                script=Markup(script),
                script_hash=b64encode(sha256(script.encode()).digest()).decode("ascii"),
                pictures=_pictures(report.picture),
            )
        )


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Keep Python from searching the page's hundred thousand small objects for garbage: all are in use."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _pictures(picture: Picture | None) -> dict[str, Markup]:
    """Draw the first picture for a wide and for a narrow screen; vl-convert escapes the text in it."""
    if picture is None:
        return {}
    return {"wide": Markup(to_svg(picture.wide)), "narrow": Markup(to_svg(picture.narrow))}


def _shipped(name: str) -> str:
    return (folder("templates") / "report" / name).read_text(encoding="utf-8")

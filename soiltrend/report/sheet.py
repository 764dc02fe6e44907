"""The sampling sheet and the bag labels, to print."""

from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from soiltrend.planning import Plan
from soiltrend.records.models import Garden
from soiltrend.report.words import MONTHS, analyte_name, depth, method_name
from soiltrend.resources import folder


def render_sheet(plan: Plan, garden: Garden) -> str:
    """Return one HTML page: what to do, a line for each bed to fill in, and labels to cut out.

    Without a dated test there is no visit yet; the page then says so.
    """
    return _environment().get_template("sampling.html.j2").render(plan=plan, garden=garden)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(folder("templates") / "plan"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals.update(months=MONTHS)
    environment.filters.update(analyte=analyte_name, method=method_name, layer=_layer)
    return environment


def _layer(plan: Plan, units: str) -> str:
    """Return the layer to sample, empty where it is not known."""
    visit = plan.visit
    return "" if visit is None else depth(visit.depth_from_cm, visit.depth_to_cm, units)

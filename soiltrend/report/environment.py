"""The one way in which templates are loaded: everything is escaped, an undefined name is an error."""

from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from soiltrend.resources import folder


@cache
def environment(name: str) -> Environment:
    """Return the environment of one folder of ``templates/`` (``"report"``, ``"card"``, ``"plan"``)."""
    return Environment(
        loader=FileSystemLoader(folder("templates") / name),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

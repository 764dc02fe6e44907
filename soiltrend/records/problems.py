"""What pydantic says is wrong, in a grower's words."""

from collections.abc import Mapping
from typing import Any

_EXPECTED = {
    "missing": "a value",
    "greater_than": "a number above {gt:g}",
    "greater_than_equal": "a number of {ge:g} or more",
    "less_than": "a number below {lt:g}",
    "less_than_equal": "a number up to {le:g}",
    "literal_error": "{expected}",
    "finite_number": "a number",
    "float_parsing": "a number",
    "float_type": "a number",
    "int_parsing": "a whole number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "string_type": "a text",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "dict_type": "a table",
}


def expected(error: Mapping[str, Any]) -> str:
    """Return what one of pydantic's errors says was expected."""
    template = _EXPECTED.get(error["type"])
    if template is None:
        return str(error["msg"])
    said = template.format(**error.get("ctx", {}))
    return said.replace("'', ", "nothing, ", 1)

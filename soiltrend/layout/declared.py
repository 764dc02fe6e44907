"""Declared layouts: a few lines of TOML that tell the reader what one laboratory's words mean."""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from soiltrend.data import load_toml
from soiltrend.errors import Problem, RecordsError
from soiltrend.files import leads_outside
from soiltrend.layout import entries, labels, words
from soiltrend.layout.depths import Layer, find_layer
from soiltrend.layout.finds import unit_in
from soiltrend.layout.reading import Reading
from soiltrend.layout.words import normal
from soiltrend.units import element_fractions, match_unit
from soiltrend.vocabulary import AnalyteMatch, analytes, methods

NOTE = "declared"
FOLDER = "layouts"
EXAMPLE = 'A text stands in quotation marks: recognise = ["Fernhollow"].'


def _one_of(kind: str, known: Sequence[str], value: str) -> str:
    if value in known:
        return value
    near = get_close_matches(value, known, n=3, cutoff=0.6)
    hint = f", such as {' or '.join(near)}" if near else ""
    raise ValueError(f"{kind} of soiltrend{hint}")


def _analyte(value: str) -> str:
    return _one_of("the name of an analyte", list(analytes()), value)


def _method(value: str) -> str:
    return _one_of("the name of a method", list(methods()), value)


def _form(value: str) -> str:
    return _one_of("a chemical form", list(element_fractions()), value)


def _field(value: str) -> str:
    known = [name for name in load_toml("report_words")["fields"] if name != "other"]
    return _one_of(f"one of the fields {', '.join(known)}", known, value)


def _unit(value: str) -> str:
    if not match_unit(value):
        raise ValueError("a unit as reports print it, such as ppm, mg/100 g or %")
    return value


def _depth(value: str) -> str:
    if find_layer(value) is None:
        raise ValueError("a layer with its unit, such as '0-15 cm'")
    return value


def _telling(value: str) -> str:
    if not normal(value):
        raise ValueError("words with letters or digits")
    return value


AnalyteName = Annotated[str, AfterValidator(_analyte)]
MethodName = Annotated[str, AfterValidator(_method)]
FormName = Annotated[str, AfterValidator(_form)]
FieldName = Annotated[str, AfterValidator(_field)]
UnitText = Annotated[str, AfterValidator(_unit)]
DepthText = Annotated[str, AfterValidator(_depth)]
Words = Annotated[str, AfterValidator(_telling)]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class Meaning(_Table):
    """What one word of a laboratory means: an analyte, and what is always true of it there."""

    analyte: AnalyteName
    form: FormName | None = None
    unit: UnitText | None = None
    method: MethodName | None = None


class Defaults(_Table):
    """What the laboratory never prints."""

    depth: DepthText | None = None
    date_order: Literal["day-first", "month-first"] | None = None
    decimal: Literal[".", ","] | None = None
    method: dict[AnalyteName, MethodName] = Field(default_factory=dict)
    unit: dict[AnalyteName, UnitText] = Field(default_factory=dict)


class DeclaredLayout(_Table):
    """One laboratory's words; see the README for a worked example.

    ``recognise`` are words that all stand on its reports; ``ignore`` names columns and rows to leave alone.
    """

    recognise: list[Words] = Field(min_length=1)
    lab: str = ""
    analytes: dict[Words, Meaning] = Field(default_factory=dict)
    fields: dict[Words, FieldName] = Field(default_factory=dict)
    ignore: list[Words] = Field(default_factory=list)
    defaults: Defaults = Defaults()

    def fits(self, text: str) -> bool:
        """Whether every word that marks the laboratory's reports stands in ``text``."""
        whole = f" {normal(text)} "
        return all(f" {normal(mark)} " in whole for mark in self.recognise)

    def label(self, text: str) -> labels.Label | None:
        """Return what a phrase is declared to name, None where nothing is declared of it."""
        wanted = normal(text)
        if any(normal(name) == wanted for name in self.ignore):
            return labels.Label(text, role="ignored")
        by_name = {normal(spelling): meaning for spelling, meaning in self.analytes.items()}
        if wanted in by_name:
            return labels.Label(text, analyte=_match(by_name[wanted]))
        bare = normal(words.without_brackets(text))
        return labels.Label(text, analyte=_match(by_name[bare], unit_in(text))) if bare in by_name else None

    def completed(self, reading: Reading) -> Reading:
        """Return a reading with what the report does not print and the layout declares."""
        given: dict[str, Any] = {}
        method = self.defaults.method.get(reading.analyte)
        unit = self.defaults.unit.get(reading.analyte)
        layer = self._layer()
        if method and not reading.method:
            given["method"] = method
        if unit and not reading.unit:
            given["unit"] = match_unit(unit)
        if layer and reading.depth_to_cm is None:
            given |= {"depth_from_cm": layer[0], "depth_to_cm": layer[1]}
        if given:
            given["notes"] = tuple(dict.fromkeys((*reading.notes, NOTE)))
        return replace(reading, **given, lab=self.lab or reading.lab)

    def _layer(self) -> Layer | None:
        return find_layer(self.defaults.depth) if self.defaults.depth else None


# What holds for a report of which nothing is declared.
NOTHING_DECLARED = DeclaredLayout.model_construct(recognise=[])


def _match(meaning: Meaning, printed: str = "") -> AnalyteMatch:
    """Return what a declared word names; a unit printed in brackets behind it wins."""
    return AnalyteMatch(
        analyte=meaning.analyte,
        form=meaning.form or "",
        unit=match_unit(printed or meaning.unit or ""),
        unit_printed=printed,
        method=meaning.method or "",
        notes=(NOTE,),
    )


def load_layouts(paths: Sequence[Path]) -> tuple[DeclaredLayout, ...]:
    """Return the declared layouts of a garden.

    Raises
    ------
    RecordsError
        A file is no TOML or holds a key or value that has no meaning; it names file, line and key.
    """
    problems: list[Problem] = []
    found = [layout for path in paths if (layout := _load(path, problems)) is not None]
    if problems:
        raise RecordsError(problems)
    return tuple(found)


def choose(layouts: Sequence[DeclaredLayout], text: str) -> DeclaredLayout | None:
    """Return the layout whose words stand in a report; of several, the one that asks for most."""
    fitting = [layout for layout in layouts if layout.fits(text)]
    return max(fitting, key=lambda layout: sum(map(len, layout.recognise)), default=None)


@contextmanager
def in_force(
    layout: DeclaredLayout | None, legend: Mapping[str, labels.Label] | None = None
) -> Iterator[None]:
    """Let words mean what a layout, else the report's own legend, says while one report is read."""
    if layout is None and not legend:
        yield
        return
    given, told = layout or NOTHING_DECLARED, legend or {}
    fields = {normal(spelling): name for spelling, name in given.fields.items()}
    words.declare(fields, frozenset(map(normal, given.ignore)))
    labels.declare(lambda text: given.label(text) or told.get(text))
    entries.forget()
    try:
        yield
    finally:
        words.declare({}, frozenset())
        labels.declare(None)
        entries.forget()


def _name(path: Path) -> str:
    return f"{FOLDER}/{path.name}"


def _load(path: Path, problems: list[Problem]) -> DeclaredLayout | None:
    name = _name(path)
    if path.is_symlink() and leads_outside(path, path.parent):
        found = f"a symbolic link to {path.readlink()}"
        problems.append(Problem(name, None, None, "a file inside the records folder", found, "Put it there."))
        return None
    try:
        text = path.read_text(encoding="utf-8-sig")
        return DeclaredLayout.model_validate(tomllib.loads(text))
    except OSError as error:
        problems.append(Problem(name, None, None, "a readable file", error.strerror or str(error)))
    except ValidationError as error:
        problems += [_problem(name, dict(item), text) for item in error.errors()]
    except (ValueError, RecursionError) as error:  # no TOML, or not UTF-8
        problems.append(_broken(name, str(error)))
    return None


def _broken(name: str, message: str) -> Problem:
    found = re.search(r"\(at line (\d+)", message)
    reason = message.split(" (at ", maxsplit=1)[0]
    return Problem(name, int(found[1]) if found else None, None, "TOML that can be read", reason, EXAMPLE)


def _problem(name: str, error: dict[str, Any], text: str) -> Problem:
    path = [str(part) for part in error["loc"] if part != "[key]"]
    key = ".".join(path)
    found = "nothing" if error["type"] == "missing" else repr(error["input"])
    if error["type"] == "extra_forbidden":
        table = _known_keys(path[:-1])
        return Problem(name, _line_of(path, text), key, f"one of {', '.join(table)}", repr(path[-1]))
    return Problem(name, _line_of(path, text), key, _expected(error), found)


def _known_keys(path: Sequence[str]) -> list[str]:
    tables: dict[str, type[_Table]] = {"defaults": Defaults, "analytes": Meaning}
    return list(tables.get(path[0] if path else "", DeclaredLayout).model_fields)


_EXPECTED = {
    "missing": "a value",
    "string_type": "a text",
    "list_type": "a list of texts",
    "dict_type": "a table",
    "model_type": "a table",
    "too_short": "at least one text",
}


def _expected(error: dict[str, Any]) -> str:
    if error["type"] == "literal_error":
        return str(error["ctx"]["expected"])
    return _EXPECTED.get(error["type"]) or str(error["msg"]).removeprefix("Value error, ")


def _line_of(path: Sequence[str], text: str) -> int | None:
    """Return the line on which the last part of a key's path that is printed anywhere is set."""
    lines = text.splitlines()
    for part in reversed(path):
        spelled = rf"(?<![\w-])[\"']?{re.escape(part)}[\"']?\s*(?:=|\]|\.)"
        for number, line in enumerate(lines, start=1):
            if re.search(spelled, line):
                return number
    return None

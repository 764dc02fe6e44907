"""Rows of text → validated records, with a problem that names line and column for each that is not."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar, get_args

from pydantic import ValidationError

from soiltrend.data import load_toml
from soiltrend.errors import Problem
from soiltrend.records import cells
from soiltrend.records.models import Record
from soiltrend.records.problems import expected
from soiltrend.records.tables import Row, Table

# Dates that begin and end a span: a year alone means its first day, or its last.
SPANS = ("since", "until")
R = TypeVar("R", bound=Record)


def columns_of(model: type[Record]) -> dict[str, tuple[str, float]]:
    """Return every heading that a file of ``model`` may have → the field it fills and the factor."""
    fields = {name: (name, 1.0) for name in model.model_fields if name != "line"}
    others = {
        row["printed"]: (row["name"], row["factor"])
        for row in load_toml("record_units")["column"]
        if row["name"] in fields
    }
    return fields | others


def required(model: type[Record]) -> tuple[str, ...]:
    """Return the headings without which a file of ``model`` says nothing."""
    return tuple(name for name, info in model.model_fields.items() if info.is_required())


def records(table: Table, model: type[R]) -> tuple[list[R], list[Problem]]:
    """Return the rows of ``table`` that are whole, and everything that is wrong with the others."""
    missing = [name for name in required(model) if name not in table.columns]
    if missing and table.columns:
        found = ", ".join(name for name in table.columns if name) or "none"
        advice = "Add the column to the first line."
        return [], [Problem(table.file, 1, name, "this column", found, advice) for name in missing]
    converter = _Converter.of(table, model)
    return converter.convert_all(table.rows, model)


@dataclass(slots=True)
class _Converter:
    file: str
    semicolons: bool
    fields: dict[str, tuple[str, float]]
    kinds: dict[str, type]
    order: dict[str, cells.DayOrder | None]
    problems: list[Problem]

    @classmethod
    def of(cls, table: Table, model: type[Record]) -> "_Converter":
        kinds = {name: _kind(info.annotation) for name, info in model.model_fields.items()}
        order = {
            name: cells.day_order(row.cells.get(name, "") for row in table.rows)
            for name, kind in kinds.items()
            if kind is date
        }
        return cls(table.file, table.semicolons, columns_of(model), kinds, order, [])

    def convert_all(self, rows: Iterable[Row], model: type[R]) -> tuple[list[R], list[Problem]]:
        whole = [record for row in rows if (record := self._record(row, model)) is not None]
        return whole, self.problems

    def _record(self, row: Row, model: type[R]) -> R | None:
        before = len(self.problems)
        values: dict[str, Any] = {"line": row.line}
        printed: dict[str, str] = {}
        for heading, text in row.cells.items():
            name, factor = self.fields.get(heading, ("", 1.0))
            if not name:
                continue  # an unknown column is a problem of the table
            if name in printed:
                self._problem(row, heading, f"{printed[name]} or {heading}", "both", "Leave one empty.")
                continue
            printed[name] = heading
            value = self._value(row, heading, name, text)
            values[name] = value * factor if isinstance(value, float) else value
        if len(self.problems) > before:
            return None
        try:
            return model.model_validate(values)
        except ValidationError as error:
            for item in error.errors():
                heading = printed.get(str(item["loc"][0]), str(item["loc"][0]))
                self._problem(row, heading, expected(dict(item)), _quoted(row.cells.get(heading)))
            return None

    def _value(self, row: Row, heading: str, name: str, text: str) -> Any:
        try:
            if self.kinds[name] is float:
                return cells.number(text, semicolons=self.semicolons)
            if self.kinds[name] is date:
                whole_year = cells.first_or_last_day(text, last=name == "until") if name in SPANS else None
                return whole_year or cells.day(text, self.order[name])
        except cells.BadCell as error:
            self._problem(row, heading, error.expected, repr(text), error.advice)
            return None
        if self.kinds[name] is tuple:
            return cells.names(text)
        return text.casefold() if self.kinds[name] is _Choice else text

    def _problem(self, row: Row, heading: str, expected_: str, found: str, advice: str = "") -> None:
        self.problems.append(Problem(self.file, row.line, heading, expected_, found, advice))


class _Choice:
    """The kind of a field that takes one of a few words."""


def _kind(annotation: Any) -> type:
    """Return what a cell of this field becomes: a float, a date, a tuple of names, a choice or a text."""
    parts = {annotation, *get_args(annotation)}
    for kind in (float, date):
        if kind in parts:
            return kind
    if getattr(annotation, "__origin__", None) is tuple:
        return tuple
    return str if str in parts or not get_args(annotation) else _Choice


def _quoted(text: str | None) -> str:
    return repr(text) if text is not None else "nothing"

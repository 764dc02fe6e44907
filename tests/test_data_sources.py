"""Every published constant says where it comes from: a publication, "from memory", derived or judgement."""

import csv
import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest

FOLDER = files("soiltrend.data")
TABLES = sorted(item.name for item in FOLDER.iterdir() if item.name.endswith(".toml"))
LISTS = sorted(item.name for item in FOLDER.iterdir() if item.name.endswith(".csv"))
# A section of notes that are not in the repository: nobody can look it up.
UNREACHABLE = re.compile(
    r"\blab[_]methods|\b(amendments|statistics)(\.md)? (part )?\d|\breference (arithmetic|sheet)"
    r"|statistics notes",
    re.IGNORECASE,
)


def text_of(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")


def is_number(value: Any) -> bool:
    if isinstance(value, list):
        return any(map(is_number, value))
    return isinstance(value, int | float) and not isinstance(value, bool)


def said(table: dict[str, Any]) -> list[str]:
    return [text for key, text in table.items() if key == "source" or key.endswith("_source")]


def below(table: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The tables inside a table, those in lists included."""
    for key, value in table.items():
        inside = value if isinstance(value, list) else [value]
        yield from ((key, item) for item in inside if isinstance(item, dict))


def unsourced(table: dict[str, Any], name: str = "top", inherited: bool = False) -> Iterator[str]:
    """Name the tables that hold numbers and have no source, nor a table around them that has one."""
    sourced = inherited or any(str(text).strip() for text in said(table))
    if not sourced and any(map(is_number, table.values())):
        yield name
    for key, item in below(table):
        yield from unsourced(item, f"{name}.{key}", sourced)


def sources(table: dict[str, Any]) -> Iterator[str]:
    yield from said(table)
    for _, item in below(table):
        yield from sources(item)


def rows_of(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(text_of(name).splitlines()))


@pytest.mark.parametrize("name", TABLES)
def test_every_table_with_numbers_has_a_source(name: str) -> None:
    assert list(unsourced(tomllib.loads(text_of(name)))) == []


@pytest.mark.parametrize("name", TABLES)
def test_no_source_of_a_table_is_empty_or_out_of_reach(name: str) -> None:
    found = list(sources(tomllib.loads(text_of(name))))
    assert found or not any(is_number(v) for v in tomllib.loads(text_of(name)).values())
    assert [text for text in found if not text.strip() or UNREACHABLE.search(text)] == []


@pytest.mark.parametrize("name", LISTS)
def test_every_row_has_a_source_in_reach(name: str) -> None:
    rows = rows_of(name)
    assert rows
    found = [(line, (row.get("source") or "").strip()) for line, row in enumerate(rows, 2)]
    assert [line for line, text in found if not text or UNREACHABLE.search(text)] == []


@pytest.mark.parametrize("name", LISTS)
def test_no_cell_has_slipped_out_of_its_column(name: str) -> None:
    assert [line for line, row in enumerate(rows_of(name), 2) if None in row or None in row.values()] == []


def test_a_comment_cites_nothing_out_of_reach() -> None:
    assert [name for name in TABLES if UNREACHABLE.search(text_of(name))] == []


@pytest.mark.parametrize(
    ("text", "missing"),
    [
        ("[a]\nx = 1", ["top.a"]),
        ("[a]\nx = [1.0, 2.0]\nsource = ''", ["top.a"]),
        ("[a]\nwords = ['x']", []),
        ("[a]\nx = 1\nx_source = 'judgement'", []),
        ("source = 's'\n[a]\nx = 1", []),
        ("[a.b]\nx = 1\n[c]\nsource = 's'", ["top.a.b"]),
        ("[[a]]\nx = 1", ["top.a"]),
    ],
)
def test_the_search_itself_finds_what_is_missing(text: str, missing: list[str]) -> None:
    assert list(unsourced(tomllib.loads(text))) == missing

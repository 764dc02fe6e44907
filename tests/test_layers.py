"""The data goes one way: a module imports only from modules to its left (DEVELOPERS.md)."""

import ast
from pathlib import Path

import pytest

import soiltrend

PACKAGE = Path(soiltrend.__file__).parent

# Left to right. A name is a module or a folder directly below soiltrend/.
ROOMS = (
    "errors",
    "data",
    "files",
    "resources",
    "guard",
    "values",
    "units",
    "vocabulary",
    "readers",
    "layout",
    "intake",
    "records",
    "observations",
    "regression",
    "noise",
    "trends",
    "comparison",
    "balance",
    "checks",
    "planning",
    "claims",
    "report",
    "pipeline",
    "output",
    "cli",
    "__main__",
)


def room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Every room that this file imports from, deferred imports inside functions included."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "soiltrend":
            parts = (node.module or "").split(".")
            names = [parts[1]] if len(parts) > 1 else [alias.name for alias in node.names]
            found.update(names)
        elif isinstance(node, ast.Import):
            found.update(
                alias.name.split(".")[1] for alias in node.names if alias.name.startswith("soiltrend.")
            )
    return found & set(ROOMS)


MODULES = sorted(p for p in PACKAGE.rglob("*.py") if p != PACKAGE / "__init__.py")


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_a_module_imports_only_from_its_left(path: Path) -> None:
    here = ROOMS.index(room(path))
    to_the_right = {name for name in imports(path) if ROOMS.index(name) > here}
    assert not to_the_right, f"{room(path)} may not import {sorted(to_the_right)}"


def test_only_the_report_knows_html_and_only_the_command_line_prints() -> None:
    for path in MODULES:
        names = {
            alias.name.split(".")[0]
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Import | ast.ImportFrom)
            for alias in node.names
        } | {
            (node.module or "").split(".")[0]
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom)
        }
        if room(path) != "report":
            assert "jinja2" not in names, path
        if room(path) not in {"cli", "output"}:
            assert not names & {"typer", "rich"}, path

"""Where the folders that ship with the program are: inside the package, else beside ``pyproject.toml``."""

from pathlib import Path

from soiltrend.errors import SoiltrendError

PACKAGE = Path(__file__).parent
MADE = "out"


def folder(name: str, *, package: Path = PACKAGE) -> Path:
    """Return the shipped folder ``name`` (``"templates"``, ``"fixtures/demo"``).

    A wheel carries it inside the package; an editable install and a source tree have it beside
    ``pyproject.toml``.

    Raises
    ------
    SoiltrendError
        It is in neither place: the install is broken.
    """
    inside = package / name
    if inside.is_dir():
        return inside
    beside = package.parent / name
    if beside.is_dir() and (package.parent / "pyproject.toml").is_file():
        return beside
    raise SoiltrendError(
        f"The install is broken: expected the folder {name} in {inside} or beside pyproject.toml, "
        "found neither. Install soiltrend again."
    )


def contents(name: str) -> dict[str, bytes]:
    """Return every file of the shipped folder ``name`` by its path inside it (with ``/``).

    What a run in a source tree left under ``out/`` is not part of it.
    """
    root = folder(name)
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and MADE not in path.relative_to(root).parts
    }

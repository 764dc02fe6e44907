from collections.abc import Callable
from pathlib import Path

import pytest

from soiltrend.errors import Problem, RecordsError
from soiltrend.records import load_garden

Writer = Callable[..., Path]


@pytest.fixture
def garden_of(tmp_path: Path) -> Writer:
    """Write a records folder: ``garden_of({"beds.csv": "…"})``; garden.toml is there unless given."""

    def write(files: dict[str, str | bytes] | None = None) -> Path:
        folder = tmp_path / "garden"
        folder.mkdir(exist_ok=True)
        for name, content in {"garden.toml": 'name = "Test"\n', **(files or {})}.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        return folder

    return write


@pytest.fixture
def problems_of(garden_of: Writer) -> Callable[..., tuple[Problem, ...]]:
    def problems(files: dict[str, str | bytes]) -> tuple[Problem, ...]:
        with pytest.raises(RecordsError) as caught:
            load_garden(garden_of(files))
        return caught.value.problems

    return problems

from pathlib import Path

import pytest

from soiltrend import resources
from soiltrend.errors import SoiltrendError


def test_a_wheel_carries_the_folder_inside_the_package(tmp_path: Path) -> None:
    (tmp_path / "package" / "templates").mkdir(parents=True)
    assert resources.folder("templates", package=tmp_path / "package") == tmp_path / "package" / "templates"


def test_a_source_tree_has_it_beside_pyproject(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "pyproject.toml").touch()
    assert resources.folder("templates", package=tmp_path / "package") == tmp_path / "templates"


@pytest.mark.parametrize("stray", [True, False])
def test_a_folder_that_only_happens_to_lie_there_is_no_install(tmp_path: Path, stray: bool) -> None:
    if stray:
        (tmp_path / "templates").mkdir()
    with pytest.raises(SoiltrendError, match="install is broken"):
        resources.folder("templates", package=tmp_path / "package")


def test_contents_are_named_by_their_path_inside_the_folder() -> None:
    assert resources.contents("templates/records")["beds.csv"].startswith(b"bed,")

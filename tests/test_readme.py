"""What the README shows is what a reader gets: every command shown runs, every line shown is printed."""

import re
import shlex
import shutil
import sys
import tomllib
from pathlib import Path

import pytest

from soiltrend import cli
from soiltrend.layout import load_layouts
from soiltrend.noise import Noise

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```console\n\$ (.*?)\n(.*?)```", README, flags=re.DOTALL)
# Commands that print rows show a table on a terminal; here there is none, so it is asked for.
PRINTS_ROWS = {"read", "trends", "check", "claim", "compare", "balance", "plan"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("readme")
    shutil.copytree(TOP / "fixtures" / "demo", place / "soiltrend-demo", ignore=shutil.ignore_patterns("out"))
    return place


@pytest.mark.parametrize(("command", "shown"), BLOCKS, ids=[command for command, _ in BLOCKS])
def test_a_shown_command_prints_the_shown_lines_in_order(
    command: str,
    shown: str,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = shlex.split(command)
    if words[1] in PRINTS_ROWS:
        words += ["--format", "table"]
    monkeypatch.chdir(folder)
    monkeypatch.setenv("COLUMNS", "110")
    monkeypatch.setattr(sys, "argv", words)
    with pytest.raises(SystemExit) as left:
        cli.main()
    assert not left.value.code
    printed = iter(line.rstrip() for line in capsys.readouterr().out.splitlines())
    for line in shown.splitlines():
        if line.strip() and line.strip() != "…":
            assert line.rstrip() in printed, f"{line!r} is not printed, or not in this order"


def test_every_command_is_in_the_readme() -> None:
    for name in (
        "demo",
        "new",
        "read",
        "add",
        "trends",
        "compare",
        "check",
        "claim",
        "dose",
        "balance",
        "plan",
        "report",
    ):
        assert f"soiltrend {name}" in README, name


def test_the_readme_starts_with_the_job_and_then_the_two_commands() -> None:
    first, second, third = README.split("\n\n")[:3]
    assert first == "# soiltrend"
    assert second.startswith("You grow vegetables")
    assert "```" not in second
    commands = re.findall(r"```\n(.*?)\n```", README, flags=re.DOTALL)
    assert commands[0].endswith("soiltrend demo")
    assert commands[1].endswith("pytest")
    assert third


def test_every_file_the_readme_links_to_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (TOP / target).is_file(), target


def test_the_declared_layout_shown_is_one_that_loads(tmp_path: Path) -> None:
    (example,) = [
        block for block in re.findall(r"```toml\n(.*?)```", README, flags=re.DOTALL) if "recognise" in block
    ]
    path = tmp_path / "layouts" / "fernhollow.toml"
    path.parent.mkdir()
    path.write_text(example, encoding="utf-8")
    (layout,) = load_layouts([path])
    assert layout.lab == "Fernhollow Soil Service"


def test_the_noise_shown_is_one_that_a_garden_takes() -> None:
    (example,) = [
        block for block in re.findall(r"```toml\n(.*?)```", README, flags=re.DOTALL) if "noise" in block
    ]
    given = tomllib.loads(example)["noise"]
    assert Noise(overrides=given).of("organic_matter", "%").d0 == 8

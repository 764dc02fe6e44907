"""Whatever lies in the folder: a garden, or problems that name their file. Never another error."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from soiltrend.errors import RecordsError
from soiltrend.records import load_garden
from soiltrend.records.load import FILES, TABLES
from soiltrend.records.models import Garden
from soiltrend.records.rows import columns_of

CELLS = st.one_of(
    st.sampled_from(
        [
            "",
            "A",
            "all",
            "#3",
            "# x",
            '"',
            ";",
            ",",
            "2024-05-01",
            "5/6/2024",
            "0",
            "-1",
            "1,5",
            "1,234",
            "nan",
            "1e999",
        ]
    ),
    st.text(max_size=8),
)


def loaded(files: dict[str, bytes]) -> Garden | RecordsError:
    with tempfile.TemporaryDirectory() as folder:
        for name, content in {"garden.toml": b"", **files}.items():
            (Path(folder) / name).write_bytes(content)
        try:
            return load_garden(Path(folder))
        except RecordsError as error:
            return error


def is_garden_or_named_problems(outcome: Garden | RecordsError) -> bool:
    if isinstance(outcome, Garden):
        return True
    return bool(outcome.problems) and all(p.file and p.expected and p.found for p in outcome.problems)


@given(st.sampled_from(FILES), st.binary(max_size=200))
@example("beds.csv", b"\xff\xfe\x00")
@example("beds.csv", b"\xff\xfe\x00\xd8")
@example("beds.csv", b"bed\n" + b"a" * 200_000)
@example("garden.toml", b"\x00\x00\x00\x00")
@example("garden.toml", b"name = '\xe9'")
@example("garden.toml", b"a = " + b"[" * 3000)
@example("garden.toml", b"a = " + b"1" * 5000)
@settings(deadline=None, max_examples=150)
def test_any_bytes_in_any_file(name: str, content: bytes) -> None:
    assert is_garden_or_named_problems(loaded({name: content}))


@given(st.sampled_from(sorted(TABLES)), st.data())
@settings(deadline=None, max_examples=200)
def test_any_cells_below_a_good_header(name: str, data: st.DataObject) -> None:
    header = data.draw(st.lists(st.sampled_from(sorted(columns_of(TABLES[name]))), min_size=1, unique=True))
    rows = data.draw(st.lists(st.lists(CELLS, max_size=len(header) + 1), max_size=4))
    text = "\n".join(",".join(row) for row in [header, *rows])
    outcome = loaded({name: text.encode("utf-8", "surrogatepass")})
    assert is_garden_or_named_problems(outcome)
    if isinstance(outcome, RecordsError):
        lines = [p.line for p in outcome.problems if p.file == name]
        assert all(line is None or 1 <= line <= text.count("\n") + text.count("\r") + 1 for line in lines)


@pytest.mark.parametrize(
    "text",
    [
        "sampling = []\n",
        "sampling = 3\n",
        "soil = 'loam'\n",
        "noise = 3\n",
        "[noise]\nph = 3\n",
        "[sampling]\ndepth_in = true\n",
        "[[sampling]]\ncores = 3\n",
        "name = 3\n",
        "line = 3\n",
        "sampling.depth_cm = 'x'\n",
        "sampling = {cores = 0}\n",
        "name = 2024-05-01\n",
        "[noise.ph]\nsd = inf\n",
        "[sampling]\ncores = 100000000000000000000000\n",
    ],
)
def test_settings_of_another_shape(text: str) -> None:
    outcome = loaded({"garden.toml": text.encode()})
    assert is_garden_or_named_problems(outcome)
    if "1000000" not in text:
        assert isinstance(outcome, RecordsError)


def test_a_file_that_may_not_be_read_is_named(garden_of, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = garden_of({"beds.csv": "bed\nA\n"})
    read = Path.read_bytes

    def refuses(self: Path) -> bytes:
        if self.name == "beds.csv":
            raise PermissionError(13, "Permission denied", str(self))
        return read(self)

    monkeypatch.setattr(Path, "read_bytes", refuses)
    with pytest.raises(RecordsError, match=r"beds\.csv: expected a readable file, found Permission denied"):
        load_garden(folder)

"""Data to standard output or a file: a table on a terminal, CSV when piped, JSON when asked."""

import csv
import io
import json
import math
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from soiltrend.guard import RISKY_STARTS
from soiltrend.output import as_csv, as_json, emit
from soiltrend.pipeline import Rows
from soiltrend.pipeline.views import Block

RECORD = {"bed": "Bed 1", "on": date(2026, 4, 3), "value": 3.25, "note": None, "causes": [{"code": "unit"}]}


def test_json_is_a_list_of_objects_with_null_where_a_key_does_not_apply() -> None:
    assert json.loads(as_json([RECORD])) == [
        {"bed": "Bed 1", "on": "2026-04-03", "value": 3.25, "note": None, "causes": [{"code": "unit"}]}
    ]


def test_json_of_nothing_is_an_empty_list() -> None:
    assert json.loads(as_json([])) == []


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_never_leaves_the_program(number: float) -> None:
    assert json.loads(as_json([{"value": number}])) == [{"value": None}]


def test_csv_holds_the_columns_asked_for_in_their_order() -> None:
    assert as_csv([RECORD], ("value", "bed", "on", "note")) == "value,bed,on,note\n3.25,Bed 1,2026-04-03,\n"


@pytest.mark.parametrize("start", RISKY_STARTS)
def test_a_text_cell_that_a_spreadsheet_would_run_gets_an_apostrophe(start: str) -> None:
    text = as_csv([{"bed": f"{start}1+1"}], ("bed",))
    assert next(csv.reader(io.StringIO(text.split("\n", 1)[1]))) == [f"'{start}1+1".replace("\r", "\n")]


def test_a_negative_number_is_a_number_and_gets_no_apostrophe() -> None:
    assert as_csv([{"change": -0.5}], ("change",)) == "change\n-0.5\n"


@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\r\n\0")), min_size=1, max_size=5))
def test_every_text_survives_json(texts: list[str]) -> None:
    assert [row["t"] for row in json.loads(as_json([{"t": text} for text in texts]))] == texts


def test_the_ending_of_the_file_decides_where_no_format_is_given(tmp_path: Path) -> None:
    emit(Rows([RECORD], ("bed",)), output=tmp_path / "rows.json")
    emit(Rows([RECORD], ("bed",)), output=tmp_path / "rows.csv")
    assert json.loads((tmp_path / "rows.json").read_text())[0]["bed"] == "Bed 1"
    assert (tmp_path / "rows.csv").read_text() == "bed\nBed 1\n"


def test_a_table_shows_a_dash_where_there_is_nothing(tmp_path: Path) -> None:
    emit(Rows([RECORD], ("bed", "note")), wanted="table", output=tmp_path / "rows.txt")
    assert (tmp_path / "rows.txt").read_text().split() == ["bed", "note", "Bed", "1", "–"]


def test_a_pipe_gets_csv(capsys: pytest.CaptureFixture[str]) -> None:
    emit(Rows([RECORD], ("bed",)))
    assert capsys.readouterr().out == "bed\nBed 1\n"


def test_a_terminal_sees_the_view_and_a_pipe_all_columns(tmp_path: Path) -> None:
    rows = Rows([RECORD], ("bed", "value"), view=[{"where": "Bed 1"}])
    emit(rows, wanted="table", output=tmp_path / "rows.txt")
    emit(rows, wanted="csv", output=tmp_path / "rows.csv")
    assert (tmp_path / "rows.txt").read_text().split() == ["where", "Bed", "1"]
    assert (tmp_path / "rows.csv").read_text() == "bed,value\nBed 1,3.25\n"


def test_sentences_are_shown_as_blocks(tmp_path: Path) -> None:
    rows = Rows([RECORD], ("bed",), blocks=[Block("DOUBTFUL  Bed 1", ("It jumped.", "Next: test again."))])
    emit(rows, wanted="table", output=tmp_path / "rows.txt")
    text = (tmp_path / "rows.txt").read_text()
    assert [line.strip() for line in text.splitlines() if line.strip()] == [
        "DOUBTFUL  Bed 1",
        "It jumped.",
        "Next: test again.",
    ]


def test_parquet_is_verbatim(tmp_path: Path) -> None:
    emit(Rows([RECORD | {"bed": "=1+1"}], ("bed", "value", "note")), output=tmp_path / "rows.parquet")
    frame = pd.read_parquet(tmp_path / "rows.parquet")
    assert frame.to_dict("records") == [{"bed": "=1+1", "value": 3.25, "note": None}]


def test_a_table_leaves_out_what_no_row_says_and_cuts_no_word_short(tmp_path: Path) -> None:
    view = [{"bed": "Bed 1", "doubt": "", "test": "x" * 200}]
    emit(Rows([RECORD], ("bed",), view=view), wanted="table", output=tmp_path / "rows.txt")
    shown = (tmp_path / "rows.txt").read_text()
    assert "doubt" not in shown
    assert shown.count("x") == 200

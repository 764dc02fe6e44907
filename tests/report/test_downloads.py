"""The data behind the page: every row, safe in a spreadsheet, described by the Frictionless standard."""

import csv
import io
import json
from base64 import b64decode
from dataclasses import replace
from urllib.parse import unquote_to_bytes

import pytest

from soiltrend.observations import COLUMNS
from soiltrend.report import copies
from soiltrend.report.downloads import _link, links, observations_csv
from soiltrend.report.model import ReportInput
from tests.report.sample import many, rich, tiny

# Frictionless Data, Table Schema 1: the types of fields (from memory)
TYPES = {
    "string", "number", "integer", "boolean", "object", "array", "date", "time", "datetime", "year",
    "yearmonth", "duration", "geopoint", "geojson", "any",
}  # fmt: skip


@pytest.fixture(scope="module")
def given() -> ReportInput:
    return rich()


@pytest.fixture(scope="module")
def made(given: ReportInput) -> dict[str, bytes]:
    return copies(given)


def payload(href: str) -> bytes:
    """Return what a data link carries, in either of the two codings of RFC 2397."""
    head, data = href.split(",", 1)
    return b64decode(data) if head.endswith(";base64") else unquote_to_bytes(data)


def test_a_link_takes_the_shorter_coding_and_breaks_no_attribute() -> None:
    text, dense = "a,b c\n%<&\"'#é\n".encode() * 3, bytes(range(256))
    hrefs = [_link("a.csv", "text/csv", content).href for content in (b"plain;text/" * 9, text, dense)]
    assert [";base64" in href for href in hrefs] == [False, True, True]
    assert not set("<>&\"'# \n%") & set(hrefs[0])
    assert [payload(href) for href in hrefs[1:]] == [text, dense]


def read(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"))))


def test_the_copies_are_named_as_the_readme_says(made: dict[str, bytes]) -> None:
    assert set(made) == {
        "observations.csv",
        "trends.csv",
        "findings.csv",
        "comparisons.csv",
        "balance.csv",
        "plan.csv",
        "report.json",
        "datapackage.json",
    }


def test_every_row_and_column_of_the_long_table_is_there(given: ReportInput, made: dict[str, bytes]) -> None:
    rows = read(made["observations.csv"])
    assert len(rows) == len(given.observations)
    assert tuple(rows[0]) == COLUMNS
    assert [float(row["value"]) for row in rows] == given.observations["value"].tolist()
    assert rows[0]["sampled_on"] == "2019-10-03"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_a_spreadsheet_takes_no_text_for_a_formula(start: str) -> None:
    # OWASP, CSV Injection: the six characters that can start a formula
    given = tiny()
    table = given.observations.assign(sample=f"{start}cmd()", notes=[(f"{start}note",)] * 12)
    rows = read(observations_csv(replace(given, observations=table)))
    kept = start.replace("\r", "\n")  # a lone return would end the row
    assert {row["sample"] for row in rows} == {f"'{kept}cmd()"}
    assert {row["notes"] for row in rows} == {f"'{kept}note"}


def test_numbers_keep_their_minus_sign() -> None:
    given = tiny()
    table = given.observations.assign(value=-1.5)
    assert {row["value"] for row in read(observations_csv(replace(given, observations=table)))} == {"-1.5"}


def test_the_package_describes_every_table_as_it_is(made: dict[str, bytes]) -> None:
    package = json.loads(made["datapackage.json"])
    assert package["profile"] == "tabular-data-package"
    for resource in package["resources"]:
        content = made[resource["path"]]
        fields = resource["schema"]["fields"]
        assert resource["bytes"] == len(content)
        assert [field["name"] for field in fields] == next(csv.reader(io.StringIO(content.decode())))
        assert {field["type"] for field in fields} <= TYPES


def test_cells_fit_the_types_they_are_described_with(made: dict[str, bytes]) -> None:
    package = json.loads(made["datapackage.json"])
    for resource in package["resources"]:
        numeric = {f["name"] for f in resource["schema"]["fields"] if f["type"] in {"number", "integer"}}
        for row in read(made[resource["path"]]):
            assert all(float(row[name]) is not None for name in numeric if row[name])


def test_the_json_copy_holds_the_lists_of_the_commands(given: ReportInput, made: dict[str, bytes]) -> None:
    content = json.loads(made["report.json"])
    assert len(content["trends"]) == len(given.trends)
    assert len(content["check"]) == len(given.findings)
    assert content["check"][0]["causes"][0]["weight"] == 0.58
    assert {"compare", "claim", "balance", "plan", "files"} <= set(content)


def test_the_link_in_the_page_is_the_copy_beside_it(given: ReportInput, made: dict[str, bytes]) -> None:
    whole, by_bed = links(given)
    assert whole[0].href.startswith("data:text/csv;charset=utf-8")
    assert payload(whole[0].href) == made["observations.csv"]
    assert not by_bed


def test_a_table_too_long_for_one_link_comes_bed_by_bed_and_loses_nothing() -> None:
    given = many(60, 15, 12)
    whole, by_bed = links(given)
    assert [link.name for link in whole] == ["report.json"]
    rows = [row for link in by_bed.values() for row in read(payload(link.href))]
    assert len(rows) == len(given.observations)

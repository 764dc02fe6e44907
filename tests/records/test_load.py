from datetime import date
from pathlib import Path

import pytest

from soiltrend.errors import RecordsError
from soiltrend.records import load_garden

from .conftest import Problem

WHOLE = {
    "garden.toml": (
        'name = "Home"\nunits = "us"\n[sampling]\ndepth_in = 6\ncores = 15\nmonth = 4\n'
        '[soil]\nbulk_density_g_cm3 = 1.3\ntexture = "loam"\n[noise.organic_matter]\nlab = 0.05\n'
    ),
    "beds.csv": (
        "bed,area_ft2,treatment,assigned,texture,bulk_density_g_cm3,also_called,chosen_because,notes\n"
        'North 1,100,Compost,chosen,loam,1.25,"N1; North bed 1",poorest bed,"a note, with comma"\n'
        "North 2,100,control,,,,N2,,\n"
    ),
    "amendments.csv": (
        "date,bed,material,amount,unit,mixed_to_in,notes\n"
        "2024-04-30,n1,compost,60,L,4,\n2024-05-01,compost,lime,2,kg,,\n2024-05-02,ALL,straw,1,kg,0,\n"
    ),
    "materials.csv": "material,dry_matter_pct,organic_matter_pct\ncompost,55,38.5\n",
    "mixes.csv": "mix,material,amount,unit\nsoaked char,wood char,20,L\nsoaked char,manure,10,L\n",
    "measurements.csv": "date,bed,measure,value,unit\n2024-07-15,North bed 1,soil temperature,-1.5,Cel\n",
    "claims.csv": "claim,beds,since,until\nOM doubled,n2; compost,2021-04-01,2024-04-30\nYield rose,,,\n",
    "corrections.csv": "source,sample,analyte,value,unit,reason\na.csv,N1,phosphorus,42,mg/kg,typing error\n",
    "reports/a.csv": "x",
    "reports/2023/b.txt": "x",
    "layouts/mylab.toml": "",
    "layouts/readme.txt": "",
}


def test_every_file_of_the_folder_is_loaded(garden_of) -> None:
    garden = load_garden(garden_of(WHOLE))

    assert (garden.name, garden.units) == ("Home", "us")
    assert garden.sampling.depth_cm == pytest.approx(15.24)
    assert (garden.sampling.cores, garden.sampling.month) == (15, 4)
    assert (garden.soil.bulk_density_g_cm3, garden.soil.texture) == (1.3, "loam")
    assert garden.noise == {"organic_matter": {"lab": 0.05}}
    bed = garden.beds[0]
    assert (bed.line, bed.bed, bed.treatment, bed.assigned) == (2, "North 1", "Compost", "chosen")
    assert (bed.also_called, bed.notes) == (("N1", "North bed 1"), "a note, with comma")
    assert bed.area_m2 == pytest.approx(9.290304)  # 100 ft2 of the international foot
    assert [a.bed for a in garden.amendments] == ["North 1", "Compost", "all"]
    assert garden.amendments[0].date == date(2024, 4, 30)
    assert [a.mixed_to_cm for a in garden.amendments] == [pytest.approx(10.16), None, 0]
    assert garden.materials[0].organic_matter_pct == 38.5
    assert [part.material for part in garden.mixes] == ["wood char", "manure"]
    assert (garden.measurements[0].bed, garden.measurements[0].value) == ("North 1", -1.5)
    assert [claim.beds for claim in garden.claims] == [("North 2", "North 1"), ()]
    assert (garden.claims[0].since, garden.claims[1].since) == (date(2021, 4, 1), None)
    assert garden.corrections[0].source == "reports/a.csv"
    assert [path.name for path in garden.reports] == ["b.txt", "a.csv"]
    assert [path.name for path in garden.layouts] == ["mylab.toml"]


def test_only_garden_toml_must_be_there(garden_of) -> None:
    garden = load_garden(garden_of())
    assert (garden.beds, garden.amendments, garden.reports) == ((), (), ())


BEDS = "bed,area_m2,also_called\nNorth 1,9.5,\nGemüse,10.25,N2\n"


@pytest.mark.parametrize(
    "content",
    [
        BEDS.encode("utf-8"),
        BEDS.encode("utf-8-sig"),
        BEDS.encode("utf-16"),
        BEDS.encode("utf-16-le"),
        BEDS.encode("cp1252"),
        BEDS.replace(",", ";").replace(".", ",").encode("cp1252"),
        BEDS.replace(",", "\t").encode("utf-16"),
        BEDS.replace("\n", "\r\n").encode(),
        BEDS.replace("\n", "\r").encode(),
        ("sep=;\n" + BEDS.replace(",", ";")).encode(),
        BEDS.replace("also_called\n", "also_called,,\n").replace("N2\n", "N2,,\n\n,,,\n").encode(),
        BEDS.replace("bed,area_m2", "Bed,Area m2").encode(),
        BEDS.replace(
            "North 1,", '"# a comment, with a comma",\n# one more, and more, and more, and more\nNorth 1,'
        ).encode(),
    ],
    ids=[
        "utf-8",
        "bom",
        "utf-16",
        "utf-16 without mark",
        "cp1252",
        "semicolons",
        "tabs",
        "crlf",
        "cr",
        "sep=",
        "empty columns",
        "headings",
        "comments",
    ],
)
def test_a_file_as_spreadsheet_programs_save_it(garden_of, content: bytes) -> None:
    beds = load_garden(garden_of({"beds.csv": content})).beds
    assert [(bed.bed, bed.area_m2) for bed in beds] == [("North 1", 9.5), ("Gemüse", 10.25)]


def test_a_bed_called_by_a_number_sign_is_no_comment(garden_of) -> None:
    beds = load_garden(garden_of({"beds.csv": "bed,area_m2\n#3,9\n# 4,9\n# note\n##\n#\n"})).beds
    assert [bed.bed for bed in beds] == ["#3", "# 4"]


@pytest.mark.parametrize(
    ("file", "content", "line", "column", "expected", "found"),
    [
        ("beds.csv", "bed,area_m2\nA,0\n", 2, "area_m2", "a number above 0", "'0'"),
        ("beds.csv", "bed,area_ft2\nA,0\n", 2, "area_ft2", "a number above 0", "'0'"),
        ("beds.csv", "bed,area_m2\nA,nan\n", 2, "area_m2", "a number", "'nan'"),
        ("beds.csv", "bed,area_m2\nA,inf\n", 2, "area_m2", "a number", "'inf'"),
        ("beds.csv", "bed,area_m2\n# c\n\nA,big\n", 4, "area_m2", "a number", "'big'"),
        ("beds.csv", "bed,area_m2\nA,3\n,4\n", 3, "bed", "a value", "nothing"),
        ("beds.csv", "bed,area_m2,area_ft2\nA,3,32\n", 2, "area_ft2", "area_m2 or area_ft2", "both"),
        ("beds.csv", "bed,assigned\nA,by lot\n", 2, "assigned", "nothing, 'random' or 'chosen'", "'by lot'"),
        ("beds.csv", "bed,bulk_density_g_cm3\nA,3\n", 2, "bulk_density_g_cm3", "a number below 2.65", "'3'"),
        ("beds.csv", "bed,notes\nA,one, two\n", 2, None, "2 cells as in the header", "3, the last 'two'"),
        ("beds.csv", 'bed,notes\nA,"open\nB,x\n', 3, None, "whole CSV rows", "unexpected end of data"),
        ("beds.csv", "bed,bed\nA,B\n", 1, "bed", "each column once", "2 times 'bed'"),
        ("beds.csv", "area_m2\n3\n", 1, "bed", "this column", "area_m2"),
        ("beds.csv", "bed\nall\n", 2, "bed", "a name with a letter or a number, not 'all'", "'all'"),
        ("beds.csv", "bed\n---\n", 2, "bed", "a name with a letter or a number, not 'all'", "'---'"),
        (
            "beds.csv",
            "bed,treatment\nA,b\nB,\n",
            2,
            "treatment",
            "a treatment that is no bed's name and not 'all'",
            "'b'",
        ),
        ("beds.csv", b"PK\x03\x04..", None, None, "a CSV text file", "a spreadsheet workbook"),
        ("beds.csv", b"bed\nA\x81\n", None, None, "a CSV text file", "bytes that are no text"),
        (
            "materials.csv",
            "material,dry_matter_pct\nx,120\n",
            2,
            "dry_matter_pct",
            "a number up to 100",
            "'120'",
        ),
        (
            "materials.csv",
            "material,dry_matter_pct\nx,50\nX,60\n",
            3,
            "material",
            "each material once",
            "'X' again (see line 2)",
        ),
        (
            "claims.csv",
            "claim,since,until\nx,2024-05-01,2023-05-01\n",
            2,
            "until",
            "a date after since",
            "2023-05-01 before 2024-05-01",
        ),
        (
            "measurements.csv",
            "date,bed,measure,value,unit\n2024-02-30,A,x,1,kg\n",
            2,
            "date",
            "a date that exists, as 2024-05-31",
            "'2024-02-30'",
        ),
        ("garden.toml", "name = Home\n", 1, None, "TOML that can be read", "Invalid value"),
        (
            "garden.toml",
            'name = "x"\n\n[sampling\n',
            3,
            None,
            "TOML that can be read",
            "Expected ']' at the end of a table declaration",
        ),
        ("garden.toml", "units = 'metrc'\n", 1, "units", "'metric' or 'us'", "'metrc'"),
        ("garden.toml", "[sampling]\nmonth = 13\n", 2, "[sampling] month", "a number up to 12", "13"),
        ("garden.toml", "[sampling]\nmonth = 4.5\n", 2, "[sampling] month", "a whole number", "4.5"),
        (
            "garden.toml",
            "[sampling]\ndepth_in = -6\n",
            2,
            "[sampling] depth_cm",
            "a number above 0",
            "-15.24",
        ),
        (
            "garden.toml",
            "[sampling]\ndepth_in = 6\ndepth_cm = 15\n",
            2,
            "[sampling] depth_in",
            "depth_cm or depth_in",
            "both",
        ),
        (
            "garden.toml",
            "[soil]\nbulk_density_g_cm3 = nan\n",
            2,
            "[soil] bulk_density_g_cm3",
            "a number",
            "nan",
        ),
        ("garden.toml", "soil = 1.3\n", 1, "soil", "a table", "1.3"),
        ("garden.toml", "[noise.ph]\nlab = 'x'\n", 2, "[noise.ph] lab", "a number", "'x'"),
    ],
)
def test_a_mistake_is_named_with_line_column_expected_and_found(
    problems_of,
    *,
    file: str,
    content: str | bytes,
    line: int | None,
    column: str | None,
    expected: str,
    found: str,
) -> None:
    problem = problems_of({file: content})[0]
    assert (problem.file, problem.line, problem.column) == (file, line, column)
    assert (problem.expected, problem.found) == (expected, found)


@pytest.mark.parametrize(
    ("files", "where", "advice"),
    [
        ({"beds.csv": "bed,tratment\nA,x\n"}, "beds.csv line 1, tratment", "Did you mean treatment?"),
        ({"garden.toml": "nam = 'x'\n"}, "garden.toml line 1, nam", "Did you mean 'name'?"),
        (
            {"garden.toml": "[samplin]\ncores = 3\n"},
            "garden.toml line 1, samplin",
            "Did you mean 'sampling'?",
        ),
        (
            {"garden.toml": "[sampling]\ncore = 3\n"},
            "garden.toml line 2, [sampling] core",
            "Did you mean 'cores'?",
        ),
        (
            {
                "beds.csv": "bed\nNorth 1\n",
                "amendments.csv": "date,bed,material,amount,unit\n2024-05-01,Nrth 1,x,1,kg\n",
            },
            "amendments.csv line 2, bed",
            "Did you mean 'North 1'?",
        ),
        (
            {
                "beds.csv": "bed,treatment\nNorth 1,compost\n",
                "amendments.csv": "date,bed,material,amount,unit\n2024-05-01,composed,x,1,kg\n",
            },
            "amendments.csv line 2, bed",
            "Did you mean 'compost'?",
        ),
        (
            {
                "beds.csv": "bed\nA\nB\n",
                "measurements.csv": "date,bed,measure,value,unit\n2024-05-01,C,x,1,kg\n",
            },
            "measurements.csv line 2, bed",
            "Known: 'A', 'B'.",
        ),
        (
            {"measurements.csv": "date,bed,measure,value,unit\n2024-05-01,C,x,1,kg\n"},
            "measurements.csv line 2, bed",
            "beds.csv names no bed yet: add it there.",
        ),
        (
            {"beds.csv": "bed\nNorth 1\n", "claims.csv": "claim,beds\nx,North 1; Nort 1\n"},
            "claims.csv line 2, beds",
            "Did you mean 'North 1'?",
        ),
        (
            {
                "reports/lab-2024.csv": "x",
                "corrections.csv": "source,sample,analyte,value,unit,reason\nlab-2024.cvs,A,ph,6,,typo\n",
            },
            "corrections.csv line 2, unit",
            "",
        ),
        (
            {
                "reports/lab-2024.csv": "x",
                "corrections.csv": "source,sample,analyte,value,unit,reason\nlab-2024.cvs,A,ph,6,pH,typo\n",
            },
            "corrections.csv line 2, source",
            "Did you mean 'lab-2024.csv'?",
        ),
        ({"Beds.csv": "bed\nA\n"}, "Beds.csv", "Save it as beds.csv"),
        ({"amendment.csv": "x\n"}, "amendment.csv", "Save it as amendments.csv"),
        ({"beds.xlsx": "x\n"}, "beds.xlsx", "Save it as beds.csv"),
    ],
)
def test_the_nearest_known_name_is_offered(problems_of, files, where: str, advice: str) -> None:
    (problem,) = problems_of(files)
    assert str(problem).startswith(f"{where}: expected")
    assert problem.advice.startswith(advice)


@pytest.mark.parametrize(
    ("rows", "line", "column", "found"),
    [
        ("North 1,\nNORTH-1,\n", 3, "bed", "'NORTH-1', which is 'North 1' of line 2"),
        ("North 1,N1\nNorth 2,n 1\n", 3, "also_called", "'n 1', which is 'N1' of line 2"),
        ("North 1,North 2\nNorth 2,\n", 3, "bed", "'North 2', which is 'North 2' of line 2"),
    ],
)
def test_one_name_for_two_beds_is_refused(problems_of, rows: str, line: int, column: str, found: str) -> None:
    (problem,) = problems_of({"beds.csv": f"bed,also_called\n{rows}"})
    assert (problem.line, problem.column, problem.found) == (line, column, found)


def test_a_bed_may_repeat_its_own_name_among_its_aliases(garden_of) -> None:
    assert load_garden(garden_of({"beds.csv": "bed,also_called\nNorth 1,north1;N1\n"})).beds


def test_all_problems_of_all_files_come_at_once_in_the_order_of_the_files(problems_of) -> None:
    problems = problems_of(
        {
            "claims.csv": "claim,since\nx,soon\n",
            "beds.csv": "bed,area_m2\nA,0\nB,-1\n",
            "garden.toml": "[sampling]\nmonth = 0\n",
            "amendments.csv": "date,bed,material,amount,unit\n2024-05-01,A,x,0,kg\n",
        }
    )
    assert [(p.file, p.line) for p in problems] == [
        ("garden.toml", 2),
        ("beds.csv", 2),
        ("beds.csv", 3),
        ("amendments.csv", 2),
        ("claims.csv", 2),
    ]


def test_an_unusable_bed_is_still_known_to_the_other_files(problems_of) -> None:
    problems = problems_of(
        {
            "beds.csv": "bed,area_m2\nA,0\n",
            "measurements.csv": "date,bed,measure,value,unit\n2024-05-01,A,x,1,kg\n",
        }
    )
    assert [p.file for p in problems] == ["beds.csv"]


@pytest.mark.parametrize(
    ("make", "found"),
    [
        (lambda folder: None, "nothing"),
        (lambda folder: folder.write_text("x"), "a file"),
        (lambda folder: folder.mkdir(), "an empty folder"),
        (lambda folder: (folder.mkdir(), (folder / "x.pdf").write_text("x")), "no garden.toml"),
    ],
)
def test_no_records_folder_is_one_plain_message(tmp_path: Path, make, found: str) -> None:
    make(tmp_path / "garden")
    with pytest.raises(RecordsError) as caught:
        load_garden(tmp_path / "garden")
    (problem,) = caught.value.problems
    assert problem.found == found
    assert problem.advice


def test_a_record_that_is_a_link_out_of_the_folder_is_named_and_not_followed(
    garden_of, tmp_path: Path
) -> None:
    (tmp_path / "elsewhere.csv").write_text("bed\nA\n")
    folder = garden_of()
    (folder / "beds.csv").symlink_to(tmp_path / "elsewhere.csv")
    with pytest.raises(RecordsError) as caught:
        load_garden(folder)
    (problem,) = caught.value.problems
    assert (problem.file, problem.expected) == ("beds.csv", "a file inside the records folder")
    assert "symbolic link" in problem.found


def test_a_link_inside_the_folder_is_followed(garden_of) -> None:
    folder = garden_of({"old/beds-2024.csv": "bed\nA\n"})
    (folder / "beds.csv").symlink_to(folder / "old" / "beds-2024.csv")
    assert [bed.bed for bed in load_garden(folder).beds] == ["A"]


def test_links_among_the_reports_are_left_to_whoever_opens_them(garden_of, tmp_path: Path) -> None:
    (tmp_path / "elsewhere.csv").write_text("x")
    folder = garden_of({"reports/a.csv": "x", "reports/.hidden": "x", "reports/~$a.xlsx": "x"})
    (folder / "reports" / "link.csv").symlink_to(tmp_path / "elsewhere.csv")
    assert [path.name for path in load_garden(folder).reports] == ["a.csv", "link.csv"]


def test_a_reports_folder_that_is_a_link_out_of_the_folder_is_refused(garden_of, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    folder = garden_of()
    (folder / "reports").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(RecordsError, match=r"reports: expected a folder inside the records folder"):
        load_garden(folder)


def test_loading_changes_nothing_in_the_folder(garden_of) -> None:
    folder = garden_of(WHOLE)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    load_garden(folder)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_a_problem_reads_as_one_sentence() -> None:
    problem = Problem("beds.csv", 4, "area_m2", "a number above 0", "'0'", "Measure the bed.")
    assert str(problem) == "beds.csv line 4, area_m2: expected a number above 0, found '0'. Measure the bed."


def test_a_claim_may_span_whole_years(garden_of) -> None:
    garden = load_garden(garden_of({"claims.csv": "claim,since,until\npH rose,2021,2024\n"}))
    assert (garden.claims[0].since, garden.claims[0].until) == (date(2021, 1, 1), date(2024, 12, 31))


def test_an_application_needs_a_day(problems_of) -> None:
    (problem,) = problems_of(
        {
            "beds.csv": "bed\nA\n",
            "amendments.csv": "date,bed,material,amount,unit\n2024,A,lime,1,kg\n",
        }
    )
    assert (problem.file, problem.column) == ("amendments.csv", "date")

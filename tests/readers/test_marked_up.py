"""Web pages and saved mails: tables become cells, what is hidden or attached is named and not read."""

import pytest

from soiltrend.readers import READERS, hypertext, mail
from soiltrend.readers.document import Page

HEAD = "From: lab@example.org\nTo: ann@example.org\nSubject: Results\nDate: Tue, 3 May 2022 10:11:12 +0200\n"


def cells(html: str) -> list[list[str]]:
    """Each row of the page that has words, as texts by column."""
    page = hypertext.read(html.encode(), "a.html")[0][0]
    return rows_of(page)


def rows_of(page: Page) -> list[list[str]]:
    rows: dict[float, dict[int, str]] = {}
    for word in page.words:
        rows.setdefault(word.top, {})[int(word.x0)] = word.text
    return [[row.get(column, "") for column in range(max(row) + 1)] for row in rows.values()]


@pytest.mark.parametrize(
    "html",
    [
        "<table><tr><th>Bed</th><th>pH</th></tr><tr><td>1</td><td>6.5</td></tr></table>",
        "<table><tr><th>Bed<th>pH<tr><td>1<td>6.5</table>",
        "<TABLE>\n<TR>\n<TD><b>Bed</b></TD>\n<TD>p<i>H</i></TD></TR>\n<TR><TD>1</TD><TD>6.5</TD></TR></TABLE>",
    ],
)
def test_a_table_however_it_is_closed(html: str) -> None:
    assert cells(html) == [["Bed", "pH"], ["1", "6.5"]]


def test_a_cell_over_two_columns_keeps_the_columns_below() -> None:
    html = "<table><tr><td>Bed<td colspan=2>ppm<td>%</tr><tr><td>1<td>45<td>200<td>4.1</tr></table>"
    assert cells(html) == [["Bed", "ppm", "", "%"], ["1", "45", "200", "4.1"]]


def test_a_cell_over_two_rows_keeps_the_columns_of_the_next_row() -> None:
    head = "<table><tr><td rowspan=2>Bed<td>P<td rowspan=2>OM</tr>"
    html = head + "<tr><td>ppm</tr><tr><td>1<td>45<td>4.1</tr></table>"
    assert cells(html) == [["Bed", "P", "OM"], ["", "ppm"], ["1", "45", "4.1"]]


def test_text_around_tables_is_a_row_of_its_own() -> None:
    html = "<html><h1>Lab</h1>Report 7<br>May 2021<table><tr><td>pH<td>6.5</table><p>Thanks</p></html>"
    assert cells(html) == [["Lab"], ["Report 7"], ["May 2021"], ["pH", "6.5"], ["Thanks"]]


def test_entities_are_letters() -> None:
    assert cells("<table><tr><td>P&nbsp;&lt;&#53;</td></tr></table>") == [["P <5"]]


def test_scripts_are_not_read_and_what_is_hidden_is_said() -> None:
    html = "<html><script>var pH = 1;</script><p style='display: none'>pH 2</p><p hidden>pH 3</p><p>pH 4</p>"
    pages, messages = hypertext.read(html.encode(), "a.html")
    assert rows_of(pages[0]) == [["pH 4"]]
    assert messages == ("Parts of the page are hidden and were not read.",)


def test_a_list_of_terms_is_pairs() -> None:
    assert cells("<html><dl><dt>pH<dd>6.5</dd><dt>P</dt><dd>45 ppm</dd></dl></html>")[-1] == ["P", "45 ppm"]


@pytest.mark.parametrize("name", ["report.html", "report.xls", "report.txt", "report"])
def test_a_web_page_is_known_by_its_content(name: str) -> None:
    content = b"<html><table><tr><td>pH</td><td>6.5</td></tr></table></html>"
    assert [reader.NAME for reader in READERS if reader.recognises(content, name)] == ["html"]


def test_a_mail_is_known_by_its_first_lines() -> None:
    content = (HEAD + "\npH 6.5\n").encode()
    assert [reader.NAME for reader in READERS if reader.recognises(content, "a.txt")] == ["mail"]


def test_a_report_that_begins_like_a_letter_is_no_mail() -> None:
    content = b"To: Ann\nDate: 3 May 2022\n\npH 6.5\nP 45 ppm\n"
    assert [reader.NAME for reader in READERS if reader.recognises(content, "a.txt")] == ["text"]


def test_letters_of_any_transfer_encoding_are_read() -> None:
    content = HEAD + (
        'MIME-Version: 1.0\nContent-Type: text/plain; charset="iso-8859-1"\n'
        "Content-Transfer-Encoding: quoted-printable\n\nPr=FCfbericht\npH 6.5\n"
    )
    words = [word.text for word in mail.read(content.encode(), "a.eml")[0][0].words]
    assert "Prüfbericht" in words
    assert "2022" in words  # the date of the mail is that of the report, where the text tells no other


def test_what_hangs_on_a_mail_is_named() -> None:
    content = HEAD + (
        'MIME-Version: 1.0\nContent-Type: multipart/mixed; boundary="b"\n\n'
        "--b\nContent-Type: text/plain\n\nPlease see the file.\n"
        '--b\nContent-Type: text/csv\nContent-Disposition: attachment; filename="beds.csv"\n\n'
        "pH\n6.5\n--b--\n"
    )
    _, messages = mail.read(content.encode(), "a.eml")
    assert messages == ("The mail carries beds.csv, which was not read; save it and add it by itself.",)

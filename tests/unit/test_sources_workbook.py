"""Spreadsheets: what their cells say as text, which sheets are read, where a record stands."""

import io
import struct
import tempfile
import zipfile
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.core.errors import InputError
from pipeline.core.source import PLACE, SHEET
from pipeline.sources.sheets import say_cell
from pipeline.tidy.corrections import Correction, apply_corrections
from tests.unit.reading import a_map, is_balanced, raw_file, reasons, tidy
from tests.unit.workbooks import Cell, workbook

HEAD: list[Cell] = ["Date", "Lift", "Load", "Reps"]
SET: list[Cell] = [date(2019, 3, 4), "bench press", 82.5, 8]


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (100.0, "100"),
        (82.5, "82.5"),
        (0.1 + 0.2, "0.3"),
        (-20, "-20"),
        (12, "12"),
        (True, "true"),
        (date(2019, 3, 4), "2019-03-04"),
        (datetime(2019, 3, 4), "2019-03-04"),
        (datetime(2019, 3, 4, 18, 30), "2019-03-04 18:30:00"),
        (time(7, 30), "7:30"),
        (time(0, 1, 5), "0:01:05"),
        (timedelta(hours=26, minutes=5), "26:05"),
        ("3x8@82,5", "3x8@82,5"),
        ("", None),
    ],
)
def test_a_cell_is_the_text_that_a_person_sees(cell: Cell, text: str | None) -> None:
    assert cell is not None
    assert say_cell(cell, ".") == text


@given(st.integers(-(10**14), 10**14), st.sampled_from([1, 2, 4, 5, 8, 10, 100, 1000]))
def test_a_number_comes_back_from_its_text(whole: int, part: int) -> None:
    value = whole / part
    text = say_cell(value, ",")
    assert text is not None
    assert float(text.replace(",", ".")) == pytest.approx(value, rel=1e-14)
    assert not text.endswith((",0", "."))


def test_numbers_carry_the_decimal_sign_of_the_map(tmp_path: Path) -> None:
    data = workbook({"log": [HEAD, SET, [date(2019, 3, 4), "bench press", "85,5", 6]]})
    raw = raw_file(tmp_path, data, a_map(decimal=","), "log.xlsx")
    assert raw.frame["Load"].to_list() == ["82,5", "85,5"]


def test_every_sheet_with_the_labels_is_read_wherever_they_stand(tmp_path: Path) -> None:
    data = workbook(
        {
            "2019": [["My training"], [], HEAD, SET],
            "summary": [["best", 100]],
            "2020": [[None, *HEAD], [None, date(2020, 1, 2), "pull-up", "+10", 6]],
        }
    )
    raw = raw_file(tmp_path, data, a_map(), "log.xlsx")
    assert raw.frame[PLACE].to_list() == ["sheet 2019, row 4", "sheet 2020, row 2"]
    assert raw.frame[SHEET].to_list() == ["2019", "2020"]
    assert raw.frame["row_no"].is_unique().all()
    assert "'summary'" in raw.warnings[0]
    found = tidy(tmp_path, data, a_map(), "log.xlsx")
    assert found.sets["session_date"].to_list() == [date(2019, 3, 4), date(2020, 1, 2)]
    assert is_balanced(found)


def test_only_the_named_sheets_are_read(tmp_path: Path) -> None:
    data = workbook({"plan": [HEAD, SET], "done": [HEAD, SET, SET]})
    raw = raw_file(tmp_path, data, a_map(sheets=("done",)), "log.xlsx")
    assert raw.frame[SHEET].unique().to_list() == ["done"]
    with pytest.raises(InputError, match=r"no sheet 'dones'.*nearest: 'done'"):
        raw_file(tmp_path, data, a_map(sheets=("dones",)), "log.xlsx")


def test_merged_cells_belong_to_all_their_rows(tmp_path: Path) -> None:
    rows = [HEAD, SET, [None, None, 85, 6], [None, "pull-up", "+10", 5]]
    data = workbook({"log": rows}, {"log": ["A2:A4", "B2:B3"]})
    found = tidy(tmp_path, data, a_map(), "log.xlsx")
    assert found.sets["session_date"].to_list() == [date(2019, 3, 4)] * 3
    assert found.sets["exercise_id"].to_list() == ["bench_press", "bench_press", "pull_up"]


def test_empty_cells_say_what_stands_above_only_where_the_map_says_so(tmp_path: Path) -> None:
    rows = [HEAD, SET, [None, None, 85, 6], [], [date(2019, 3, 6), None, 90, 5]]
    data = workbook({"log": rows})
    assert reasons(tidy(tmp_path, data, a_map(), "log.xlsx"))[0] == (3, "no date")
    one = a_map(fill_down=("date", "exercise"))
    found = tidy(tmp_path, data, one, "log.xlsx")
    assert found.sets["load_kg"].to_list() == [82.5, 85]
    assert reasons(found) == [(5, "no exercise")], "another day does not go on with the lift"
    assert found.counts.blank == 1
    assert is_balanced(found)


def test_a_sheet_per_lift_and_a_sheet_per_year(tmp_path: Path) -> None:
    rows: list[list[Cell]] = [["Date", "Load", "Reps"], [date(2019, 3, 4), 80, 8]]
    per_lift = a_map(more={"exercise": SHEET})
    data = workbook({"bench press": rows, "pull-up": rows})
    found = tidy(tmp_path, data, per_lift, "lifts.xlsx")
    assert found.sets["exercise_id"].to_list() == ["bench_press", "pull_up"]
    line: list[Cell] = ["4.3.", "bench press", 80, 8]
    data = workbook({"year 2018": [HEAD, line], "year 2019": [HEAD, line], "rest": [HEAD, line]})
    found = tidy(tmp_path, data, a_map(year_from="sheet", date_order="dmy"), "years.xlsx")
    assert found.sets["session_date"].to_list() == [date(2018, 3, 4), date(2019, 3, 4)]
    (aside,) = found.set_aside.to_dicts()
    assert aside["place"] == "sheet rest, row 2"
    assert "'rest' tells 0 years" in aside["detail"]


def test_no_sheet_with_the_labels_names_what_there_is(tmp_path: Path) -> None:
    data = workbook({"a": [["Day", "Exercise"], ["x", "y"]]})
    with pytest.raises(InputError, match=r"no column 'Date'.*among Day, Exercise"):
        raw_file(tmp_path, data, a_map(), "log.xlsx")
    with pytest.raises(InputError, match="empty file"):
        raw_file(tmp_path, workbook({"a": []}), a_map(), "log.xlsx")


def _archive(parts: dict[str, bytes]) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


def _far_cell() -> bytes:
    """A sheet of two cells at its two ends: a rectangle of 17 thousand million cells."""
    data = workbook({"log": [HEAD, SET]})
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    far = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
    sheet = "xl/worksheets/sheet1.xml"
    return _archive(parts | {sheet: parts[sheet].replace(b"</sheetData>", far)})


def _locked() -> bytes:
    """What locking a spreadsheet leaves: a compound file with the stream EncryptedPackage."""
    free, end = 0xFFFFFFFF, 0xFFFFFFFE
    head = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(16)
    head += struct.pack("<5H", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    head += struct.pack("<9I", 0, 1, 1, 0, 4096, end, 0, end, 0)
    head += struct.pack("<109I", 0, *[free] * 108)
    fat = struct.pack("<128I", 0xFFFFFFFD, end, *[free] * 126)

    def entry(name: str, kind: int, child: int) -> bytes:
        text = (name + "\0").encode("utf-16-le")
        links = struct.pack("<HBB3I", len(text), kind, 1, free, free, child)
        return text.ljust(64, b"\0") + links + bytes(36) + struct.pack("<IQ", end, 0)

    folder = entry("Root Entry", 5, 1) + entry("EncryptedPackage", 2, free)
    return head + fat + folder.ljust(512, b"\0")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"PK\x03\x04 and nothing more", "broken spreadsheet"),
        (workbook({"log": [HEAD, SET]})[:-200], "broken spreadsheet"),
        (b"\xd0\xcf\x11\xe0" + b"x" * 2000, "broken spreadsheet"),
        (_archive({"word/document.xml": b"<w/>"}), "not a spreadsheet"),
        (_archive({"content.xml": b"", "META-INF/manifest.xml": b"<encryption-data/>"}), "locked"),
        (_far_cell(), "a sheet of 17179869184 cells"),
        (_locked(), "locked by a password"),
    ],
    ids=["stub", "cut", "old stub", "document", "locked old", "far cell", "locked"],
)
def test_a_file_that_cannot_be_read_gives_one_clear_error(
    tmp_path: Path, data: bytes, told: str
) -> None:
    with pytest.raises(InputError, match=told) as caught:
        raw_file(tmp_path, data, a_map(), "log.xlsx")
    assert "ida/log.xlsx" in str(caught.value)
    assert caught.value.remedy


ODS = """<office:document-content
 xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0">
<office:body><office:spreadsheet><table:table table:name="log">{rows}</table:table>
</office:spreadsheet></office:body></office:document-content>"""


def _ods(rows: list[list[str]], times: int = 1) -> bytes:
    cell = '<table:table-cell office:value-type="string"{}><text:p>{}</text:p></table:table-cell>'
    more = f' table:number-columns-repeated="{times}"' if times > 1 else ""
    lines = ["".join(cell.format(more, text) for text in row) for row in rows]
    content = ODS.format(rows="".join(f"<table:table-row>{x}</table:table-row>" for x in lines))
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        b'<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
    )
    return _archive(
        {"mimetype": kind, "content.xml": content.encode(), "META-INF/manifest.xml": manifest}
    )


def test_an_open_document_is_read_too(tmp_path: Path) -> None:
    rows = [["Date", "Lift", "Load", "Reps"], ["2019-03-04", "bench press", "82.5", "8"]]
    raw = raw_file(tmp_path, _ods(rows), a_map(), "log.ods")
    assert raw.frame["Load"].to_list() == ["82.5"]
    with pytest.raises(InputError, match="from its first to its last"):
        raw_file(tmp_path, _ods(rows, 999_999_999), a_map(), "log.ods")


def test_an_archive_that_unpacks_to_more_than_memory_holds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pipeline.sources.sheets.MOST_BYTES", 2**20)
    data = _archive({"xl/workbook.xml": b"<workbook/>", "big": bytes(2**21)})
    with pytest.raises(InputError, match="2 MB when unpacked, 1 MB at most"):
        raw_file(tmp_path, data, a_map(), "log.xlsx")


def test_a_directory_that_points_before_the_file_is_refused(tmp_path: Path) -> None:
    data = bytearray(workbook({"log": [HEAD, SET]}))
    data[-4] += 1  # of the place where the archive says its directory begins
    with pytest.raises(InputError, match="a broken spreadsheet"):
        raw_file(tmp_path, bytes(data), a_map(), "log.xlsx")


@settings(deadline=None)
@given(st.data())
def test_a_damaged_spreadsheet_is_read_or_refused(data: st.DataObject) -> None:
    whole = bytearray(workbook({"log": [HEAD, SET, SET]}))
    for _ in range(data.draw(st.integers(1, 4))):
        whole[data.draw(st.integers(4, len(whole) - 1))] = data.draw(st.integers(0, 255))
    with tempfile.TemporaryDirectory() as folder:
        try:
            found = tidy(Path(folder), bytes(whole), a_map(), "log.xlsx")
        except InputError:
            return
    assert is_balanced(found)


def test_a_cell_of_a_sheet_is_corrected_by_its_place(tmp_path: Path) -> None:
    data = workbook({"2018": [HEAD, SET], "2019": [HEAD, SET]})
    raw = raw_file(tmp_path, data, a_map(), "log.xlsx")
    fix = Correction("log.xlsx", "sheet 2019, row 2", "Load", "82.5", "28.5", "digits swapped")
    mended = apply_corrections(raw, [fix])
    assert mended.frame["Load"].to_list() == ["82.5", "28.5"]
    gone = apply_corrections(raw, [replace(fix, row="sheet 2017, row 2")])
    assert gone.frame.equals(raw.frame)
    assert "log.xlsx sheet 2017, row 2 column 'Load': no row starts there" in gone.warnings[-1]

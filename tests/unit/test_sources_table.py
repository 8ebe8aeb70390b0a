"""Tables of any make, read as they are: labels, text and line numbers."""

import json
from pathlib import Path

import polars as pl
import pytest

from pipeline.core.errors import InputError
from pipeline.core.source import BEYOND
from pipeline.sources.read import raw_rows
from pipeline.sources.records import LINES_LOOKED_AT, MAX_LINES_PER_RECORD, sniff_separator
from tests.unit.reading import a_map, raw_file

HEAD = "Date,Lift,Load,Reps\n"


def rows(frame: pl.DataFrame) -> list[tuple[object, ...]]:
    return frame.rows()


def test_plain_file(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, HEAD + "2024-01-02, Bench ,80,8\n2024-01-02,Bench,,\n")
    assert rows(raw.frame) == [
        (2, "2024-01-02", " Bench ", "80", "8"),
        (3, "2024-01-02", "Bench", None, None),
    ]
    assert raw.encoding == "utf-8"
    assert raw.warnings == ()


def test_blank_lines_are_rows_and_keep_the_numbers(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, HEAD + "\na,b,1,2\n\n\nc,d,3,4")
    assert raw.frame["row_no"].to_list() == [2, 3, 4, 5, 6]
    assert raw.frame["Lift"].to_list() == [None, "b", None, None, "d"]


@pytest.mark.parametrize("separator", [";", "\t", ",", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends(tmp_path: Path, separator: str, end: str) -> None:
    text = (HEAD + "d,Bench,80,8\n").replace(",", separator).replace("\n", end)
    assert rows(raw_file(tmp_path, text).frame) == [(2, "d", "Bench", "80", "8")]


def test_a_decimal_comma_is_no_separator() -> None:
    lines = ["Tag;Satz", "1,5;2,5", "1,5;2,5"]
    assert sniff_separator(lines, 0, []) == ";"
    assert sniff_separator(["Tag,Satz;x", "1;2,3", "1;2"], 0, ["Tag"]) == ","
    assert sniff_separator(["Tag|Satz", *["1|2"] * LINES_LOOKED_AT], 0, ["Tag"]) == "|"


@pytest.mark.parametrize(
    ("encoding", "found"),
    [
        ("utf-8", "utf-8"),
        ("utf-8-sig", "utf-8-sig"),
        ("utf-16", "utf-16"),
        ("utf-32", "utf-32"),
        ("cp1252", "cp1252"),
    ],
)
def test_encodings_are_found_and_recorded(tmp_path: Path, encoding: str, found: str) -> None:
    raw = raw_file(tmp_path, (HEAD + "d,Bankdrücken,80,8\n").encode(encoding))
    assert rows(raw.frame) == [(2, "d", "Bankdrücken", "80", "8")]
    assert raw.encoding == found


def test_the_map_may_name_the_encoding(tmp_path: Path) -> None:
    text = (HEAD + "d,Жим,80,8\n").encode("cp1251")
    raw = raw_file(tmp_path, text, a_map(encoding="cp1251"))
    assert raw.frame["Lift"].to_list() == ["Жим"]
    with pytest.raises(InputError, match=r"log.csv line 2: byte 0xc6 is not ascii"):
        raw_file(tmp_path, text, a_map(encoding="ascii"))
    for name in ("klingon", "undefined"):
        with pytest.raises(InputError, match=f"encoding '{name}': no such encoding"):
            raw_file(tmp_path, text, a_map(encoding=name))


def test_bytes_without_meaning_stay_visible(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, HEAD.encode() + b"d,Be\x81nch,8\x000,8\nd,\xff,80,8\n")
    assert raw.frame["Load"].to_list() == ["8�0", "80"]
    assert "bytes are not utf-8" in raw.warnings[0]
    assert "NUL bytes (first in line 2)" in raw.warnings[1]


def test_quoted_cells_over_several_lines(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, HEAD + '"d","two\nlines, ""one"" cell",80,8\ne,Bench,82,8\n')
    assert rows(raw.frame) == [
        (2, "d", 'two\nlines, "one" cell', "80", "8"),
        (4, "e", "Bench", "82", "8"),
    ]


def test_plain_quotes_are_read_as_by_the_careful_reader(tmp_path: Path) -> None:
    text = '"Date","Lift","Load","Reps"\n"d","Bench, wide","80","8"\n"","","",""\n'
    assert raw_file(tmp_path, text).frame["Lift"].to_list() == ["Bench, wide", None]
    # the stray quote in the last line sends the same file through the careful reader
    careful = raw_file(tmp_path, text + 'x,12" bar,1,1\n').frame
    assert careful["Lift"].to_list() == ["Bench, wide", None, '12" bar']


def test_a_quote_that_is_never_closed_costs_no_row(tmp_path: Path) -> None:
    lines = [f"d{i},Bench,80,8" for i in range(3 * MAX_LINES_PER_RECORD)]
    lines[4] = 'd4,"Bench,80,8'
    raw = raw_file(tmp_path, HEAD + "\n".join(lines))
    assert raw.frame.height == len(lines)
    assert raw.frame.row(4) == (6, "d4", '"Bench', "80", "8")


def test_too_many_cells_are_kept_apart(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, HEAD + "d,Bench,80,8,,\nd,Bench,82,5,8\n")
    assert raw.frame[BEYOND].to_list() == [None, "8"]
    assert raw.frame["Reps"].to_list() == ["8", "5"]
    assert BEYOND not in raw_file(tmp_path, HEAD + "d,Bench,80,8,,\n").frame.columns


def test_labels_are_made_distinct(tmp_path: Path) -> None:
    text = "Date,Lift,Load,Reps,Reps,,row_no,*,  My   note \n1,2,3,4,5,6,7,8,9\n"
    raw = raw_file(tmp_path, text)
    assert raw.frame.columns == [
        *("row_no", "Date", "Lift", "Load", "Reps", "Reps (2)"),
        *("column 6", "row_no (2)", "column 8", "My note"),
    ]
    assert raw.warnings[0].startswith("the label 'Reps' stands more than once")


def test_header_row_and_preamble(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, "My log\n\n" + HEAD + "d,Bench,80,8\n", a_map(header_row=3))
    assert rows(raw.frame) == [(4, "d", "Bench", "80", "8")]
    with pytest.raises(InputError, match="header_row = 9, but the file has 2 lines"):
        raw_file(tmp_path, HEAD + "x\n", a_map(header_row=9))


def test_a_header_alone_is_an_empty_table(tmp_path: Path) -> None:
    for text in (HEAD, HEAD.strip()):
        assert raw_file(tmp_path, text).frame.shape == (0, 5)


def test_missing_columns(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        raw_file(tmp_path, "Date,Exercise,Load\nd,Bench,80\n")
    assert str(error.value) == (
        "ida/log.csv line 1: no column 'Lift', 'Reps' among Date, Exercise, Load: "
        "correct the labels, separator or header_row in maps/test.toml"
    )
    raw = raw_file(tmp_path, HEAD + "d,Bench,80,8\n", a_map(more={"rir": "RIR"}))
    assert raw.warnings == ("no column 'RIR'; read without it",)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "empty file"),
        (b"\r\n  \n", "empty file"),
        (b"PK\x03\x04rest of a sheet", "a broken spreadsheet"),
        (b"%PDF-1.7 ...", "a PDF document, not text"),
        (bytes(range(1, 256)) * 8, "a binary file"),
    ],
)
def test_what_is_no_text_is_refused(tmp_path: Path, data: bytes, told: str) -> None:
    with pytest.raises(InputError, match=told) as error:
        raw_file(tmp_path, data)
    assert str(error.value).startswith("ida/log.csv: ")
    assert error.value.remedy


def test_raw_rows_hold_the_row_as_written(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, HEAD + 'd," Bench ""x""",80,8\n')
    (row,) = raw_rows(raw).to_dicts()
    assert (row["file_id"], row["row_no"]) == ("file_log.csv", 2)
    assert json.loads(row["cells"]) == {
        "Date": "d",
        "Lift": ' Bench "x"',
        "Load": "80",
        "Reps": "8",
    }

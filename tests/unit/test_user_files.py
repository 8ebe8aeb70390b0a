"""The user's own files, broken in the ways people and programs break them: one plain line each."""

import os
from datetime import date

import pytest

from pipeline.core.errors import InputError, LiftstrataError, SettingsError, one_line
from pipeline.core.home import Home
from pipeline.core.settings import read_settings, read_toml
from pipeline.reference import load_reference, read_own_exercises
from pipeline.sources.maps import read_map
from pipeline.sources.snapshot import left_out, list_inbox
from pipeline.tidy.corrections import read_corrections
from pipeline.tidy.journal import read_journal, unknown_ids

SETTINGS = "schema = 1\n[lifter.larch]\ntraining_began = 2014-03-01\n"
MAP = """schema = 1
[match]
globs = ["*"]
[table]
kind = "sets"
[columns]
date = "date"
exercise = "lift"
load = "load"
reps = "reps"
[units]
load = "kg"
"""


def lifter(lifter_id: str) -> str:
    return SETTINGS.replace("larch", lifter_id)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda path: path.mkdir(), "not a file"),
        (lambda path: os.mkfifo(path), "not a file"),  # reading it would wait for ever
        (lambda path: path.symlink_to(path.name), "Too many levels"),
        (lambda path: path.symlink_to("nowhere"), "no such file"),
        (lambda path: path.write_bytes("schema = 1".encode("utf-16")), "line 1: byte 0xff"),
        (lambda path: path.write_bytes(b"schema = 1\n# caf\xe9"), "line 2: byte 0xe9"),
    ],
)
def test_what_is_no_text_file_is_refused_in_one_line(tmp_path, make, says):
    path = tmp_path / "larch.toml"
    make(path)
    with pytest.raises(SettingsError) as caught:
        read_toml(path, "journal/larch.toml")
    assert str(caught.value).startswith("journal/larch.toml")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_a_byte_order_mark_and_any_line_end_are_read(tmp_path, ends):
    path = tmp_path / "settings.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SETTINGS.replace("\n", ends).encode())
    assert read_settings(path).lifters[0].training_began == date(2014, 3, 1)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (lifter('"../evil"'), "an id of at most 64"),
        (lifter('".."'), "an id of at most 64"),
        (lifter('""'), "an id of at most 64"),
        (lifter('"a b"'), "an id of at most 64"),
        (lifter('"a|b"'), "an id of at most 64"),
        (lifter('"a\\n"'), "an id of at most 64"),
        (lifter("-rf"), "an id of at most 64"),
        (lifter("x" * 300), "an id of at most 64"),
        (SETTINGS + lifter("Larch").removeprefix("schema = 1\n"), "lifter.Larch beside"),
        (SETTINGS + "name = 3\n", "write 1 to 100 characters"),
        (SETTINGS + 'name = " "\n', "write 1 to 100 characters"),
        (SETTINGS.replace("2014", "0201"), "1930 or later"),
        (SETTINGS.replace("schema = 1", "schema = true"), "this version reads schema = 1"),
    ],
)
def test_settings_that_name_no_folder_or_no_person(tmp_path, text, says):
    path = tmp_path / "settings.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(SettingsError, match=says):
        read_settings(path)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "schema is missing: add it"),
        (MAP + "[load]\nbar_kg = nan\n", "load.bar_kg = nan: write a number"),
        (MAP.replace('"lift"', "2018-01-01"), 'columns.exercise = "2018-01-01": the label as'),
        (MAP.replace('"load"', "12:00:00"), 'columns.load = "12:00:00": the label as'),
        (MAP.replace('"lift"', '"' + 9999 * "a" + '"'), "aaa...: the label as"),
        (MAP + "changes = 3\n", "units.changes = 3: write it as a list"),
        (
            MAP + 'changes = [{from = 2018-01-01, load = "lb"}, {from = 2018-01-01, load = "kg"}]',
            "two from 2018-01-01",
        ),
    ],
)
def test_map_faults_name_the_file_and_the_remedy(tmp_path, text, says):
    path = tmp_path / "rows.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(SettingsError, match=r"maps/rows\.toml") as caught:
        read_map(path)
    assert says in str(caught.value)


def test_corrections_that_lead_nowhere_are_not_passed_over(tmp_path):
    path = tmp_path / "corrections.toml"
    path.symlink_to("gone/corrections.toml")
    with pytest.raises(SettingsError, match="no such file"):
        read_corrections(path)


def test_a_misspelt_subject_is_told_with_the_nearest_id(tmp_path):
    path = tmp_path / "larch.toml"
    path.write_text(
        '[[event]]\nkind = "injury"\nstart = 2020-01-06\nsubject = ["klaves", "knee"]\n'
        'lifts_out = ["back_squats"]\nregions = ["nee"]\n',
        "utf-8",
    )
    reference = load_reference()
    told = unknown_ids(
        read_journal(path, "larch"),
        "journal/larch.toml",
        reference.muscles["muscle_id"].to_list(),
        reference.exercises["exercise_id"].to_list(),
    )
    assert told == [
        "journal/larch.toml: injury from 6 Jan 2020: subject 'klaves' is not known: "
        "did you mean calves?",
        "journal/larch.toml: injury from 6 Jan 2020: lifts_out 'back_squats' is not known: "
        "did you mean back_squat?",
        "journal/larch.toml: injury from 6 Jan 2020: regions 'nee' is not known: "
        "did you mean knee?",
    ]


@pytest.mark.parametrize("exercise_id", ["my row", "../row", "a|b", "a:b", "my\x00row"])
def test_an_own_id_that_would_break_a_list_or_a_subject_is_refused(tmp_path, exercise_id):
    path = tmp_path / "exercises.csv"
    path.write_text(f"exercise_id,name,direct\n{exercise_id},My row,lats\n", "utf-8")
    with pytest.raises(InputError, match="line 2: exercise_id"):
        load_reference(read_own_exercises(path))


def test_an_endless_cell_is_refused(tmp_path):
    path = tmp_path / "exercises.csv"
    path.write_text("exercise_id,name,direct\nmy_row," + "x" * 200_000 + ",lats\n", "utf-8")
    with pytest.raises(LiftstrataError, match=r"exercises\.csv line 2"):
        read_own_exercises(path)


def test_a_link_to_itself_in_the_inbox_is_left_out(tmp_path):
    inbox = tmp_path / "inbox" / "larch"
    inbox.mkdir(parents=True)
    (inbox / "loop.csv").symlink_to("loop.csv")
    (inbox / "rows.csv").write_text("a\n", "utf-8")
    assert [one.path for one in list_inbox(Home(tmp_path))] == ["rows.csv"]


def test_what_leads_out_of_the_inbox_is_told(tmp_path):
    inbox, elsewhere = tmp_path / "inbox" / "larch", tmp_path / "elsewhere"
    for folder in (inbox, elsewhere):
        folder.mkdir(parents=True)
    (elsewhere / "log.csv").write_text("a\n", "utf-8")
    (inbox / "log.csv").symlink_to(elsewhere / "log.csv")
    (inbox / "years").symlink_to(elsewhere)
    (inbox / ".#log.csv").symlink_to("an editor's lock")
    (tmp_path / "inbox" / "linked").symlink_to(elsewhere)
    os.mkfifo(inbox / "pipe.csv")
    told = left_out(Home(tmp_path))
    assert [line.split(":")[0] for line in told] == [
        "larch/log.csv",
        "larch/pipe.csv",
        "larch/years",
        "inbox/linked",
    ]
    assert list_inbox(Home(tmp_path)) == []


def test_a_file_name_that_is_no_text_is_written_out(tmp_path):
    inbox = tmp_path / "inbox" / "larch"
    inbox.mkdir(parents=True)
    (inbox / os.fsdecode(b"caf\xe9.csv")).write_text("a\n", "utf-8")
    (found,) = list_inbox(Home(tmp_path))
    assert found.path == r"caf\xe9.csv"
    assert found.absolute.read_text("utf-8") == "a\n"


def test_a_message_is_one_short_line_without_commands_to_the_terminal():
    told = one_line("new\nline \x1b[31mred \u202eturned \udcff " + "x" * 5000 + " remedy")
    assert told.startswith(r"new\nline \x1b[31mred \u202eturned \udcff")
    assert told.endswith("remedy")
    assert len(told) < 420
    assert told.isprintable()

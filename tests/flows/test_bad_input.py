"""Bad input: one clear line each (file, row, value, what to do), the rest is still refreshed."""

import pytest

from tests.flows.homes import make_home, pages_of, run, tables_of

MAP = """
schema = 1
[match]
globs = ["{name}"]
[table]
kind = "sets"
[columns]
date = "date"
exercise = "lift"
load = "load"
unit = "unit"
reps = "reps"
[dates]
order = "ymd"
"""
ROWS = """date,lift,load,unit,reps
2020-01-06,bench press,60,kg,8
2020-02-31,bench press,60,kg,8
2020-01-08,bench press,-60,kg,8
2020-01-09,bench press,60,stone,8
2020-01-10,bench press,60,kg,many
"""


@pytest.fixture(scope="module")
def refreshed(tmp_path_factory):
    home = make_home(tmp_path_factory.mktemp("bad") / "home", "nights")
    inbox = home / "inbox" / "hazel"
    (inbox / "rows.csv").write_text(ROWS, "utf-8")
    (inbox / "picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\x00" * 50)
    (inbox / "diary.odd").write_text("whatever", "utf-8")
    settings = home / "settings.toml"
    gone = '[lifter.reed]\nname = "Reed"\ntraining_began = 2019-01-01\n'
    settings.write_text(settings.read_text("utf-8") + gone, "utf-8")
    (home / "maps" / "rows.toml").write_text(MAP.format(name="rows.csv"), "utf-8")
    (home / "maps" / "picture.toml").write_text(MAP.format(name="picture.csv"), "utf-8")
    return home, run("refresh", home)


@pytest.mark.parametrize(
    ("where", "value"),
    [
        ("hazel/rows.csv line 3", "2020-02-31"),
        ("hazel/rows.csv line 4", "60"),
        ("hazel/rows.csv line 5", "stone"),
        ("hazel/rows.csv line 6", "many"),
        ("hazel/picture.csv", "picture"),
        ("hazel/diary.odd", "no map"),
        ("inbox/reed", "no files now"),
    ],
)
def test_each_fault_has_one_line_with_place_and_value(refreshed, where, value):
    lines = [line for line in refreshed[1].stderr.splitlines() if where in line]
    assert len(lines) == 1, refreshed[1].stderr
    assert value in lines[0]
    assert lines[0].startswith("warning: ")


def test_the_rest_is_refreshed_and_the_exit_code_is_0(refreshed):
    home, done = refreshed
    assert done.returncode == 0, done.stderr
    tables = tables_of(home)
    assert tables["tidy_set"].height == 1
    assert tables["tidy_signal"].height > 100
    aside = tables["set_aside"].filter(tables["set_aside"]["as_written"].str.contains("bench"))
    assert aside.height == 4
    assert "Traceback" not in done.stderr
    start = pages_of(home)["index.html"].decode("utf-8")
    assert "Nothing that lies in the inbox now was read for Reed." in start


def test_an_inbox_that_is_not_there_leaves_the_pages_alone(refreshed):
    home, _ = refreshed
    before = pages_of(home)
    (home / "inbox").rename(home / "away")
    try:
        done = run("refresh", home)
    finally:
        (home / "away").rename(home / "inbox")
    assert done.returncode == 2, done.stderr
    last = done.stderr.splitlines()[-1]
    assert last.startswith("liftstrata: inbox: no files: the last pages stand")
    assert pages_of(home) == before

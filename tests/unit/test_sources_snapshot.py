"""The inbox as it is found, and its read-only copy."""

import os
import stat
from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from pipeline.core.home import Home
from pipeline.sources.snapshot import list_inbox, prune_snapshots, stray_files, take_snapshot


@pytest.fixture
def home(tmp_path: Path) -> Home:
    found = Home(tmp_path / "home")
    for path, text in {
        "ida/2021/log.csv": "a",
        "ida/b.csv": "b",
        "ola/b.csv": "b",
        "ida/.hidden.csv": "x",
        "ida/b.csv~": "x",
        "ida/~$b.xlsx": "x",
        "ida/b.csv.bak": "x",
        "ida/.git/config": "x",
        "loose.csv": "x",
    }.items():
        target = found.inbox / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text)
    return found


def test_lists_files_in_order_without_leftovers(home: Home) -> None:
    assert [file.shown for file in list_inbox(home)] == [
        "ida/2021/log.csv",
        "ida/b.csv",
        "ola/b.csv",
    ]
    assert stray_files(home) == ["loose.csv"]


def test_file_id_tells_lifter_path_and_content_apart(home: Home) -> None:
    first = {file.shown: file.file_id for file in list_inbox(home)}
    assert len(set(first.values())) == 3
    assert all(len(file_id) == 12 for file_id in first.values())
    (home.inbox / "ola/b.csv").write_text("changed")
    second = {file.shown: file.file_id for file in list_inbox(home)}
    assert [name for name in first if first[name] != second[name]] == ["ola/b.csv"]


def test_links_out_of_the_inbox_are_not_followed(home: Home, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "secret.csv").write_text("s")
    os.symlink(outside / "secret.csv", home.inbox / "ida/link.csv")
    os.symlink(outside, home.inbox / "ida/folder")
    os.symlink(outside, home.inbox / "other")
    os.symlink(home.inbox / "ola/b.csv", home.inbox / "ida/inside.csv")
    shown = [file.shown for file in list_inbox(home)]
    assert shown == ["ida/2021/log.csv", "ida/b.csv", "ida/inside.csv", "ola/b.csv"]


def test_no_inbox_is_no_file(tmp_path: Path) -> None:
    assert list_inbox(Home(tmp_path)) == []
    assert stray_files(Home(tmp_path)) == []


def test_snapshot_is_a_read_only_copy_made_once(home: Home) -> None:
    file = list_inbox(home)[0]
    copy = take_snapshot(home, file)
    assert copy.absolute == home.cache / "sources" / file.sha256
    assert copy.absolute.read_text() == "a"
    assert not copy.absolute.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH)
    made = copy.absolute.stat().st_ino
    assert take_snapshot(home, file).absolute.stat().st_ino == made
    assert (home.inbox / "ida/2021/log.csv").read_text() == "a"
    assert [path.name for path in (home.cache / "sources").iterdir()] == [file.sha256]


def test_a_file_that_changes_meanwhile_is_not_copied(home: Home) -> None:
    file = list_inbox(home)[0]
    file.absolute.write_text("changed")
    with pytest.raises(InputError, match=r"ida/2021/log.csv: changed while it was read: refresh"):
        take_snapshot(home, file)
    file.absolute.unlink()
    with pytest.raises(InputError, match="vanished"):
        take_snapshot(home, file)
    assert list((home.cache / "sources").iterdir()) == []


def test_a_copy_goes_when_its_file_has_changed(home: Home) -> None:
    prune_snapshots(home, ())  # before the first run there is nothing
    was = take_snapshot(home, list_inbox(home)[0]).absolute
    (home.inbox / "ida/2021/log.csv").write_text("a and more")
    now = take_snapshot(home, list_inbox(home)[0]).absolute
    prune_snapshots(home, {file.sha256 for file in list_inbox(home)})
    assert not was.exists()
    assert now.read_text() == "a and more"

"""The results of the steps on disk, and a folder that cannot be worked in."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.page_book import LifterInfo
from pipeline.core.settings import default_settings
from pipeline.flows.began import count_from_record
from pipeline.flows.cache import is_complete, keep, name_run, prune
from pipeline.flows.lock import lock_home


def test_braces_in_a_file_name_are_no_place_to_fill_in():
    assert name_run("file", "larch/%s{0}{x.y}.csv").format() == "file larch/%s{0}{x.y}.csv"


def write_two(folder: Path) -> None:
    (folder / "sub").mkdir()
    (folder / "rows.parquet").write_bytes(b"rows")
    (folder / "sub" / "page.html").write_text("page", "utf-8")


@pytest.mark.parametrize(
    "damage",
    [
        lambda folder: (folder / "rows.parquet").unlink(),
        lambda folder: (folder / "rows.parquet").write_bytes(b""),
        lambda folder: (folder / "sub" / "page.html").unlink(),
        lambda folder: (folder / ".sizes.json").write_bytes(b"\x00" * 40),
        lambda folder: (folder / ".sizes.json").unlink(),
    ],
)
def test_a_damaged_result_is_made_again(tmp_path, damage):
    folder = keep(tmp_path / "file" / "key", write_two)
    assert is_complete(folder)
    damage(folder)
    assert not is_complete(folder)
    keep(folder, write_two)
    assert (folder / "rows.parquet").read_bytes() == b"rows"
    assert (folder / "sub" / "page.html").read_text("utf-8") == "page"


def test_a_file_in_the_place_of_a_result_gives_way(tmp_path):
    folder = tmp_path / "file" / "key"
    folder.parent.mkdir()
    folder.write_text("garbage", "utf-8")
    (tmp_path / "garbage").write_text("garbage", "utf-8")
    keep(folder, write_two)
    (folder.parent / "old").write_text("garbage", "utf-8")
    prune(tmp_path, {folder})
    assert [path.name for path in folder.parent.iterdir()] == ["key"]


def test_a_complete_result_is_not_made_again(tmp_path):
    folder = keep(tmp_path / "file" / "key", write_two)

    def fail(_: Path) -> None:
        raise AssertionError

    assert keep(folder, fail) == folder


def test_a_folder_without_room_for_its_cache_is_one_plain_line(tmp_path):
    (tmp_path / ".cache").write_text("a file", "utf-8")
    with (
        pytest.raises(SettingsError, match=r"\.cache: .*: a refresh needs"),
        lock_home(Home(tmp_path)),
    ):
        pass


def test_training_that_was_logged_had_begun():
    larch = LifterInfo("larch", "Larch", date(2014, 3, 1), "kg", False)
    rowan = LifterInfo("rowan", "Rowan", date(2014, 3, 1), "kg", False)
    settings, told = count_from_record(
        default_settings((larch, rowan)), {"larch": date(2010, 1, 3), "rowan": date(2015, 1, 5)}
    )
    assert [one.training_began for one in settings.lifters] == [date(2010, 1, 3), date(2014, 3, 1)]
    assert len(told) == 1
    assert "lifter.larch.training_began = 2014-03-01: the record begins 3 Jan 2010" in told[0]
    assert count_from_record(settings, {}) == (settings, ())

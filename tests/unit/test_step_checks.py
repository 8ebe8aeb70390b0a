"""Whose findings are checked tonight, and which results of earlier nights stay in use."""

from datetime import date, timedelta
from pathlib import Path

from pipeline.flows.cache import KEY_LENGTH, keep
from pipeline.flows.step_checks import FEW_LIFTERS, STEP, choose_checks, find_kept, is_turn

MONDAY = date(2026, 1, 5)
WEEK = [MONDAY + timedelta(days=day) for day in range(7)]
OLD, NEW = "a" * KEY_LENGTH, "b" * KEY_LENGTH


def make(store: Path, name: str) -> None:
    keep(store / STEP / name, lambda folder: (folder / "rows").write_text("x", "utf-8"))


def test_among_many_each_has_one_night_in_seven() -> None:
    lifters = [f"lifter{number}" for number in range(200)]
    nights = [sum(is_turn(one, day, 200) for day in WEEK) for one in lifters]
    assert set(nights) == {1}
    load = [sum(is_turn(one, day, 200) for one in lifters) for day in WEEK]
    assert min(load) > 10  # 200 / 7 = 28.6 a night


def test_few_are_checked_every_night() -> None:
    assert all(is_turn("larch", day, FEW_LIFTERS) for day in WEEK)


def test_the_last_checks_stay_until_the_turn_comes(tmp_path: Path) -> None:
    make(tmp_path, f"larch-{OLD}")
    chosen = {day: choose_checks(tmp_path, "larch", NEW, day, 50) for day in WEEK}
    turns = [day for day in WEEK if is_turn("larch", day, 50)]
    assert [day for day in WEEK if chosen[day] == f"larch-{NEW}"] == turns
    assert {chosen[day] for day in WEEK if day not in turns} == {f"larch-{OLD}"}


def test_the_checks_of_the_same_content_stand_whenever_they_were_made(tmp_path: Path) -> None:
    make(tmp_path, f"larch-{NEW}")
    assert {choose_checks(tmp_path, "larch", NEW, day, 50) for day in WEEK} == {f"larch-{NEW}"}


def test_a_lifter_never_checked_waits_for_the_turn(tmp_path: Path) -> None:
    waiting = [day for day in WEEK if not is_turn("larch", day, 50)]
    assert {choose_checks(tmp_path, "larch", NEW, day, 50) for day in waiting} == {None}


def test_another_lifters_checks_are_not_taken(tmp_path: Path) -> None:
    make(tmp_path, f"larch-two-{OLD}")
    assert find_kept(tmp_path, "larch") is None
    assert find_kept(tmp_path, "larch-two") == f"larch-two-{OLD}"
    (tmp_path / STEP / f"larch-two-{OLD}" / "rows").write_text("", "utf-8")
    assert find_kept(tmp_path, "larch-two") is None

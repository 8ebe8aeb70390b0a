"""DEVELOPERS.md, "Numbers of the demo by hand": counted again from the demo's own files."""

import re
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

import polars as pl
import pytest

from pipeline import read_logbook
from pipeline.core.home import Home
from pipeline.demo.write_home import write_home
from pipeline.reference import load_reference

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")
SAID = GUIDE.split("### Numbers of the demo by hand")[1].split("\n### ")[0]
ROW = re.compile(r"^\| (2024-\S+) \| (\w+) \| (.+?) \| (\w*) ?\| (\w*) ?\|$", re.M)
REFERENCE = load_reference(None)
ROLES = {
    (lift, muscle): role
    for lift, muscle, role in REFERENCE.contributions.select(
        "exercise_id", "muscle_id", "role"
    ).iter_rows()
}
MUSCLES = ("chest", "triceps")


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    folder = tmp_path_factory.mktemp("demo")
    write_home(folder)
    return Home(folder)


def working_sets(home: Home, year: int, first: date, weeks: int) -> pl.DataFrame:
    """Alder's sets of that year from a Monday on, without warm-ups and further drops."""
    file = home.inbox / "alder" / "sets" / f"sets {year}.csv"
    sets = read_logbook(file, home.maps / "set_rows.toml")
    is_near = pl.col("session_date").is_between(first, first + timedelta(weeks=weeks, days=-1))
    return sets.filter(is_near, ~pl.col("is_warmup"), pl.col("segment_no") == 1)


def rows_told() -> Counter[tuple[str, str, int, float]]:
    """How often each (day, lift, repetitions, kg) stands in the guide's table."""
    told = Counter[tuple[str, str, int, float]]()
    for day, lift, sets, *_ in ROW.findall(SAID):
        for count, reps, load in (one.split("x") for one in sets.split(", ")):
            told[day, lift, int(reps), float(load)] += int(count)
    return told


def test_the_rows_are_those_of_the_file(home: Home) -> None:
    week = working_sets(home, 2024, date(2024, 5, 13), weeks=1)
    columns = ("session_date", "exercise_id", "reps", "load_moved_kg")
    kept = Counter(
        (str(day), lift, reps, load)
        for day, lift, reps, load in week.select(columns).iter_rows()
        if any((lift, muscle) in ROLES for muscle in MUSCLES)
    )
    assert rows_told() == kept


def test_the_roles_are_those_of_the_reference() -> None:
    for _, lift, _, *roles in ROW.findall(SAID):
        assert [ROLES.get((lift, muscle), "") for muscle in MUSCLES] == roles


@pytest.mark.parametrize("muscle", MUSCLES)
def test_the_sums_are_those_of_the_rows(muscle: str) -> None:
    """Direct sets count one and indirect ones half; kilograms are those of direct sets."""
    sets, moved = Counter[str](), 0.0
    for (_, lift, reps, load), count in rows_told().items():
        role = ROLES.get((lift, muscle), "none")
        sets[role] += count
        moved += count * reps * load if role == "direct" else 0.0
    direct, indirect = sets["direct"], sets["indirect"]
    sums = rf"- {muscle}: .* = {direct} direct, .* = {indirect} indirect sets, "
    weekly = rf"{direct} \+ {indirect}/2 = {direct + indirect / 2:g} weekly sets; .* = {moved:g} kg"
    assert re.search(sums + weekly, SAID)


def test_pulls_and_pushes_of_the_last_twelve_weeks(home: Home) -> None:
    patterns = dict(REFERENCE.exercises.select("exercise_id", "pattern").iter_rows())
    last = working_sets(home, 2026, date(2026, 8, 24), weeks=12)
    ways = Counter(patterns[lift] for lift in last["exercise_id"])
    pull, push = (ways[f"horizontal_{way}"] + ways[f"vertical_{way}"] for way in ("pull", "push"))
    text = " ".join(SAID.split())
    assert f"{pull} sets of horizontal and vertical pulls and {push} of pushes" in text
    assert f"{pull} / {push} = {pull / push:.2f}" in text

"""``make bench``: the speed bars, as ratios within one run, each printed with its figure.

* the trend smoother against statsmodels' on the same 600 weeks: at most a fifth of its time;
* a week planned from 30 muscles and 60 lifts: under 1 s of one core;
* the checks on the lifter's own record, ten years and 16 muscles: at most 12 s of one core;
* a refresh with nothing changed against a full one: at most 0.4;
* ten million sets of a table to ``tidy_set``, beside a bare scan of the same file: at most 6 times
  its time (the checks apart), under 2 GB; ``python -m tests.bench 1000000`` for fewer;
* each page in headless Chromium, twelve years and thirty muscles, and the group of a thousand
  (``bench_pages.py``): under 2 MB, first screen in 1.2 s, all charts in 2.0 s, answers in 0.15 s.
"""

import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from pipeline.demo.write_home import write_home
from pipeline.models.planning.programme import plan_week
from pipeline.models.simulate import CareerOptions, simulate_career
from tests.answered import answer_career
from tests.bench_pages import bench_pages
from tests.flows.homes import run
from tests.simulated_record import any_prior
from tests.smoothers import draw_series, smooth_here, smooth_there
from tests.week_problem import draw_problem

MOST_SMOOTHING = 1 / 5
MOST_CHECKING_S = 12.0
MOST_UNCHANGED = 0.4
MOST_PLANNING_S = 1.0
MOST_READING = 6.0
MOST_READING_GB = 2.0


def seconds(work: Callable[[], object]) -> float:
    """Wall time of one call."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def judge(what: str, figure: float, bar: float, unit: str) -> bool:
    """Print one bar; whether it holds."""
    holds = figure <= bar
    print(f"{'holds ' if holds else 'MISSED'}  {what}: {figure:.2f} {unit} (at most {bar:g})")
    return holds


def refresh(home: Path) -> None:
    """Refresh and insist that it went well."""
    done = run("refresh", home)
    assert done.returncode == 0, done.stderr


def bench_smoother(turns: int = 200) -> bool:
    """States and variances of a local linear trend, the two smoothers in turn; medians."""
    y = draw_series()
    ours, theirs = smooth_here(y), smooth_there(y)
    took = np.array([(seconds(ours), seconds(theirs)) for _ in range(turns)])
    here, there = 1000.0 * np.median(took, axis=0)
    print(
        f"        smoother {here:.2f} ms, statsmodels {there:.2f} ms, {there / here:.1f} x faster"
    )
    return judge("trend smoother over statsmodels", here / there, MOST_SMOOTHING, "times")


def bench_checks() -> bool:
    """Every check of one simulated career whose levels and indexes are fitted; time of the core."""
    options = CareerOptions(years=10, rir_recorded_from=0.5, n_gym_changes=1)
    decade = answer_career(simulate_career(11, options), any_prior())
    began = time.process_time()
    checks = decade.check()
    took = time.process_time() - began
    print(f"        {checks.height} checks of {checks['finding_id'].n_unique()} findings")
    return judge("checks on the lifter's own record", took, MOST_CHECKING_S, "s")


def bench_planning(turns: int = 12) -> bool:
    """The slowest of some weeks of 30 muscles and 60 lifts, 3 to 6 sessions; time of the core."""
    took, gaps = [], []
    for seed in range(turns):
        problem = draw_problem(seed, n_muscles=30, n_lifts=60, sessions=3 + seed % 4)
        began = time.process_time()
        gaps.append(plan_week(problem).gap)
        took.append(time.process_time() - began)
    print(f"        median {np.median(took):.2f} s, widest gap {100 * max(gaps):.1f} %")
    return judge("a week planned, the slowest", max(took), MOST_PLANNING_S, "s")


def bench_refresh(home: Path) -> bool:
    """A full refresh of the demo, then three with nothing changed."""
    write_home(home)
    full = seconds(lambda: refresh(home))
    unchanged = float(np.median([seconds(lambda: refresh(home)) for _ in range(3)]))
    print(f"        full refresh {full:.1f} s, nothing changed {unchanged:.1f} s")
    return judge(
        "refresh with nothing changed over a full one", unchanged / full, MOST_UNCHANGED, "times"
    )


def bench_reading(rows: Sequence[str]) -> bool:
    """A large table in parts, in a process of its own; ``rows``: how many, none for the bar's."""
    command = [sys.executable, "-m", "tests.bench_reading", *rows]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    scanning, reading, checking, peak = map(float, told.split())
    print(f"        scan {scanning:.1f} s, reading {reading:.1f} s, checks {checking:.1f} s apart")
    holds = [
        judge("reading a large table over a bare scan", reading / scanning, MOST_READING, "times"),
        judge("memory of reading a large table", peak, MOST_READING_GB, "GB"),
    ]
    return all(holds)


def main() -> int:
    """Run all; 1 when a bar is missed."""
    folder = Path(tempfile.mkdtemp())
    try:
        home = folder / "demo"
        holds = [bench_smoother(), bench_planning(), bench_checks(), bench_reading(sys.argv[1:])]
        holds += [bench_refresh(home), bench_pages()]
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    return 0 if all(holds) else 1


if __name__ == "__main__":
    sys.exit(main())

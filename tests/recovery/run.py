"""All recovery measurements on the same simulated careers, in two processes."""

import importlib
import pkgutil
import sys
import time
import traceback
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from multiprocessing import get_context
from types import ModuleType
from typing import Any

from pipeline.models.simulate import simulate_career
from tests import recovery
from tests.recovery.bars import Bar

PROCESSES = 2
TOLD_EVERY = 10


@dataclass(frozen=True)
class CareerScores:
    """What one career gave: a score by module, and the modules that broke on it."""

    seed: int
    by_module: dict[str, Any]
    broken: dict[str, str]
    seconds: dict[str, float]


def find_modules() -> list[str]:
    """Names of the ``measure_*`` modules, in order of name."""
    names = [one.name for one in pkgutil.iter_modules(recovery.__path__)]
    return [name for name in names if name.startswith("measure_")]


def load(name: str) -> ModuleType:
    """One measurement by its name."""
    return importlib.import_module(f"tests.recovery.{name}")


def measure_one(seed: int, names: list[str]) -> CareerScores:
    """Simulate one career and score it with every module; a module that breaks stops no other."""
    began = time.perf_counter()
    career = simulate_career(seed)
    seconds = {"simulate": time.perf_counter() - began}
    scores: dict[str, Any] = {}
    broken: dict[str, str] = {}
    for name in names:
        began = time.perf_counter()
        try:
            scores[name] = load(name).measure_career(seed, career)
        except Exception:
            broken[name] = traceback.format_exc()
        seconds[name] = time.perf_counter() - began
    return CareerScores(seed, scores, broken, seconds)


def measure_all(seeds: range, names: list[str]) -> list[CareerScores]:
    """All careers in two processes, with a line of progress now and then; in order of seed."""
    began, done = time.perf_counter(), []
    context = get_context("spawn")
    with ProcessPoolExecutor(PROCESSES, mp_context=context) as pool:
        waiting = [pool.submit(measure_one, seed, names) for seed in seeds]
        for number, future in enumerate(as_completed(waiting), start=1):
            done.append(future.result())
            if number % TOLD_EVERY == 0 or number == len(waiting):
                spent = time.perf_counter() - began
                left = spent / number * (len(waiting) - number)
                print(
                    f"{number} of {len(waiting)} careers, {spent:.0f} s, about {left:.0f} s left",
                    file=sys.stderr,
                    flush=True,
                )
    return sorted(done, key=lambda one: one.seed)


def collect_bars(careers: list[CareerScores], names: list[str]) -> list[Bar]:
    """Every module's bars, and one for the careers that broke it."""
    found: list[Bar] = []
    for name in names:
        scores = [one.by_module[name] for one in careers if name in one.by_module]
        found += load(name).bars(scores) if scores else []
        broken = [one for one in careers if name in one.broken]
        for one in broken[:3]:
            print(f"{name} broke on seed {one.seed}:\n{one.broken[name]}", file=sys.stderr)
        if broken:
            model = name.removeprefix("measure_")
            share = len(broken) / len(careers)
            found.append(Bar(model, "careers that broke it", share, 0.0, len(careers), high=0.0))
    return found


def print_table(bars: list[Bar]) -> None:
    """One Markdown table of all bars, on standard output."""
    print("| model | figure | value | standard error | n | bar | |")
    print("|---|---|---|---|---|---|---|")
    for bar in bars:
        name = f"{bar.name} ({bar.note})" if bar.note else bar.name
        value = f"{bar.value:.3f} | {bar.se:.3f} | {bar.n}"
        print(f"| {bar.model} | {name} | {value} | {bar.asked} | {bar.verdict} |")


def print_seconds(careers: list[CareerScores], names: list[str]) -> None:
    """Mean seconds a career of each part."""
    for name in ("simulate", *names):
        mean = sum(one.seconds[name] for one in careers) / len(careers)
        print(f"{name.removeprefix('measure_')}: {mean:.1f} s a career")


def run_all(n_careers: int, first: int = 0) -> int:
    """Measure, print, and say how many bars are not met."""
    names = find_modules()
    careers = measure_all(range(first, first + n_careers), names)
    bars = collect_bars(careers, names)
    print(f"seeds {first} to {first + n_careers - 1}\n")
    print_table(bars)
    print()
    print_seconds(careers, names)
    missed = sum(bar.is_met is False for bar in bars)
    print(f"\n{missed} of {sum(bar.is_met is not None for bar in bars)} bars not met")
    return missed

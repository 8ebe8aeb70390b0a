"""The Prefect flows ``refresh`` and ``nightly``: order, retries and caching; no arithmetic.

Imported only after the engine's environment is set (``run.py``): Prefect reads it on import.
"""

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

import polars as pl
from prefect import flow, task
from prefect.cache_policies import INPUTS, TASK_SOURCE
from prefect.futures import PrefectFuture
from prefect.task_runners import TaskRunner, ThreadPoolTaskRunner
from rich.console import Console

from pipeline.core.home import WAREHOUSE, Home
from pipeline.core.source import SourceFile
from pipeline.flows import step_group
from pipeline.flows.began import count_from_record, first_days
from pipeline.flows.cache import code_key, content_key, is_complete, keep, name_run, prune
from pipeline.flows.inputs import Inputs, read_inputs
from pipeline.flows.lock import lock_home
from pipeline.flows.progress import Progress
from pipeline.flows.report import describe_run, refuse_nothing, warn_of_rows
from pipeline.flows.step_checks import STEP as CHECKS
from pipeline.flows.step_checks import choose_checks, make_checks
from pipeline.flows.step_file import (
    FileResult,
    is_stale,
    key_of_file,
    load_file,
    make_file,
    unread_file,
)
from pipeline.flows.step_group import Answered
from pipeline.flows.step_lifter import (
    ANSWER_READS,
    make_answers,
    make_indexes,
    make_lifter,
    read_record,
)
from pipeline.flows.step_news import find_news, keep_told
from pipeline.flows.step_plans import LookedAhead, read_plans
from pipeline.flows.step_predictions import STEP as AHEAD
from pipeline.flows.step_predictions import choose_predictions, make_ahead
from pipeline.flows.step_run import (
    assemble_run,
    make_finished,
    make_pages,
    make_warehouse,
    read_book,
)
from pipeline.models.volume.group import GroupShift
from pipeline.sources.snapshot import prune_snapshots
from pipeline.store.predictions import append_predictions
from pipeline.store.publish import publish
from pipeline.store.runs import append_run
from pipeline.store.warehouse import read_table, read_tables

RUNNER: TaskRunner[Any] = ThreadPoolTaskRunner(max_workers=2)
STEPS = 7
READING_CODE = ("pipeline.core", "pipeline.reference", "pipeline.sources", "pipeline.tidy")
CHECKING_CODE = (*READING_CODE, "pipeline.checks")
ANSWERING_CODE = (*CHECKING_CODE, "pipeline.models", "pipeline.findings", "pipeline.store", "sql")
DRAWING_CODE = (*ANSWERING_CODE, "dashboards", "pipeline.flows")

Make = Callable[[Path], None]


@dataclass
class Run:
    """One refresh under way: its inputs, where results go, and which it used."""

    inputs: Inputs
    progress: Progress
    now: datetime

    def __post_init__(self) -> None:
        self.store = self.inputs.home.cache / "steps"
        self.used: set[Path] = set()
        self.news: dict[str, int] = {}

    def submit(self, step: str, subject: str, key: str, make: Make) -> PrefectFuture[str]:
        """Have Prefect make one result, or find it by its key; a lost result is made again."""
        folder = self.store / step / key
        self.used.add(folder)
        named = make_result.with_options(
            name=step, task_run_name=name_run(step, subject), refresh_cache=not is_complete(folder)
        )
        return named.submit(step, key, str(self.store), make)


def is_passing(_task: object, _run: object, state: Any) -> bool:
    """Retry only what may pass by itself: input and output of the system, never bad data."""
    try:
        state.result()
    except OSError:
        return True
    except Exception:
        return False
    return False


@task(
    cache_policy=(INPUTS + TASK_SOURCE) - "make",
    persist_result=True,
    result_serializer="json",
    retries=2,
    retry_delay_seconds=1,
    retry_condition_fn=is_passing,
)
def make_result(step: str, key: str, store: str, make: Make) -> str:
    """Make the result of one step in ``store/step/key`` unless it is complete there."""
    return str(keep(Path(store) / step / key, make))


@flow(name="refresh", task_runner=RUNNER, persist_result=False)
def refresh(home: str, began: str | None = None) -> dict[str, Any]:
    """Read everything in the inbox, answer every question, publish the pages.

    Parameters
    ----------
    home : the lifter's folder.
    began : ISO time of the run; its day is the last that can have been logged. The clock's own
        when a server starts the flow.
    """
    return _refresh(Home(Path(home)), began)


@flow(name="nightly", task_runner=RUNNER, persist_result=False)
def nightly(home: str, began: str | None = None) -> dict[str, Any]:
    """The same as a timer starts it; last night's pages stand when it fails."""
    return _refresh(Home(Path(home)), began)


def _refresh(home: Home, began: str | None) -> dict[str, Any]:
    now = datetime.fromisoformat(began) if began else datetime.now().replace(microsecond=0)
    progress = Progress(Console(stderr=True), STEPS)
    with lock_home(home):
        with progress.step("read settings, maps and journals"):
            run = Run(read_inputs(home, progress, now.date()), progress, now)
        source_files = _run_steps(run)
        report = describe_run(source_files, progress.warnings, now) | {"news": run.news}
        append_run(home, report)
    return report


def _run_steps(run: Run) -> pl.DataFrame:
    """Every step in order; table ``source_file`` as it was published."""
    inputs, progress = run.inputs, run.progress
    with progress.step(f"read {len(inputs.files)} files and check their rows"):
        files = _read_files(run)
        warn_of_rows(files, progress)
        refuse_nothing(inputs.home, files)
        inputs = run.inputs = _begin_with_record(run, files)
    with progress.step("join the files and fit the lifts"):
        keys, tidy = _join_lifters(run, files)
    with progress.step("build the warehouse"):
        base_key = content_key(
            "warehouse", keys, inputs.settings.checksum, code_key(*ANSWERING_CODE)
        )
        raw = [one.folder / "raw_row.parquet" for one in files if one.is_read and one.folder]
        base = _wait(run.submit("warehouse", "all", base_key, make_warehouse(inputs, tidy, raw)))
    with progress.step("answer the questions"):
        answers = _answer(run, base, keys, tidy)
    with progress.step("check the answers"):
        checks = _check(run, base, tidy, answers)
    with progress.step("draw and publish the pages"):
        folders = {lifter: one.folder for lifter, one in answers.items()}
        ahead = _look_ahead(run, base, base_key, tidy, folders)
        checked = sorted(folder.name for folder in checks.values())
        key = content_key(base_key, checked, ahead.parts)
        years = inputs.settings["slope_window_years"]
        make = make_finished(base / WAREHOUSE, tidy, folders, checks, ahead, years)
        finished = _wait(run.submit("finished", "all", key, make)) / WAREHOUSE
        _publish(run, key, finished)
        append_predictions(inputs.home, ahead.predictions.due)
    prune(run.store, run.used)
    prune_snapshots(inputs.home, {file.sha256 for file, _ in inputs.files})
    return read_table(finished, "source_file")


def _begin_with_record(run: Run, files: list[FileResult]) -> Inputs:
    """The inputs, no training age below zero: training that was logged had begun."""
    first, strays = first_days(files)
    settings, moved = count_from_record(run.inputs.settings, first)
    for warning in (*strays, *moved):
        run.progress.warn(warning)
    return replace(run.inputs, settings=settings)


def _wait(future: PrefectFuture[str]) -> Path:
    return Path(future.result())


def _read_files(run: Run) -> list[FileResult]:
    inputs, code, today = run.inputs, code_key(*CHECKING_CODE), run.now.date()
    waiting: list[tuple[SourceFile, PrefectFuture[str]]] = []
    for file, one in inputs.files:
        key = key_of_file(inputs, file, one, code)
        folder = run.store / "file" / key
        if is_complete(folder) and is_stale(folder, today):
            key = content_key(key, today)
        waiting.append(
            (file, run.submit("file", file.shown, key, make_file(inputs, file, one, today)))
        )
    read = [load_file(file, _wait(future)) for file, future in waiting]
    missed = [unread_file(file, "no map matches this file") for file in inputs.unmapped]
    return sorted([*read, *missed], key=lambda one: (one.file.lifter_id, one.file.path))


def _join_lifters(run: Run, files: list[FileResult]) -> tuple[dict[str, str], dict[str, Path]]:
    """Keys and folders of the joined record by lifter; lifters without any file are left out."""
    inputs, code = run.inputs, code_key(*ANSWERING_CODE)
    keys: dict[str, str] = {}
    waiting: dict[str, PrefectFuture[str]] = {}
    for lifter in inputs.settings.lifters:
        if lifter.lifter_id not in inputs.journals:
            continue
        own = [one for one in files if one.file.lifter_id == lifter.lifter_id]
        if not own:
            run.progress.warn(f"inbox/{lifter.lifter_id}: no files: copy yours there")
            continue
        read = [one.folder.name if one.folder else one.file.file_id for one in own]
        key = content_key("lifter", code, read, _lifter_parts(inputs, lifter.lifter_id))
        keys[lifter.lifter_id] = key
        make = make_lifter(inputs, lifter.lifter_id, own)
        waiting[lifter.lifter_id] = run.submit("lifter", lifter.lifter_id, key, make)
    return keys, {lifter: _wait(future) for lifter, future in waiting.items()}


def _lifter_parts(inputs: Inputs, lifter_id: str) -> list[object]:
    lifter = inputs.settings.lifter(lifter_id)
    journal = inputs.journals[lifter_id].write_json()
    chosen = sorted((sorted(files), keep) for files, keep in inputs.copies.items())
    own = [lifter, inputs.settings.thresholds, inputs.reference_id, json.loads(journal)]
    return [*own, chosen]


def _answer(
    run: Run, base: Path, keys: dict[str, str], tidy: dict[str, Path]
) -> dict[str, Answered]:
    """Models and findings of every lifter, on indexes that are fitted once."""
    inputs, fitted = run.inputs, _fit_indexes(run, keys, tidy)
    groups = _learn_group(run, keys, fitted)
    own_keys = step_group.keys_of_answers(keys, groups)
    marts: dict[str, Any] = {}
    if not all(is_complete(run.store / "answers" / key) for key in own_keys.values()):
        marts = read_tables(base / WAREHOUSE, ANSWER_READS)
    waiting = {}
    for lifter, key in own_keys.items():
        make = make_answers(inputs, lifter, tidy[lifter], fitted[lifter], marts, groups.get(lifter))
        waiting[lifter] = run.submit("answers", lifter, key, make)
    return {
        lifter: Answered(own_keys[lifter], groups.get(lifter), _wait(future))
        for lifter, future in waiting.items()
    }


def _fit_indexes(run: Run, keys: dict[str, str], tidy: dict[str, Path]) -> dict[str, Path]:
    """Folders of the muscle indexes by lifter, with summaries where there are enough lifters."""
    is_wanted, waiting = step_group.is_grouped(len(keys)), {}
    for lifter, key in keys.items():
        make = make_indexes(run.inputs, lifter, tidy[lifter], is_wanted)
        key = content_key("summarised", key) if is_wanted else key
        waiting[lifter] = run.submit("indexes", lifter, key, make)
    return {lifter: _wait(future) for lifter, future in waiting.items()}


def _learn_group(run: Run, keys: dict[str, str], fitted: dict[str, Path]) -> dict[str, GroupShift]:
    """By lifter what the others say of the best weekly sets; nothing with too few lifters."""
    if not step_group.is_grouped(len(keys)):
        return {}
    step, make = step_group.STEP, step_group.make_group(fitted)
    return step_group.read_group(_wait(run.submit(step, "all", content_key(step, keys), make)))


def _check(
    run: Run, base: Path, tidy: dict[str, Path], answers: dict[str, Answered]
) -> dict[str, Path]:
    """Folders of the checks by lifter: new ones, or the last while the turn has not come.

    A lifter that was never checked is left out.
    """
    today, waiting = run.now.date(), {}
    for lifter, answered in answers.items():
        chosen = choose_checks(run.store, lifter, answered.key, today, len(answers))
        if chosen is None:
            continue
        record = partial(read_record, run.inputs, lifter, tidy[lifter])
        make = make_checks(run.inputs, record, tidy[lifter], base / WAREHOUSE, answered, today)
        waiting[lifter] = run.submit(CHECKS, lifter, chosen, make)
    return {lifter: _wait(future) for lifter, future in waiting.items()}


def _look_ahead(
    run: Run, base: Path, base_key: str, tidy: dict[str, Path], answers: dict[str, Path]
) -> LookedAhead:
    """Forecasts, the predictions with those that this run adds, and accepted plans."""
    key = content_key(AHEAD, base_key, sorted(folder.name for folder in answers.values()))
    made = _wait(run.submit(AHEAD, "all", key, make_ahead(base / WAREHOUSE, tidy, answers)))
    home, warn = run.inputs.home, run.progress.warn
    exercises = run.inputs.reference.exercises["exercise_id"].to_list()
    return LookedAhead(
        folder=made,
        predictions=choose_predictions(home, made, tidy, warn),
        plans=read_plans(home, tidy, set(exercises), warn),
    )


def _publish(run: Run, base_key: str, finished: Path) -> None:
    home = run.inputs.home
    key = content_key(base_key, code_key(*DRAWING_CODE))
    news = find_news(run.inputs, finished, code_key(*ANSWERING_CODE), run.progress.warn)
    book = read_book(run.inputs, finished, news, run.now)
    page_key = content_key(key, book.style, sorted(news.since.items()), news.lines.write_json())
    pages = _wait(run.submit("pages", "all", page_key, make_pages(book)))
    run_id = run.now.strftime("%Y%m%dT%H%M%S.%f")
    building = home.cache / "building"
    shutil.rmtree(building, ignore_errors=True)  # what a killed run left
    build = building / run_id
    assemble_run(build, finished, pages, book)
    publish(home, build, run_id)
    keep_told(home, news)
    run.news = news.counts

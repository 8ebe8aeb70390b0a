"""The Prefect flows ``refresh`` and ``nightly``: order, retries and caching; no arithmetic.

Imported only after the engine's environment is set (``run.py``): Prefect reads it on import.
"""

import shutil
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import polars as pl
from prefect import flow
from prefect.task_runners import TaskRunner, ThreadPoolTaskRunner
from rich.console import Console

from pipeline.core.home import WAREHOUSE, Home
from pipeline.flows.began import count_from_record, first_days
from pipeline.flows.cache import code_key, content_key, prune
from pipeline.flows.inputs import Inputs, read_inputs
from pipeline.flows.lock import lock_home
from pipeline.flows.progress import Progress
from pipeline.flows.report import describe_run, last_steps, refuse_nothing, warn_of_rows
from pipeline.flows.step_file import FileResult
from pipeline.flows.step_news import find_news, keep_told
from pipeline.flows.step_run import (
    assemble_run,
    make_finished,
    make_pages,
    make_warehouse,
    read_book,
)
from pipeline.flows.steps import (
    answer_lifters,
    check_answers,
    join_lifters,
    look_ahead,
    read_files,
)
from pipeline.flows.work import ANSWERING_CODE, DRAWING_CODE, Run, wait
from pipeline.sources.snapshot import prune_snapshots
from pipeline.store.predictions import append_predictions
from pipeline.store.publish import publish
from pipeline.store.runs import append_run
from pipeline.store.warehouse import read_table

RUNNER: TaskRunner[Any] = ThreadPoolTaskRunner(max_workers=2)
STEPS = 7


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
    progress = Progress(Console(stderr=True), STEPS, last_steps(home))
    with lock_home(home):
        with progress.step("read settings, maps and journals"):
            run = Run(read_inputs(home, progress, now.date()), progress, now)
        source_files = _run_steps(run)
        report = describe_run(source_files, progress, now) | {"news": run.news}
        append_run(home, report)
    return report


def _run_steps(run: Run) -> pl.DataFrame:
    """Every step in order; table ``source_file`` as it was published."""
    inputs, progress = run.inputs, run.progress
    with progress.step(f"read {len(inputs.files)} files and check their rows"):
        files = read_files(run)
        warn_of_rows(files, progress)
        refuse_nothing(inputs.home, files)
        inputs = run.inputs = _begin_with_record(run, files)
    with progress.step("join the files and fit the lifts"):
        keys, tidy = join_lifters(run, files)
    with progress.step("build the warehouse"):
        base_key = content_key(
            "warehouse", keys, inputs.settings.checksum, code_key(*ANSWERING_CODE)
        )
        raw = [one.folder / "raw_row.parquet" for one in files if one.is_read and one.folder]
        base = wait(run.submit("warehouse", "all", base_key, make_warehouse(inputs, tidy, raw)))
    with progress.step("answer the questions"):
        answers = answer_lifters(run, base, keys, tidy)
    with progress.step("check the answers"):
        checks = check_answers(run, base, tidy, answers)
    with progress.step("draw and publish the pages"):
        folders = {lifter: one.folder for lifter, one in answers.items()}
        ahead = look_ahead(run, base, base_key, tidy, folders)
        checked = sorted(folder.name for folder in checks.values())
        key = content_key(base_key, checked, ahead.parts)
        years = inputs.settings["slope_window_years"]
        make = make_finished(base / WAREHOUSE, tidy, folders, checks, ahead, years)
        finished = wait(run.submit("finished", "all", key, make)) / WAREHOUSE
        _publish(run, key, finished)
        append_predictions(inputs.home, ahead.predictions.due)
    prune(run.store, run.used)
    if not inputs.without_files:  # else the copies may be the last ones
        prune_snapshots(inputs.home, {file.sha256 for file, _ in inputs.files})
    return read_table(finished, "source_file")


def _begin_with_record(run: Run, files: list[FileResult]) -> Inputs:
    """The inputs, no training age below zero: training that was logged had begun."""
    first, strays = first_days(files)
    settings, moved = count_from_record(run.inputs.settings, first)
    for warning in (*strays, *moved):
        run.progress.warn(warning)
    return replace(run.inputs, settings=settings)


def _publish(run: Run, base_key: str, finished: Path) -> None:
    home = run.inputs.home
    key = content_key(base_key, code_key(*DRAWING_CODE))
    news = find_news(run.inputs, finished, code_key(*ANSWERING_CODE), run.progress.warn)
    book = read_book(run.inputs, finished, news, run.now)
    page_key = content_key(key, book.style, sorted(news.since.items()), news.lines.write_json())
    pages = wait(run.submit("pages", "all", page_key, make_pages(book)))
    run_id = run.now.strftime("%Y%m%dT%H%M%S.%f")
    building = home.cache / "building"
    shutil.rmtree(building, ignore_errors=True)  # what a killed run left
    build = building / run_id
    assemble_run(build, finished, pages, book)
    publish(home, build, run_id)
    keep_told(home, news)
    run.news = news.counts

"""The steps of a refresh, each handed to Prefect for every file or lifter that it concerns."""

import json
from functools import partial
from pathlib import Path
from typing import Any

from prefect.futures import PrefectFuture

from pipeline.core.home import WAREHOUSE
from pipeline.core.source import NO_MAP, SourceFile
from pipeline.flows import step_group
from pipeline.flows.cache import code_key, content_key, is_complete
from pipeline.flows.inputs import Inputs
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
from pipeline.flows.step_plans import LookedAhead, read_plans
from pipeline.flows.step_predictions import STEP as AHEAD
from pipeline.flows.step_predictions import choose_predictions, make_ahead
from pipeline.flows.work import ANSWERING_CODE, CHECKING_CODE, Run, wait
from pipeline.models.volume.group import GroupShift
from pipeline.store.warehouse import read_tables


def read_files(run: Run) -> list[FileResult]:
    """What every inbox file gave, those that no map matches among them."""
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
    read = [load_file(file, wait(future)) for file, future in waiting]
    missed = [
        unread_file(file, inputs.why_unmapped.get(file.file_id, NO_MAP)) for file in inputs.unmapped
    ]
    return sorted([*read, *missed], key=lambda one: (one.file.lifter_id, one.file.path))


def join_lifters(run: Run, files: list[FileResult]) -> tuple[dict[str, str], dict[str, Path]]:
    """Keys and folders of the joined record by lifter; lifters without any file are left out."""
    inputs, code = run.inputs, code_key(*ANSWERING_CODE)
    keys: dict[str, str] = {}
    waiting: dict[str, PrefectFuture[str]] = {}
    for lifter in inputs.settings.lifters:
        if lifter.lifter_id not in inputs.journals:
            continue
        own = [one for one in files if one.file.lifter_id == lifter.lifter_id]
        if not own:
            run.progress.warn(
                f"inbox/{lifter.lifter_id}: no files now, nothing is answered for "
                f"{lifter.lifter_id}: copy yours there, or put them back"
            )
            continue
        read = [one.folder.name if one.folder else one.file.file_id for one in own]
        key = content_key("lifter", code, read, _lifter_parts(inputs, lifter.lifter_id))
        keys[lifter.lifter_id] = key
        make = make_lifter(inputs, lifter.lifter_id, own)
        waiting[lifter.lifter_id] = run.submit("lifter", lifter.lifter_id, key, make)
    return keys, {lifter: wait(future) for lifter, future in waiting.items()}


def _lifter_parts(inputs: Inputs, lifter_id: str) -> list[object]:
    lifter = inputs.settings.lifter(lifter_id)
    journal = inputs.journals[lifter_id].write_json()
    chosen = sorted((sorted(files), keep) for files, keep in inputs.copies.items())
    own = [lifter, inputs.settings.thresholds, inputs.reference_id, json.loads(journal)]
    return [*own, chosen]


def answer_lifters(
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
        lifter: Answered(own_keys[lifter], groups.get(lifter), wait(future))
        for lifter, future in waiting.items()
    }


def _fit_indexes(run: Run, keys: dict[str, str], tidy: dict[str, Path]) -> dict[str, Path]:
    """Folders of the muscle indexes by lifter, with summaries where there are enough lifters."""
    is_wanted, waiting = step_group.is_grouped(len(keys)), {}
    for lifter, key in keys.items():
        make = make_indexes(run.inputs, lifter, tidy[lifter], is_wanted)
        key = content_key("summarised", key) if is_wanted else key
        waiting[lifter] = run.submit("indexes", lifter, key, make)
    return {lifter: wait(future) for lifter, future in waiting.items()}


def _learn_group(run: Run, keys: dict[str, str], fitted: dict[str, Path]) -> dict[str, GroupShift]:
    """By lifter what the others say of the best weekly sets; nothing with too few lifters."""
    if not step_group.is_grouped(len(keys)):
        return {}
    step, make = step_group.STEP, step_group.make_group(fitted)
    return step_group.read_group(wait(run.submit(step, "all", content_key(step, keys), make)))


def check_answers(
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
    return {lifter: wait(future) for lifter, future in waiting.items()}


def look_ahead(
    run: Run, base: Path, base_key: str, tidy: dict[str, Path], answers: dict[str, Path]
) -> LookedAhead:
    """Forecasts, the predictions with those that this run adds, and accepted plans."""
    key = content_key(AHEAD, base_key, sorted(folder.name for folder in answers.values()))
    made = wait(run.submit(AHEAD, "all", key, make_ahead(base / WAREHOUSE, tidy, answers)))
    home, warn = run.inputs.home, run.progress.warn
    exercises = run.inputs.reference.exercises["exercise_id"].to_list()
    lifters = {one: run.inputs.settings.lifter(one).week_starts for one in tidy}
    return LookedAhead(
        folder=made,
        predictions=choose_predictions(home, made, tidy, warn),
        plans=read_plans(home, lifters, set(exercises), warn),
    )

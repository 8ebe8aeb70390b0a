"""``liftstrata trace``: where a number or a set on the pages comes from."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from rich.console import Console

from pipeline.cli.trace_finding import (
    describe_finding,
    origin_of,
    say_correction,
    say_doubt,
    tell_finding,
)
from pipeline.core.calendar import say_date
from pipeline.core.errors import SettingsError, one_line
from pipeline.core.home import WAREHOUSE, Home
from pipeline.store.publish import current_run
from pipeline.store.trace import Origin, names_set, read_set_name, trace_sets


def trace_what(folder: Path, what: str, *, is_all: bool = False, as_json: bool = False) -> None:
    """Print where a finding or every set that ``what`` names comes from.

    Parameters
    ----------
    what : an id of a finding or its beginning, words of its sentence, or a set with its day.
    is_all : lists in full.
    as_json : one JSON object, lists always in full.

    Raises
    ------
    SettingsError
        when the folder was never refreshed, or there is no such finding or set.
    """
    published = current_run(Home(folder.resolve()))
    if published is None:
        raise SettingsError(f"{folder}: nothing is published there: 'liftstrata refresh {folder}'")
    warehouse = published / WAREHOUSE
    if names_set(what):
        origins = trace_sets(warehouse, read_set_name(what))
        told: object = {"sets": [asdict(one) for one in origins]}
        lines = [line for one in origins for line in tell_origin(one)]
    else:
        origin, made = origin_of(warehouse, what)
        told = describe_finding(origin, made)
        lines = list(tell_finding(origin, made, folder, is_all))
    if as_json:
        print(json.dumps(told, ensure_ascii=False, default=str))
        return
    console = Console(soft_wrap=True)
    for line in lines:
        console.print(one_line(line), markup=False, highlight=False)


def tell_origin(origin: Origin) -> Iterator[str]:
    """What is known of one set, a line each: first the set itself, then what it is from."""
    one, file = origin.tidy_set, origin.source_file
    yield f"{one['lifter_id']}, {say_date(one['session_date'])}, {_lift(origin)}: {_result(origin)}"
    place = origin.place or f"line {one['row_no']}"
    yield f"  file: {file['lifter_id']}/{file['path']}, {place}"
    cells = " | ".join(f"{label}: {text}" for label, text in origin.cells.items() if text)
    yield f"  text: {cells}"
    yield f"  map: maps/{file['map']}.toml"
    if origin.name:
        how, certainty = origin.name["how"], origin.name["certainty"]
        yield f"  name: {one['exercise_as_written']!r} by {how}, certainty {certainty:.2f}"
    for fix in origin.corrections:
        yield f"  correction: {say_correction(fix)}"
    for doubt in origin.doubts:
        yield f"  doubted: {say_doubt(doubt)}"
    for copy in origin.copies:
        there = f"{one['lifter_id']}/{copy['path']} line {copy['row_no']}"
        yield f"  told again: {there}, {copy['how']}; left out"


def _lift(origin: Origin) -> str:
    one = origin.tidy_set
    drop = f", drop {one['segment_no'] - 1}" if one["segment_no"] > 1 else ""
    return f"{one['exercise_id'].replace('_', ' ')}, set {one['set_no']}{drop}"


def _result(origin: Origin) -> str:
    one = origin.tidy_set
    parts = [
        f"{one[column]:g} {unit}"
        for column, unit in (
            ("load_kg", "kg"),
            ("reps", "repetitions"),
            ("duration_s", "s"),
            ("distance_m", "m"),
        )
        if one[column] is not None
    ]
    warm = ["warm-up"] if one["is_warmup"] else []
    return ", ".join([*parts, *warm])

"""How exercises are named in each layout, drifts and slips of the pen included."""

import csv
from functools import cache
from importlib import resources


@cache
def _read_names() -> dict[str, dict[str, str]]:
    text = resources.files("pipeline.demo").joinpath("names.csv").read_text("utf-8")
    return {row["exercise_id"]: row for row in csv.DictReader(text.splitlines())}


def name_exercise(exercise_id: str, layout: str) -> str:
    """The name written for an exercise.

    ``layout``: wide_0 to wide_3 (the year of a yearly sheet modulo 4), european, log or sets. An
    empty cell of ``names.csv`` means the name in column ``sets``.
    """
    row = _read_names()[exercise_id]
    return row[layout] or row["sets"]


def all_names() -> dict[str, str]:
    """Every written name and the exercise it means."""
    return {
        name: key
        for key, row in _read_names().items()
        for column, name in row.items()
        if column != "exercise_id" and name
    }

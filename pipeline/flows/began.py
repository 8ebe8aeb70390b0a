"""The start of training, held against the record: training that was logged had begun."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from pipeline.core.calendar import say_date
from pipeline.core.settings import Settings
from pipeline.flows.step_file import FileResult


def first_days(files: Iterable[FileResult]) -> dict[str, date]:
    """The first day with a set, by lifter."""
    first: dict[str, date] = {}
    for one in files:
        day = one.frame("tidy_set")["session_date"].min()
        if isinstance(day, date):
            first[one.file.lifter_id] = min(day, first.get(one.file.lifter_id, day))
    return first


def count_from_record(
    settings: Settings, first: Mapping[str, date]
) -> tuple[Settings, tuple[str, ...]]:
    """Settings in which nobody's training begins after the own record does, and what was moved.

    A training age below zero has no meaning and no logarithm, so it is never handed on.
    """
    lifters, warnings = [], []
    for lifter in settings.lifters:
        day = first.get(lifter.lifter_id, lifter.training_began)
        if day < lifter.training_began:
            warnings.append(
                f"settings.toml: lifter.{lifter.lifter_id}.training_began = "
                f"{lifter.training_began}: the record begins {say_date(day)} and training age is "
                "counted from there: correct it, or the date in the file"
            )
            lifter = replace(lifter, training_began=day)
        lifters.append(lifter)
    return replace(settings, lifters=tuple(lifters)), tuple(warnings)

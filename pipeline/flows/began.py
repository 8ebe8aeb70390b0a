"""The start of training, held against the record: training that was logged had begun."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from pipeline.core.calendar import say_date
from pipeline.core.settings import Settings
from pipeline.flows.step_file import FileResult
from pipeline.tidy.corrections import confirmed_rows
from pipeline.tidy.doubt_dates import split_strays


def first_days(files: Iterable[FileResult]) -> tuple[dict[str, date], tuple[str, ...]]:
    """The first day with a set, by lifter, and warnings.

    Days that stand alone long before everything else are likely mistyped: nobody's training is
    counted from there, and the person is told.
    """
    days: dict[str, set[date]] = {}
    confirmed: set[date] = set()
    for one in files:
        sets = one.frame("tidy_set")
        right = confirmed_rows(one.frame("tidy_correction"))
        days.setdefault(one.file.lifter_id, set()).update(sets["session_date"])
        confirmed.update(sets.join(right, on=["file_id", "row_no"], how="semi")["session_date"])
    first, warnings = {}, []
    for lifter_id, found in days.items():
        strays, record = split_strays(sorted(found))
        if confirmed & set(strays):
            strays, record = [], sorted(found)
        if record:
            first[lifter_id] = record[0]
        if strays:
            warnings.append(
                f"{lifter_id}: sets of {' and '.join(map(say_date, strays))} stand alone, long "
                f"before {say_date(record[0])}: doubted, and training age is not counted from "
                "there: correct the date in corrections.toml, see State of the record"
            )
    return first, tuple(warnings)


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

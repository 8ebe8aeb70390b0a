"""Do the best-supported sets, and their trend, hold under other counts, priors, fewer years?

Every variant of the record (``stability_variants``) is fitted once, on the indexes as they are.
Best sets are read at the middle of each finding's band of training age. Placebos are shuffled
weeks, and the sets of a muscle that shares no exercise, at this muscle's mean: they must show
nothing.
"""

from collections.abc import Callable, Iterator, Mapping

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.stability_rows import Check, Row, check_choice, check_shuffles, is_sided
from pipeline.findings.stability_variants import (
    Muscles,
    find_controls,
    list_choices,
    read_muscles,
    scale_sets,
    shuffle_records,
)
from pipeline.findings.volume_record import COVERAGE
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.group import GroupShift

Values = tuple[float, float, float]
Reading = Callable[[Row], Values]
NOTHING: Values = (np.nan, np.nan, np.nan)


def check_volume(
    record: Record,
    tables: Mapping[str, pl.DataFrame],
    rows: list[Row],
    group: GroupShift | None = None,
) -> Iterator[Check]:
    """Every finding of ``rows`` (supported_sets, sets_trend) under every variant.

    ``tables`` holds ``model_muscle_index``, ``tidy_signal`` of the lifter and ``ref_prior``;
    ``group`` is what the answers took from other lifters.
    """
    readers = {"supported_sets": _read_sets, "sets_trend": _read_trend}
    for question, read in readers.items():
        asked = [row for row in rows if row["question"] == question]
        if asked:
            yield from _check(record, read_muscles(record, tables, group), asked, read)


def _check(
    record: Record, muscles: Muscles, rows: list[Row], read: Callable[[Muscles], Reading]
) -> Iterator[Check]:
    shuffled = [read(one) for one in shuffle_records(muscles)]
    for row in rows:
        found = [reading(row) for reading in shuffled]
        placebo = check_shuffles(row, "shuffled_weeks", "shuffled records", found)
        if placebo is not None:
            yield placebo
    for name, detail, variant in list_choices(record, muscles):
        reading = read(variant)
        for row in rows:
            values = reading(row)
            if np.isfinite(values[0]):
                yield check_choice(row, name, detail, values)
    yield from _controls(record, muscles, rows, read)


def _read_sets(muscles: Muscles) -> Reading:
    """Best sets (median, low, high) at the middle of a finding's band; nan when refused."""
    fits = muscles.fit()

    def reading(row: Row) -> Values:
        response = fits.get(_subject_of(row))
        if not isinstance(response, VolumeResponse):
            return NOTHING
        return response.best_sets((row["age_from"] + row["age_to"]) / 2, COVERAGE)

    return reading


def _read_trend(muscles: Muscles) -> Reading:
    """The trend (estimate, low, high), the same for every row; nan when refused."""
    trend = muscles.fit_trend()
    if isinstance(trend, Refusal):
        return lambda row: NOTHING
    values = (trend.estimate, trend.low, trend.high)
    return lambda row: values


def _controls(
    record: Record, muscles: Muscles, rows: list[Row], read: Callable[[Muscles], Reading]
) -> Iterator[Check]:
    """Every muscle against the sets of one that it shares no exercise with.

    They show something when the interval leaves out what the finding is held against.
    """
    partner = find_controls(record, sorted(muscles.weeks))
    others = {one: scale_sets(muscles, one, partner.get(one)) for one in muscles.weeks}
    reading = read(muscles.with_sets(others))
    for row in rows:
        estimate, low, high = reading(row)
        is_trend = row["question"] == "sets_trend"
        other = "other muscles" if is_trend else partner.get(_subject_of(row))
        if other is not None and np.isfinite(estimate):
            is_found = is_sided({**row, "low": low, "high": high})
            detail = f"weekly sets of {other.replace('_', ' ')}"
            yield Check(row, "negative_control", detail, estimate, low, high, is_found)


def _subject_of(row: Row) -> str:
    return str(row["subject"].split(":", 1)[1])

"""Lifters of one folder who tell each other where their best weekly sets lie, step by step."""

import json
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import polars as pl
import pytest

from pipeline.core.settings import default_settings
from pipeline.findings import Record, answer_indexes, finding_frame, summarise_lifter
from pipeline.findings.index_weeks import read_indexes
from pipeline.findings.say import say_number, say_range
from pipeline.findings.stability_variants import list_choices, read_muscles
from pipeline.findings.volume import VolumeAnswers, answer_volume
from pipeline.flows.cache import keep
from pipeline.flows.step_group import (
    SUMMARY,
    is_grouped,
    keys_of_answers,
    make_group,
    read_group,
    write_summary,
)
from pipeline.models.simulate import CareerOptions, simulate_career
from pipeline.models.volume.group import GroupShift, LifterSummary, pool_lifters
from tests.simulated_record import any_prior, muscles_of, record_of, signals_of

THRESHOLDS = default_settings().thresholds
LIFTERS = ("alder", "birch", "cedar", "damson", "elder")
TINY = CareerOptions(years=4, sessions_per_week=3, n_layoffs=0, n_injuries=0)


class Lifter(NamedTuple):
    """One small record, what is read of it, and the folder of its indexes."""

    record: Record
    tables: dict[str, pl.DataFrame]
    folder: Path

    def answer(self, group: GroupShift | None) -> VolumeAnswers:
        fitted = read_indexes(self.record, self.tables["model_muscle_index"])
        muscles, priors = self.tables["ref_muscle"], self.tables["ref_prior"]
        return answer_volume(self.record, fitted, muscles, priors, None, THRESHOLDS, group)


@pytest.fixture(scope="module")
def lifters(tmp_path_factory) -> dict[str, Lifter]:
    root, found = tmp_path_factory.mktemp("indexes"), {}
    for seed, name in enumerate(LIFTERS):
        career = simulate_career(seed, TINY)
        told = record_of(career)
        record = replace(told, lifter=replace(told.lifter, lifter_id=name))
        muscles = muscles_of(career)
        read = {"tidy_signal": signals_of(career), "ref_prior": any_prior()}
        tables = {**answer_indexes(record, muscles, THRESHOLDS).tables, **read}
        summary = summarise_lifter(record, tables)
        folder = keep(root / name, lambda folder, told=summary: write_summary(folder, told))
        found[name] = Lifter(record, {**tables, "ref_muscle": muscles}, folder)
    return found


@pytest.fixture(scope="module")
def groups(lifters, tmp_path_factory) -> dict[str, GroupShift]:
    folders = {name: one.folder for name, one in lifters.items()}
    return read_group(keep(tmp_path_factory.mktemp("group") / "all", make_group(folders)))


def test_each_is_told_what_the_others_say_without_himself(lifters, groups):
    assert set(groups) == set(LIFTERS)
    summaries = [summarise_lifter(one.record, one.tables) for one in lifters.values()]
    for name, group in groups.items():
        assert group == pool_lifters(summaries, leave_out=name)
        assert group.n_lifters == len(LIFTERS) - 1


def test_what_is_kept_does_not_depend_on_the_order_of_the_lifters(lifters, groups, tmp_path):
    folders = {name: lifters[name].folder for name in reversed(LIFTERS)}
    assert read_group(keep(tmp_path / "all", make_group(folders))) == groups


def test_with_few_others_nothing_is_learned(lifters, tmp_path):
    assert [is_grouped(n) for n in (2, 3, 4)] == [False, False, True]
    few = {name: lifters[name].folder for name in LIFTERS[:3]}
    assert read_group(keep(tmp_path / "few", make_group(few))) == {}
    bare = keep(tmp_path / "bare", lambda folder: None)  # a record without sets
    folders = {**few, "damson": bare}
    assert set(read_group(keep(tmp_path / "four", make_group(folders)))) == {"damson"}


def test_answers_are_made_again_only_when_what_the_others_say_moves(lifters, groups, tmp_path):
    keys = {name: f"key of {name}" for name in LIFTERS}
    assert keys_of_answers(keys, {}) == keys
    before = keys_of_answers(keys, groups)
    assert not set(before.values()) & set(keys.values())

    def after(by: float) -> dict[str, str]:
        told = json.loads((lifters["alder"].folder / SUMMARY).read_text("utf-8"))
        moved = {muscle: (row[0] + by, row[1], row[2]) for muscle, row in told.items()}
        summary = LifterSummary("alder", moved)
        alder = keep(tmp_path / f"alder {by}", lambda folder: write_summary(folder, summary))
        folders = {name: one.folder for name, one in lifters.items()} | {"alder": alder}
        made = keep(tmp_path / f"group {by}", make_group(folders))
        return keys_of_answers(keys, read_group(made))

    assert after(0.001) == before
    far = after(40.0)
    assert far["alder"] == before["alder"]
    assert all(far[name] != before[name] for name in LIFTERS[1:])


def test_the_published_average_stays_and_the_others_stand_beside_it(lifters, groups):
    lifter, group = lifters["birch"], groups["birch"]
    alone, together = (
        finding_frame(lifter.answer(one).findings).filter(
            (pl.col("question") == "supported_sets") & pl.col("estimate").is_not_null()
        )
        for one in (None, group)
    )
    published = ["finding_id", "prior_estimate", "prior_low", "prior_high"]
    assert alone.height > 5
    assert alone.select(published).equals(together.select(published))
    assert alone["group_n"].is_null().all()
    assert not alone["sentence"].str.contains("other lifters").any()
    for row in together.iter_rows(named=True):
        interval = say_range(row["group_low"], row["group_high"])
        said = (
            f", and with 4 other lifters here {say_number(row['group_estimate'], 0)} ({interval})"
        )
        assert said in row["sentence"]
        assert row["group_n"] == 4
        assert row["method"].endswith(", moved by other lifters")


def test_the_published_curve_stays_while_the_own_moves(lifters):
    lifter, up = lifters["birch"], GroupShift({None: 5.0}, 0.8, 9)
    alone, together = (lifter.answer(group).curves for group in (None, up))
    assert alone["prior_progress_pct_month"].equals(together["prior_progress_pct_month"])
    assert not alone["progress_pct_month"].equals(together["progress_pct_month"])


def test_what_others_narrowed_is_no_merit_of_the_record(lifters):
    """A prior that others halved narrows the answer, and the gain is still about the record's."""
    tables, record = lifters["birch"].tables, lifters["birch"].record
    halved = GroupShift({None: 0.0}, 0.5, 9)
    alone, moved = (read_muscles(record, tables, one).fit() for one in (None, halved))
    name = next(one for one, answer in alone.items() if hasattr(answer, "best_sets"))
    widths = [high - low for _, low, high in (fit[name].best_sets(6.0) for fit in (alone, moved))]
    assert widths[1] < 0.75 * widths[0]
    assert moved[name].gain_over_prior(6.0) >= alone[name].gain_over_prior(6.0)
    assert alone[name].group_best_sets(6.0) is None


def test_without_the_others_is_one_of_the_choices_that_are_checked(lifters, groups):
    record, tables = lifters["birch"].record, lifters["birch"].tables
    said = "average alone, without other lifters"
    alone, together = (
        {detail: one for _, detail, one in list_choices(record, read_muscles(record, tables, who))}
        for who in (None, groups["birch"])
    )
    assert said not in alone
    assert together[said].group is None
    assert together["spread doubled"].group == groups["birch"]

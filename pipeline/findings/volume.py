"""Weekly sets against progress, per muscle and training age, beside the published average."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.counted import say_count
from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.say import say_number, say_range
from pipeline.findings.support import is_no_better, support_sets
from pipeline.findings.volume_hold import answer_hold
from pipeline.findings.volume_others import group_fields, say_others
from pipeline.findings.volume_record import COVERAGE, energy_of_week, muscle_weeks, prior_of
from pipeline.findings.volume_trend import answer_trend
from pipeline.models.arrays import Bools, Floats
from pipeline.models.narrowing.blocks import Outlook, outlook_of
from pipeline.models.volume.answer import SupportedRange, VolumeResponse
from pipeline.models.volume.group import GroupShift
from pipeline.models.volume.pool import fit_volume_pool

METHOD = "concave response of all muscles together, MAP and Laplace on the published prior"
MOVED = ", moved by other lifters"
# Read again, word by word, by whatever counts such answers.
NO_BETTER = "The record adds nothing to the published average"
AGE_EDGES = (0.0, 1.0, 3.0, 6.0, 10.0, 15.0, 20.0, 30.0, 60.0)
BAND_LEAST_WEEKS = 26
CURVE_SETS = np.arange(0.0, 36.0)


@dataclass(frozen=True)
class VolumeAnswers:
    """Tables ``model_block`` and ``model_volume_curve``, findings, and what would narrow them.

    ``answers`` are the fitted responses or refusals by muscle.
    """

    blocks: pl.DataFrame
    curves: pl.DataFrame
    findings: tuple[Finding, ...]
    outlook: Outlook | None
    answers: Mapping[str, VolumeResponse | Refusal]


@dataclass(frozen=True)
class AgeBand:
    """A band of training age that the record reaches, cut to the record."""

    age_from: float
    age_to: float

    @property
    def middle(self) -> float:
        """Age at which the band's curve is drawn."""
        return (self.age_from + self.age_to) / 2


def answer_volume(
    record: Record,
    fitted: dict[str, IndexWeeks],
    muscles: pl.DataFrame,
    priors: pl.DataFrame,
    body_weight_kg: Floats | None,
    thresholds: dict[str, float],
    group: GroupShift | None = None,
) -> VolumeAnswers:
    """Answer supported sets and the least that held for every fitted muscle.

    ``group`` is what other lifters say of the best sets; None with too few of them.
    """
    blocks, curves = [empty_frame("model_block")], [empty_frame("model_volume_curve")]
    findings: list[Finding] = []
    names = dict(muscles.select("muscle_id", "name").rows())
    weeks = muscle_weeks(record, fitted)
    shared: dict[str, Any] = {
        "priors": {one: prior_of(priors, one) for one in fitted},
        "body_weight_kg": body_weight_kg,
        "energy": energy_of_week(record),
        "group": group,
    }
    pool = fit_volume_pool(weeks, record.training_age, **shared)
    findings.append(answer_trend(record, weeks, shared))
    for muscle_id, index in fitted.items():
        question = _Muscle(record, muscle_id, names[muscle_id], index, thresholds, group)
        response = pool.answers[muscle_id]
        findings += question.answer_supported(response)
        findings.append(
            answer_hold(record, muscle_id, names[muscle_id], weeks[muscle_id], thresholds)
        )
        if isinstance(response, VolumeResponse):
            blocks.append(question.block_frame(response))
            curves.append(question.curve_frame(response))
    return VolumeAnswers(
        pl.concat(blocks),
        pl.concat(curves),
        tuple(findings),
        outlook_of(pool, weeks, record.training_age),
        pool.answers,
    )


def age_bands(training_age: Floats, trained: Bools) -> list[AgeBand]:
    """Bands of training age with at least half a year of trained weeks, cut to the record."""
    bands = []
    for low, high in pairwise(AGE_EDGES):
        inside = (training_age >= low) & (training_age < high)
        if (inside & trained).sum() >= BAND_LEAST_WEEKS:
            ages = training_age[inside]
            bands.append(AgeBand(round(float(ages[0]), 1), round(float(ages[-1]), 1)))
    return bands


def _say_doubts(response: VolumeResponse, found: SupportedRange, width: float) -> str:
    """What stands against reading an answer as the record's own, each as a sentence."""
    doubts = []
    if is_no_better(width):
        others = " and the other lifters" if response.is_moved else ""
        doubts.append(f"{NO_BETTER}{others}.")
    if not response.is_separated_from_dieting:
        doubts.append("Not separated from dieting.")
    if found.high < response.inside_low:
        doubts.append(
            f"That lies below all that was trained ({say_number(response.inside_low, 0)} weekly "
            "sets and more): an assumption, not a reading."
        )
    return "".join(f" {doubt}" for doubt in doubts)


class _Muscle:
    """The volume questions of one muscle."""

    def __init__(
        self,
        record: Record,
        muscle_id: str,
        name: str,
        index: IndexWeeks,
        thresholds: dict[str, float],
        group: GroupShift | None,
    ) -> None:
        self._record, self._muscle_id, self._name = record, muscle_id, name
        self._thresholds, self._group = thresholds, group
        self._bands = age_bands(record.training_age, index.is_trained)

    def answer_supported(self, response: VolumeResponse | Refusal) -> Iterator[Finding]:
        """One finding a training-age band; a single refusal when there is no answer at all."""
        moved = "" if self._group is None else MOVED
        common = self._common("supported_sets", METHOD + moved)
        if isinstance(response, Refusal):
            yield find_refused(response, **common, unit="sets/week")
            return
        for band in self._bands:
            yield self._find_supported(response, band, common)

    def _find_supported(self, response: VolumeResponse, band: AgeBand, common: dict) -> Finding:
        share = self._thresholds["supported_share"]
        found = response.supported_range(band.middle, share, COVERAGE)
        best, best_low, best_high = response.best_sets(band.middle, COVERAGE)
        prior = response.prior_best_sets(band.middle, COVERAGE)
        others = response.group_best_sets(band.middle, COVERAGE)
        width = response.gain_over_prior(band.middle)
        upper = found.high if not found.is_open else response.inside_high
        more = "" if not found.is_open else f", no limit seen up to {upper:.0f}"
        doubt = _say_doubts(response, found, width)
        is_last = band == self._bands[-1]
        age = response.blocks.training_age_years
        n_inside = int(np.sum((age >= band.age_from) & (age <= band.age_to)))
        off_average = abs(best - prior[0]) / ((best_high - best_low) / 2)
        return find_answered(
            support_sets(n_inside, width, response.is_separated_from_dieting, off_average),
            **common,
            unit="sets/week",
            window="now" if is_last else "band",
            age_from=band.age_from,
            age_to=band.age_to,
            estimate=best,
            low=best_low,
            high=best_high,
            range_low=found.low,
            range_high=None if found.is_open else found.high,
            edge_low=found.low_interval[0],
            edge_high=found.high_interval[1],
            coverage=COVERAGE,
            n=n_inside,
            n_of=f"blocks of {response.n_blocks}",
            **self._dates(band),
            prior_estimate=prior[0],
            prior_low=prior[1],
            prior_high=prior[2],
            **group_fields(others, self._group),
            sentence=(
                f"{self._name.capitalize()} progressed most surely at about "
                f"{say_number(best, 0)} weekly sets ({say_range(best_low, best_high)}) at training "
                f"age {band.age_from:g} to {band.age_to:g}, from "
                f"{say_count(n_inside, 'blocks of that age')} among {response.n_blocks}"
                f"{more}; the published average says {say_number(prior[0], 0)} "
                f"({say_range(prior[1], prior[2])}){say_others(others, self._group)}.{doubt}"
            ),
        )

    def _common(self, question: str, method: str) -> dict:
        return {
            "lifter_id": self._record.lifter.lifter_id,
            "question": question,
            "subject": f"muscle:{self._muscle_id}",
            "method": method,
        }

    def _dates(self, band: AgeBand) -> dict:
        age = self._record.training_age
        weeks = np.flatnonzero((age >= band.age_from - 0.05) & (age <= band.age_to + 0.05))
        start_of = self._record.week_start
        return {
            "from_date": start_of(weeks[0]),
            "to_date": start_of(weeks[-1]) + timedelta(days=6),
        }

    def block_frame(self, response: VolumeResponse) -> pl.DataFrame:
        """Table ``model_block`` of this muscle."""
        blocks, start_of = response.blocks, self._record.week_start
        frame = pl.DataFrame(
            {
                "from_date": [start_of(week) for week in blocks.start_week],
                "to_date": [start_of(week) + timedelta(days=6) for week in blocks.end_week],
                "weekly_sets": blocks.weekly_sets,
                "progress_pct_month": blocks.progress_pct_month,
                "training_age_years": blocks.training_age_years,
                "is_used": blocks.is_used,
            }
        )
        return self._conform("model_block", frame)

    def curve_frame(self, response: VolumeResponse) -> pl.DataFrame:
        """Table ``model_volume_curve`` of this muscle, one curve a training-age band."""
        frames = [self._band_curve(response, band) for band in self._bands]
        return self._conform("model_volume_curve", pl.concat(frames))

    def _band_curve(self, response: VolumeResponse, band: AgeBand) -> pl.DataFrame:
        mean, low, high = response.curve(band.middle, CURVE_SETS, COVERAGE)
        prior, _, _ = response.prior_curve(band.middle, CURVE_SETS, COVERAGE)
        inside = (response.inside_low <= CURVE_SETS) & (response.inside_high >= CURVE_SETS)
        return pl.DataFrame(
            {
                "age_from": np.full(CURVE_SETS.size, band.age_from),
                "age_to": np.full(CURVE_SETS.size, band.age_to),
                "weekly_sets": CURVE_SETS,
                "progress_pct_month": mean,
                "low": low,
                "high": high,
                "prior_progress_pct_month": prior,
                "is_inside": inside,
            }
        )

    def _conform(self, table: str, frame: pl.DataFrame) -> pl.DataFrame:
        keys = {
            "lifter_id": pl.lit(self._record.lifter.lifter_id),
            "muscle_id": pl.lit(self._muscle_id),
        }
        return conform(table, frame.with_columns(**keys))

"""Expected progress of each muscle at the present training age, from its posterior or its prior."""

from collections.abc import Mapping

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.volume_record import prior_of
from pipeline.models.arrays import Floats
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.response_curve import (
    CURVATURE,
    EXPONENT,
    GROWTH,
    N_VALUES,
    best_sets_at,
    response_at,
)

SETS_GRID = np.arange(0.0, 61.0)
# Every fifth draw: the mean of 400 differs from that of 2,000 by less than a line can show.
EVERY = 5
# Progress that counts as near the best: chosen by us, not measured.
SHARE_OF_BEST = 0.9


def muscle_values(
    record: Record,
    answers: Mapping[str, VolumeResponse | Refusal],
    priors: pl.DataFrame,
    muscle_ids: list[str],
) -> dict[str, Floats]:
    """(n_draws, N_VALUES) of ``response_curve`` by muscle.

    A muscle without an answer has the published prior alone for its best sets and its curvature;
    how fast the person grows is then the middle of the answered muscles, draw by draw, else that of
    the prior: the prior's own spread of growth would outweigh every answered muscle.
    """
    drawn = {
        one: answer.draws[::EVERY]
        for one in muscle_ids
        if isinstance(answer := answers.get(one), VolumeResponse)
    }
    n_draws = len(next(iter(drawn.values()))) if drawn else 400
    found = {}
    for number, muscle_id in enumerate(muscle_ids):
        if muscle_id in drawn:
            found[muscle_id] = drawn[muscle_id]
            continue
        half = np.random.default_rng(number).standard_normal((n_draws // 2, N_VALUES))
        scores = np.concatenate([half, -half])
        scores[:, [GROWTH, EXPONENT]] = 0.0
        values = prior_of(priors, muscle_id).values(scores)
        for one in (GROWTH, EXPONENT) if drawn else ():
            values[:, one] = np.median([own[:, one] for own in drawn.values()], axis=0)
        found[muscle_id] = values
    return found


def progress_of(values: Floats, age: float) -> Floats:
    """(n_draws, n_grid) progress at ``SETS_GRID``, % a month."""
    return 100.0 * response_at(values[:, None, :], age, SETS_GRID) / 12.0


def range_of(values: Floats, age: float) -> tuple[float, float]:
    """Weekly sets that expect at least ``SHARE_OF_BEST`` of the best, medians over the draws."""
    best = best_sets_at(values, age)
    half = np.sqrt((1.0 - SHARE_OF_BEST) / values[:, CURVATURE])
    return float(np.median(np.maximum(best * (1.0 - half), 0.0))), float(
        np.median(best * (1.0 + half))
    )


def published_sets(priors: pl.DataFrame, muscle_ids: list[str], total: float) -> dict[str, float]:
    """The published average of each muscle, cut in one proportion where ``total`` is less."""
    centres = {one: prior_of(priors, one).centre_sets for one in muscle_ids}
    share = min(total / sum(centres.values()), 1.0)
    return {one: share * centre for one, centre in centres.items()}

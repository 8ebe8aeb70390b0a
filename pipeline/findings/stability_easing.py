"""Do the effect of deloads and the loss after layoffs hold at fake dates, or with one part less?"""

from collections.abc import Iterator, Mapping

import numpy as np

from pipeline.core.calendar import say_date
from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.easing_weekly import (
    Weekly,
    deload_arguments,
    layoff_arguments,
    read_weekly,
)
from pipeline.findings.say import say_share
from pipeline.findings.stability_rows import (
    BULK,
    PLACEBO_SHARE,
    SEED,
    Check,
    Row,
    check_choice,
)
from pipeline.models.pauses.deload_checks import fit_fake_deloads, leave_out_years
from pipeline.models.pauses.layoff import fit_layoffs

N_FAKES = 200


def check_easing(
    record: Record, rep_slopes: Mapping[str, float], rows: list[Row]
) -> Iterator[Check]:
    """Findings deload_effect and layoff_loss of ``rows``, from weekly strength as it is."""
    if not rows:
        return
    weekly = read_weekly(record, rep_slopes)
    for row in rows:
        check = _check_deloads if row["question"] == "deload_effect" else _check_layoffs
        yield from check(record, weekly, row)


def _check_deloads(record: Record, weekly: Weekly, row: Row) -> Iterator[Check]:
    """Fake dates, and the effect without each year of training."""
    strength, weights, weeks, left_out, rests = deload_arguments(record, weekly)
    arguments = (strength, weights, weeks, left_out, rests)
    fakes = fit_fake_deloads(*arguments, n_fakes=N_FAKES, seed=SEED)
    if fakes.effects_pct.size:
        low, high = np.percentile(fakes.effects_pct, BULK)
        values = (float(np.median(fakes.effects_pct)), float(low), float(high))
        detail = f"{say_share(fakes.share_as_far)} of fake dates show as much"
        is_flipped = fakes.share_as_far > PLACEBO_SHARE
        yield Check(row, "fake_dates", detail, *values, is_flipped)
    year = np.floor(record.training_age).astype(np.int64)
    for one in leave_out_years(strength, weights, weeks, year, left_out, rests):
        found = (one.effect_pct, one.low_pct, one.high_pct)
        detail = f"training age {one.year} to {one.year + 1}"
        yield check_choice(row, "left_out_year", detail, found)


def _check_layoffs(record: Record, weekly: Weekly, row: Row) -> Iterator[Check]:
    """The loss for each week off without each of the layoffs."""
    strength, weights, layoffs = layoff_arguments(record, weekly)
    for layoff in layoffs:
        others = tuple(one for one in layoffs if one != layoff)
        response = fit_layoffs(strength, weights, others)
        if isinstance(response, Refusal) or isinstance(response.by_length, Refusal):
            continue
        law = response.by_length
        found = (law.pct_per_week, law.low, law.high)
        began = say_date(record.week_start(layoff.start_week))
        yield check_choice(row, "left_out_layoff", f"the one of {began}", found)

"""How far each accepted plan was followed, as a finding of its own: a count, nothing inferred."""

from collections.abc import Iterator

import polars as pl

from pipeline.core.calendar import say_date
from pipeline.core.finding import Finding
from pipeline.findings.build import find_answered
from pipeline.findings.say import say_number
from pipeline.findings.support import COUNTED

METHOD = "count of weekly sets, muscle by muscle"


def answer_plans(progress: pl.DataFrame) -> Iterator[Finding]:
    """Finding ``plan_followed`` of every plan that a week of the record has met.

    Of the weekly sets planned in the weeks that were logged, the share done, %; in each week a
    muscle's sets beyond its plan make up for no other's.

    Parameters
    ----------
    progress : ``model_plan_progress`` of all lifters.
    """
    plans = progress.sort("lifter_id", "week_start", "muscle_id").partition_by(
        "lifter_id", "plan_id", maintain_order=True
    )
    for plan in plans:
        known = plan.filter(pl.col("done_sets").is_not_null())
        if known["planned_sets"].sum() > 0:
            yield _find(plan, known)


def _find(plan: pl.DataFrame, known: pl.DataFrame) -> Finding:
    lifter_id, plan_id, start = plan.select("lifter_id", "plan_id", "week_start").row(0)
    weeks, of_weeks = known["week"].n_unique(), plan["week"].n_unique()
    planned = float(known["planned_sets"].sum())
    done = float(known.select(pl.min_horizontal("planned_sets", "done_sets")).to_series().sum())
    share = 100.0 * done / planned
    ends = known["week_start"].dt.offset_by("6d").max()
    return find_answered(
        COUNTED,
        lifter_id=lifter_id,
        question="plan_followed",
        subject=f"plan:{plan_id}",
        unit="%",
        method=METHOD,
        window="event",
        estimate=share,
        n=weeks,
        n_of=f"logged weeks of {of_weeks}",
        from_date=known["week_start"].min(),
        to_date=ends,
        sentence=(
            f"Of {say_number(planned, 0)} weekly sets planned for all muscles in {weeks} logged "
            f"weeks of the plan from {say_date(start)}, {say_number(share, 0)} % were done."
        ),
    )

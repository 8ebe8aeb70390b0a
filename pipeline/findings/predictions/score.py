"""What came of the predictions whose day the record has reached, and how well they held."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.forecast import list_series
from pipeline.findings.predictions.make import RESTED_WEEKS, read_sources
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import support_score
from pipeline.models.arrays import Floats
from pipeline.models.forecast.scores import COVERAGE, Kept, Scored, score_kept

METHOD = "share inside and error against no change, by half-years and subjects"
READS = ("model_lift_level", "model_muscle_index", "source_file")
ID = "prediction_id"
# Windows of the findings: share inside, error less that of no change; the same of accepted plans.
WINDOWS = {"forecast": ("share", "error"), "plan": ("plan_share", "plan_error")}
NAMES = {"forecast": "forecasts", "plan": "expectations of plans"}


def score_predictions(kept: pl.DataFrame, tables: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    """Table ``model_prediction``: every prediction with what came of it, or why nothing has yet.

    What came is read from the present fit: of a lift its level in kg, of a muscle the change of its
    index since the level that was fitted when it was predicted. A line holds days; each is read in
    the week that starts nearest to it, which is the very day unless the lifter's weeks have come to
    start on another weekday since.

    Parameters
    ----------
    kept : as ``frame_of_lines`` gives it, of the folder's lifters.
    tables : those of ``READS``.
    """
    if kept.is_empty():
        return empty_frame("model_prediction")
    ends = {one: source.last_day for one, source in read_sources(tables["source_file"]).items()}
    levels = list_series(tables).sort("week_start")
    trained = _trained_weeks(tables)
    joined = kept.join(_levels_near(kept, levels, "to_date", "now_log"), on=ID, how="left").join(
        _levels_near(kept, levels, "zero_on", "zero_log"), on=ID, how="left"
    )
    rows = [_read_off(row, ends, trained) for row in joined.iter_rows(named=True)]
    frame = pl.DataFrame(rows, infer_schema_length=None)
    return conform("model_prediction", frame.rename({"low80": "low", "high80": "high"}))


def _levels_near(kept: pl.DataFrame, levels: pl.DataFrame, day: str, name: str) -> pl.DataFrame:
    """prediction_id and ``name``: level of the week that starts nearest to the line's ``day``.

    Never more than six days from it: the first or last week of a series may start so far off. None
    where the series has no such week. ``levels`` in order of week_start.
    """
    whose = ["lifter_id", "subject"]
    asked = kept.filter(pl.col(day).is_not_null()).select(ID, *whose, day).sort(day)
    found = asked.join_asof(
        levels,
        left_on=day,
        right_on="week_start",
        by=whose,
        strategy="nearest",
        tolerance="6d",
        check_sortedness=False,
    )
    return found.select(ID, pl.col("level_log").alias(name))


def _trained_weeks(tables: Mapping[str, pl.DataFrame]) -> dict[tuple[str, str], list[date]]:
    lifts = tables["model_lift_level"].with_columns(subject=pl.format("lift:{}", "exercise_id"))
    index = tables["model_muscle_index"].with_columns(subject=pl.format("muscle:{}", "muscle_id"))
    columns = ("lifter_id", "subject", "week_start")
    parts = [part.filter("is_trained").select(columns) for part in (lifts, index)]
    grouped = pl.concat(parts).sort(columns).group_by(columns[:2]).agg("week_start")
    return {(lifter, subject): weeks for lifter, subject, weeks in grouped.iter_rows()}


def _read_off(
    row: dict[str, Any], ends: Mapping[str, date], trained: Mapping[tuple[str, str], list[date]]
) -> dict[str, Any]:
    """The row with state, came and is_inside."""
    state = _state(row, ends.get(row["lifter_id"]), trained)
    came = _came(row) if state == "came" else None
    if came is None and state == "came":
        state = "not trained"
    is_inside = None if came is None else row["low80"] <= came <= row["high80"]
    del row["now_log"], row["zero_log"]
    return {**row, "state": state, "came": came, "is_inside": is_inside}


def _state(
    row: Mapping[str, Any], end: date | None, trained: Mapping[tuple[str, str], list[date]]
) -> str:
    """open, came, or not trained: no training within ``RESTED_WEEKS`` of the day."""
    target, room = row["to_date"], timedelta(weeks=RESTED_WEEKS)
    if end is None or end < target + timedelta(days=6):
        return "open"
    near = [
        day for day in trained.get((row["lifter_id"], row["subject"]), ()) if day >= target - room
    ]
    if (
        near
        and near[-1] + timedelta(days=6) >= target
        and any(abs(day - target) <= room for day in near)
    ):
        return "came"
    return "open" if end < target + room else "not trained"


def _came(row: Mapping[str, Any]) -> float | None:
    if row["now_log"] is None:
        return None
    if row["unit"] == "kg":
        return float(np.exp(row["now_log"]))
    if row["zero_log"] is None:  # the weeks that it was counted from are no longer in the record
        return None
    return 100.0 * float(np.expm1(row["now_log"] - row["zero_log"] - row["level_log"]))


def answer_scores(scored: pl.DataFrame) -> list[Finding]:
    """Findings ``prediction_score``: two a lifter with forecasts, two with accepted plans."""
    found: list[Finding] = []
    parts = scored.sort("lifter_id", "question").partition_by(
        "lifter_id", "question", as_dict=True, maintain_order=True
    )
    for (lifter_id, question), rows in parts.items():
        found += _answer(str(lifter_id), str(question), rows)
    return found


def _answer(lifter_id: str, question: str, rows: pl.DataFrame) -> list[Finding]:
    came = rows.filter(pl.col("state") == "came")
    share, error = WINDOWS[question]
    common: dict[str, Any] = {
        "lifter_id": lifter_id,
        "question": "prediction_score",
        "subject": f"lifter:{lifter_id}",
        "unit": "%",
        "method": METHOD,
    }
    found = score_kept(_kept(came))
    if isinstance(found, Refusal):
        return [find_refused(found, window=window, **common) for window in (share, error)]
    common |= {
        "n": found.n,
        "n_of": f"{NAMES[question]} whose day has come",
        "coverage": COVERAGE,
        "from_date": rows["predicted_on"].min(),
        "to_date": came["to_date"].max(),
    }
    support = support_score(found.n, found.spans)
    held, beyond = _ends(found.share, 100.0), _ends(found.beyond, 1.0)
    return [
        find_answered(
            support, **common, **held, window=share, sentence=_say_share(question, found, held)
        ),
        find_answered(
            support,
            **common,
            **beyond,
            window=error,
            sentence=_say_error(question, found, beyond),
        ),
    ]


def _kept(came: pl.DataFrame) -> Kept:
    """Errors in log x 100, so that kilograms and changes in % go together."""
    is_kg = (came["unit"] == "kg").to_numpy()

    def logs(name: str) -> Floats:
        values = came[name].to_numpy().astype(float)
        return 100.0 * np.log(np.where(is_kg, values, 1.0 + values / 100.0))

    days = came["to_date"]
    return Kept(
        inside=came["is_inside"].to_numpy().astype(bool),
        error=logs("came") - logs("estimate"),
        error_unchanged=logs("came") - logs("unchanged"),
        span=(2 * days.dt.year() + (days.dt.month() > 6).cast(pl.Int64)).to_numpy(),
        subject=came["subject"].rank("dense").cast(pl.Int64).to_numpy(),
    )


def _ends(one: tuple[float, float, float], factor: float) -> dict[str, float]:
    return dict(zip(("estimate", "low", "high"), (factor * end for end in one), strict=True))


def _say_share(question: str, found: Scored, told: Mapping[str, float]) -> str:
    share, low, high = (say_number(told[name]) for name in ("estimate", "low", "high"))
    return (
        f"Of {found.n} {NAMES[question]} whose day has come, {share} % ({low} to {high}) came "
        "inside their 80 % interval; what came is read from the present fit."
    )


def _say_error(question: str, found: Scored, told: Mapping[str, float]) -> str:
    mean = say_change(told["estimate"], 2)
    ends = say_interval(told["low"], told["high"], 2)
    return (
        f"The {found.n} {NAMES[question]} missed by {say_number(found.error, 2)} % on average, "
        f"no change by {say_number(found.error_unchanged, 2)} %: a difference of {mean} points "
        f"{ends}."
    )

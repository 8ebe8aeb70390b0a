"""A simulated career as the tidy frames that the findings take, without files in between."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.page_book import LifterInfo
from pipeline.findings import Record
from pipeline.models.simulate import (
    MUSCLE_SD_SETS,
    POPULATION_BEST_SETS,
    SHIFT_SD_SETS,
    Career,
)
from pipeline.models.simulate.catalogue import LIFTS
from pipeline.models.simulate.options import REGIONS
from pipeline.models.volume.response_curve import VolumePrior

LIFTER = "larch"


def record_of(career: Career, with_journal: bool = True) -> Record:
    """The career's sets and (declared) events as a ``Record``."""
    began = career.start - timedelta(days=round(career.training_age_at_start * 365.25))
    return Record(
        lifter=LifterInfo(LIFTER, "Larch (invented)", began),
        sets=sets_of(career),
        events=events_of(career) if with_journal else empty_frame("tidy_event"),
        exercises=exercises_of(career),
        contributions=contributions_of(career),
    )


def sets_of(career: Career) -> pl.DataFrame:
    """Table ``tidy_set``; one file a year."""
    sets = career.sets
    ids = np.array([one.exercise_id for one in career.exercises])
    days = [career.start + timedelta(days=int(day)) for day in sets.day]
    frame = pl.DataFrame(
        {
            "session_date": days,
            "session_id": [f"{LIFTER}|{day}" for day in days],
            "exercise_id": ids[sets.exercise],
            "exercise_as_written": ids[sets.exercise],
            "set_no": sets.set_no,
            "cluster_id": [None if one < 0 else f"c{one}" for one in sets.cluster],
            "segment_no": sets.segment_no,
            "is_warmup": sets.is_warmup,
            "load_kg": sets.load_kg,
            "load_moved_kg": sets.load_moved_kg,
            "reps": sets.reps,
            "rir": pl.Series(sets.rir).fill_nan(None),
            "to_failure": sets.to_failure,
            "file_id": [f"y{day.year}" for day in days],
            "row_no": np.arange(1, sets.day.size + 1),
        }
    ).with_columns(
        lifter_id=pl.lit(LIFTER),
        exercise_order=pl.lit(1),
        load_basis=pl.lit("total"),
        is_doubted=pl.lit(False),
        rir_source=pl.when(pl.col("rir").is_null())
        .then(pl.lit("none"))
        .otherwise(pl.lit("recorded")),
    )
    return conform("tidy_set", frame)


def events_of(career: Career) -> pl.DataFrame:
    """Table ``tidy_event`` of what the journal tells."""
    rows = [
        {
            "event_id": f"e{number}",
            "lifter_id": LIFTER,
            "kind": event.kind,
            "start": career.start + timedelta(days=event.start_day),
            "end": career.start + timedelta(days=event.end_day),
            "subject": " ".join(event.subject) or None,
            "lifts_out": " ".join(event.lifts_out) or None,
            "evidence": "told",
            "note": event.why,
        }
        for number, event in enumerate(career.events)
        if event.is_declared
    ]
    if not rows:
        return empty_frame("tidy_event")
    return conform("tidy_event", pl.DataFrame(rows, infer_schema_length=None))


def exercises_of(career: Career) -> pl.DataFrame:
    """The reference columns that the findings read."""
    return pl.DataFrame(
        [
            {
                "exercise_id": one.exercise_id,
                "name": one.exercise_id.replace("_", " ").capitalize(),
                "pattern": " ".join(one.direct),
                "equipment": one.equipment,
                "mechanics": "compound" if one.is_compound else "isolation",
                **{
                    region: "much" if region in LIFTS[one.exercise_id].regions else "none"
                    for region in REGIONS
                },
            }
            for one in career.exercises
        ]
    )


def contributions_of(career: Career) -> pl.DataFrame:
    """Table ``ref_contribution``."""
    rows = [
        (one.exercise_id, muscle, role)
        for one in career.exercises
        for role, muscles in (("direct", one.direct), ("indirect", one.indirect))
        for muscle in muscles
    ]
    return pl.DataFrame(rows, schema=["exercise_id", "muscle_id", "role"], orient="row")


def signals_of(career: Career) -> pl.DataFrame:
    """Table ``tidy_signal``: nights, steps, body weight and girths."""
    nights = career.nights
    frames = []
    for name in ("sleep_min", "resting_hr_bpm", "hrv_rmssd_ms", "steps", "body_weight_kg"):
        value = getattr(nights, name)
        read = np.isfinite(value)
        device = [f"d{one}" for one in nights.device[read]]
        frames.append(_signal(career, name, nights.day[read], value[read], device))
    frames += [
        _signal(career, f"girth_{one.site}_cm", one.day, one.girth_cm) for one in career.girths
    ]
    return pl.concat(frames)


def _signal(
    career: Career, name: str, day: np.ndarray, value: np.ndarray, device: list[str] | None = None
) -> pl.DataFrame:
    frame = pl.DataFrame(
        {
            "date": [career.start + timedelta(days=int(one)) for one in day],
            "value": value,
            "device_id": device or [None] * day.size,
            "row_no": np.arange(1, day.size + 1),
        },
        schema_overrides={"date": pl.Date, "device_id": pl.String},
    ).with_columns(
        lifter_id=pl.lit(LIFTER),
        signal=pl.lit(name),
        unit=pl.lit(name.rsplit("_", 1)[-1]),
        file_id=pl.lit("signals"),
    )
    return conform("tidy_signal", frame)


def muscles_of(career: Career) -> pl.DataFrame:
    """Table ``ref_muscle`` of the career's muscles."""
    return pl.DataFrame(
        [
            {"muscle_id": one, "name": one.replace("_", " "), "is_shown": True, "page_order": order}
            for order, one in enumerate(career.muscles)
        ]
    )


def population_prior() -> pl.DataFrame:
    """Table ``ref_prior`` centred on the simulated population; what the simulator does not tell
    of itself is left at the models' own assumption."""
    spread = float(np.hypot(SHIFT_SD_SETS, MUSCLE_SD_SETS))
    rows = []
    for muscle, centre in POPULATION_BEST_SETS.items():
        prior = VolumePrior(centre, spread)
        rows.append(
            {
                "muscle_id": muscle,
                "centre_sets": prior.centre_sets,
                "spread_sets": prior.spread_sets,
                "trend_sets_per_year": prior.trend,
                "trend_spread": prior.trend_spread,
                "curvature": prior.curvature,
                "curvature_spread": prior.curvature_spread,
            }
        )
    return pl.DataFrame(rows)


def until(record: Record, day: date) -> Record:
    """The record as it stood before ``day``: later sets and events are gone, open ones cut."""
    last = day - timedelta(days=1)
    events = record.events.filter(pl.col("start") < day)
    return replace(
        record,
        sets=record.sets.filter(pl.col("session_date") < day),
        events=events.with_columns(end=pl.col("end").clip(upper_bound=last)),
    )


def any_prior() -> pl.DataFrame:
    """A plain prior for every muscle, for tests only."""
    return pl.DataFrame(
        [
            {
                "muscle_id": "any",
                "centre_sets": 14.0,
                "spread_sets": 4.0,
                "trend_sets_per_year": 0.0,
                "trend_spread": 0.5,
                "curvature": 0.8,
                "curvature_spread": 0.5,
            }
        ]
    )


def weeks_of(record: Record) -> pl.DataFrame:
    """The columns of ``mart_week_lifter`` that the balance reads, counted in plain Python."""
    return pl.DataFrame(
        {
            "week_start": [record.week_start(week) for week in range(record.n_weeks)],
            "pushing_sets": np.full(record.n_weeks, 20.0),
            "pulling_sets": np.full(record.n_weeks, 25.0),
        },
        schema_overrides={"week_start": pl.Date},
    )


def first_day() -> date:
    """A Monday."""
    return date(2015, 1, 5)

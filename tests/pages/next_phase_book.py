"""Proposals, an accepted plan and a complaint for the page Next phase; all invented."""

from datetime import date, timedelta

import polars as pl

from pipeline.core.dictionary import conform

WEEKS = 8
# Muscle: role, weekly sets now and next; all others are held at 12.
MOVES = {
    "chest": ("build", 12.0, 16.0),
    "quads": ("build", 14.0, 17.0),
    "traps": ("build", 6.0, 8.0),
    "biceps": ("ease", 24.0, 17.0),
}
TESTED = "calves"
# Session, lift, sets, sets a week now, status; minutes are three a set.
LIFTS = (
    (1, "bench_press", 4, 6.0, "more"),
    (1, "pull_up", 4, 4.2, "stays"),
    (2, "leg_press", 5, 5.0, "stays"),
    (2, "barbell_curl", 3, 6.5, "fewer"),
    (3, "bench_press", 4, 6.0, "more"),
    (3, "machine_chest_press", 2, 0.0, "new"),
    (3, "lat_pulldown", 3, 3.0, "stays"),
)
GONE = ("barbell_row", 4.0)
SETS = sum(sets for _, _, sets, _, _ in LIFTS)
CONFLICT = (
    "Not all wishes can be kept together; the least to give up: 5 more weekly sets than the limit."
)
PLAN_WEEK = 300  # of the record, in which the accepted plan began
COMPLAINT = "injury-232-knee"


def next_phase_frames(
    lifter_id: str, first: date, last: date, muscles: tuple[str, ...], refused: tuple[str, ...]
) -> dict[str, pl.DataFrame]:
    """A proposal for progress that cannot keep all wishes, one to learn from, and the rest.

    Muscles in ``refused`` rest on the published average.
    """
    rows: dict[str, list[dict[str, object]]] = {}
    for version in ("progress", "learning"):
        made = _proposal(lifter_id, version, last, muscles, refused)
        for table, lines in made.items():
            rows.setdefault(table, []).extend(lines)
    rows |= _plan(lifter_id, first + timedelta(weeks=PLAN_WEEK))
    rows["model_constraint"] = [
        {
            "lifter_id": lifter_id,
            "event_id": COMPLAINT,
            "exercise_id": exercise,
            "reason": "named in the journal as out",
        }
        for exercise in ("barbell_row", "hack_squat", "front_squat")
    ]
    return _frames(rows)


def young_proposal(lifter_id: str, last: date, muscles: tuple[str, ...]) -> dict[str, pl.DataFrame]:
    """A proposal that rests on the published average only."""
    return _frames(_proposal(lifter_id, "progress", last, muscles, muscles))


def _frames(rows: dict[str, list[dict[str, object]]]) -> dict[str, pl.DataFrame]:
    return {
        table: conform(table, pl.DataFrame(lines, infer_schema_length=None))
        for table, lines in rows.items()
    }


def _proposal(
    lifter_id: str, version: str, last: date, muscles: tuple[str, ...], refused: tuple[str, ...]
) -> dict[str, list[dict[str, object]]]:
    start = last + timedelta(days=7 - last.weekday())
    keys = {"lifter_id": lifter_id, "proposal_id": f"{lifter_id}{version}"}
    is_learning = version == "learning"
    head = {
        "version": version,
        "made_from": last,
        "start": start,
        "weeks": WEEKS,
        "weekly_sets": SETS,
        "sessions": 3,
        "minutes": 27.0,
        "limit_sets": 20.0,
        "limit_sessions": 3,
        "limit_minutes": 75.0,
        "is_feasible": is_learning,
        "conflict": None if is_learning else CONFLICT,
        "expected_pct": 0.12 if is_learning else 0.24,
        "low": -0.03 if is_learning else 0.05,
        "high": 0.43,
        "usual_pct": 0.20,
        "published_pct": 0.47,
        "gap_share": 0.001,
        "narrows_muscle": TESTED if is_learning else None,
        "width_share": 0.84 if is_learning else None,
        "said": "An invented sentence.",
    }
    lines = [_muscle(one, is_learning, one in refused) for one in muscles]
    weeks = [
        {
            "week": week + 1,
            "week_start": start + timedelta(weeks=week),
            "muscle_id": line["muscle_id"],
            "sets": _sets_in(week, float(line["sets_now"]), float(line["sets_next"])),  # type: ignore[arg-type]
            "is_easing": week == WEEKS - 1,
        }
        for line in lines
        for week in range(WEEKS)
    ]
    made = {
        "model_proposal": [head],
        "model_proposal_muscle": lines,
        "model_proposal_lift": _lifts(),
        "model_proposal_week": weeks,
    }
    return {table: [keys | line for line in rows] for table, rows in made.items()}


def _muscle(muscle_id: str, is_learning: bool, is_published: bool) -> dict[str, object]:
    role, now, then = MOVES.get(muscle_id, ("hold", 12.0, 12.0))
    because = "past its supported range" if role == "ease" else "a priority of yours"
    if is_learning:
        is_tested = muscle_id == TESTED
        role, now, then = ("test", 12.0, 20.0) if is_tested else ("hold", now, now)
        because = "the sets that would tell most" if is_tested else "no change expects more"
    return {
        "muscle_id": muscle_id,
        "role": role,
        "sets_now": now,
        "sets_next": then,
        "range_low": 10.0,
        "range_high": 22.0,
        "expected_pct_month": 0.3,
        "low": -0.1,
        "high": 0.7,
        "because": because if role != "hold" or not is_published else "published average only",
        "support": "not enough" if is_published else "thin",
        "finding_id": None if is_published else f"finding-{muscle_id}",
        "is_published": is_published,
    }


def _sets_in(week: int, now: float, then: float) -> float:
    """Half the way in the first week, half the sets in the last one."""
    return then / 2 if week == WEEKS - 1 else (now + then) / 2 if week == 0 else then


def _lifts() -> list[dict[str, object]]:
    lines: list[dict[str, object]] = []
    for place, (day, exercise, sets, now, status) in enumerate(LIFTS):
        is_new = status == "new"
        lines.append(
            {
                "day": day,
                "place": place + 1,
                "exercise_id": exercise,
                "sets": sets,
                "sets_now": now,
                "reps_low": None if is_new else 6,
                "reps_high": None if is_new else 10,
                "rir": None if is_new else 1.5,
                "to_failure": exercise == "leg_press",
                "status": status,
                "because": "serves what the others leave short"
                if is_new
                else "in the programme now",
                "minutes": 3.0 * sets,
            }
        )
    gone, now = GONE
    out = {"exercise_id": gone, "sets": 0, "sets_now": now, "to_failure": False, "status": "out"}
    return [*lines, {**out, "because": "an open injury rules it out", "minutes": 0.0}]


def _plan(lifter_id: str, start: date) -> dict[str, list[dict[str, object]]]:
    """Four weeks of 10 sets of chest: 8, 12 and 10 done, the easing week not logged."""
    done = (8.0, 12.0, 10.0, None)
    weeks = [
        {
            "lifter_id": lifter_id,
            "plan_id": "plan",
            "week": week + 1,
            "week_start": start + timedelta(weeks=week),
            "is_easing": week == len(done) - 1,
        }
        for week in range(len(done))
    ]
    muscle = [
        {
            **week,
            "muscle_id": "chest",
            "planned_sets": 10.0,
            "done_sets": sets,
            "share_followed": share,
        }
        for week, sets, share in zip(weeks, done, (0.8, 1.0, 1.0, None), strict=True)
    ]
    status = ("done", "left out", "added", "open")
    lift = [
        {**week, "exercise_id": "bench_press", "planned_sets": 10, "done_sets": None, "status": one}
        for week, one in zip(weeks, status, strict=True)
    ]
    told = {
        "lifter_id": lifter_id,
        "question": "plan",
        "predicted_on": start - timedelta(days=3),
        "weeks_ahead": 4,
        "from_date": start - timedelta(weeks=1),
        "to_date": start + timedelta(weeks=3),
        "estimate": 0.4,
        "low": -1.6,
        "high": 2.4,
        "unchanged": 0.0,
        "unit": "%",
        "level_log": 0.2,
        "zero_on": start - timedelta(weeks=200),
        "finding_id": "f",
        "method": "weekly sets of an accepted plan",
        "model_version": "2.0",
        "source": "0123456789ab",
    }
    predictions = [
        {**told, "subject": f"muscle:{muscle_id}", "prediction_id": f"plan-{muscle_id}", **came}
        for muscle_id, came in (
            ("chest", {"state": "came", "came": 2.9, "is_inside": False}),
            ("calves", {"state": "not trained", "came": None, "is_inside": None}),
        )
    ]
    return {
        "model_plan_progress": muscle,
        "model_plan_lift": lift,
        "model_prediction": predictions,
    }

"""Proposals made by hand, and a folder that they can be accepted in."""

import hashlib
from datetime import date, timedelta

import polars as pl

from pipeline.cli import accept_plan
from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.home import Home

START = date(2024, 3, 4)
LAST = date(2024, 3, 1)
KNOWN = ("bench_press", "leg_curl", "calf_raise")
LOG = b"day,lift,reps\n"
SETTINGS = "schema = 1\n[lifter.larch]\ntraining_began = 2014-03-01\n"
WHOSE = {"lifter_id": "larch", "proposal_id": "0123456789ab"}


def frame(table: str, rows: list[dict]) -> pl.DataFrame:
    whose = WHOSE if table.startswith("model_proposal") else {"lifter_id": WHOSE["lifter_id"]}
    return conform(table, pl.DataFrame([whose | row for row in rows], infer_schema_length=None))


def lift(day: int | None, place: int | None, exercise: str, sets: int) -> dict:
    return {
        "day": day,
        "place": place,
        "exercise_id": exercise,
        "sets": sets,
        "sets_now": float(sets),
        "reps_low": 8,
        "reps_high": 12,
        "rir": 1.5 if exercise == "bench_press" else None,
        "to_failure": exercise == "leg_curl",
        "status": "stays" if sets else "out",
        "because": "published average only",
        "minutes": 2.5 * sets,
    }


def muscle(name: str, role: str, now: float, to: float, expected: float) -> dict:
    return {
        "muscle_id": name,
        "role": role,
        "sets_now": now,
        "sets_next": to,
        "range_low": to - 2,
        "range_high": to + 2,
        "expected_pct_month": expected,
        "low": expected - 0.2,
        "high": expected + 0.2,
        "because": "published average only",
        "support": "thin",
        "is_published": True,
    }


def ramp(name: str, sets: list[float]) -> list[dict]:
    return [
        {
            "week": week,
            "week_start": START + timedelta(weeks=week - 1),
            "muscle_id": name,
            "sets": value,
            "is_easing": week == len(sets),
        }
        for week, value in enumerate(sets, 1)
    ]


def proposal_tables() -> dict[str, pl.DataFrame]:
    """Hamstrings from 6 to 12 sets in four weeks, the chest held; the calves' lift leaves."""
    proposal = {
        "version": "progress",
        "made_from": LAST,
        "start": START,
        "weeks": 4,
        "weekly_sets": 20,
        "sessions": 2,
        "minutes": 40.0,
        "is_feasible": True,
        "said": "a proposal",
    }
    nothing = {"proposal_id": "ffffffffffff", "version": "learning", "weekly_sets": None}
    index = [
        {
            "muscle_id": name,
            "week_start": LAST - timedelta(days=LAST.weekday(), weeks=back),
            "level_log": 0.01 * (10 - back),
            "se": 0.02,
            "is_trained": True,
        }
        for name in ("hamstrings", "chest")
        for back in range(11)
    ]
    counts = dict.fromkeys(("read", "kept", "repeated", "set_aside", "blank"), 1)
    checksum = hashlib.sha256(LOG).hexdigest()
    source = {"file_id": "f", "path": "x", "sha256": checksum, "last_date": LAST}
    return {
        "model_proposal": frame("model_proposal", [proposal, proposal | nothing]),
        "model_proposal_muscle": frame(
            "model_proposal_muscle",
            [
                muscle("hamstrings", "build", 6.0, 12.0, 0.5),
                muscle("chest", "hold", 8.0, 8.0, 0.1),
                muscle("neck", "ease", 4.0, 2.0, 0.0),
            ],
        ),
        "model_proposal_lift": frame(
            "model_proposal_lift",
            [
                lift(2, 1, "leg_curl", 6),
                lift(1, 2, "leg_curl", 6),
                lift(1, 1, "bench_press", 8),
                lift(None, None, "calf_raise", 0),
            ],
        ),
        "model_proposal_week": frame(
            "model_proposal_week",
            [*ramp("hamstrings", [8.0, 10.0, 12.0, 6.0]), *ramp("chest", [8.0, 8.0, 8.0, 4.0])],
        ),
        "model_muscle_index": frame("model_muscle_index", index),
        "source_file": frame("source_file", [source | counts]),
        "tidy_event": empty_frame("tidy_event"),
        "ref_contribution": pl.DataFrame(
            [
                ("leg_curl", "hamstrings", "direct"),
                ("bench_press", "chest", "direct"),
                ("bench_press", "triceps", "indirect"),
            ],
            schema=["exercise_id", "muscle_id", "role"],
            orient="row",
        ),
    }


def plan_home(tmp_path, tables, monkeypatch) -> Home:
    """A folder whose published run holds the proposals."""
    monkeypatch.setattr(accept_plan, "read_proposals", lambda _: tables)
    monkeypatch.setattr("pipeline.cli.export.read_proposals", lambda _: tables)
    (tmp_path / "inbox" / "larch").mkdir(parents=True)
    (tmp_path / "inbox" / "larch" / "x").write_bytes(LOG)
    home = Home(tmp_path)
    home.settings.write_text(SETTINGS, "utf-8")
    return home

"""Phases, shares, balance, effort, variants and injuries of the long record; all invented."""

from collections.abc import Iterator
from datetime import date, timedelta

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.finding import Finding

Rows = list[dict[str, object]]
# Event: chosen muscles, gain and cost with half widths; None where the phase was refused.
PHASES: dict[str, tuple[str, tuple[float, float, float, float] | None]] = {
    "priority-30-quads": ("quads", (2.4, 1.1, -0.9, 0.4)),
    "priority-150-chest side_delts": ("chest side_delts", (0.8, 1.6, -0.3, 0.6)),
    "priority-245-hamstrings calves": ("hamstrings calves", None),
    "priority-420-biceps": ("biceps", (-0.4, 1.2, -0.7, 0.3)),
    "priority-540-calves upper_back": ("calves upper_back", (1.2, 1.9, 0.1, 0.5)),
}
ALL = {"gain": (1.0, 0.2, 1.8), "cost": (-0.45, -0.8, -0.1)}
REFUSED_WHY = "3 ordinary training weeks inside the phase, 4 needed"
PROPOSAL = "phase-0a1b2c3d"
PAIRS = ("pull_push", "rear_front", "knee_hip")
REFUSED_PAIR = ("knee_hip", "strength")
QUARTERS = 48
COMMON = {"method": "invented", "model_version": "1.0"}


def priority_frames(
    lifter_id: str, first: date, muscles: tuple[str, ...], events: pl.DataFrame, hostile: str
) -> dict[str, pl.DataFrame]:
    """Every table behind the page, by name."""
    rows: dict[str, Rows] = {
        "model_priority": list(_muscle_rows(muscles, events)),
        "tidy_proposal": [_proposal_row(first)],
        "model_share": list(_share_rows(first, muscles)),
        "model_balance": list(_ratio_rows(first)),
        "model_balance_own": list(_own_rows()),
        "model_effort": list(_effort_rows(hostile)),
        **_injury_rows(events),
        **_variant_rows(first),
        "tidy_signal": list(_girth_rows(events)),
    }
    return {
        name: conform(
            name,
            pl.DataFrame(found, infer_schema_length=None).with_columns(lifter_id=pl.lit(lifter_id)),
        )
        for name, found in rows.items()
    }


def _muscle_rows(muscles: tuple[str, ...], events: pl.DataFrame) -> Iterator[dict[str, object]]:
    spans = {row["event_id"]: row for row in events.iter_rows(named=True)}
    for event_id, (subject, found) in PHASES.items():
        if found is None:
            continue
        gain, half, cost, cost_half = found
        for muscle in muscles:
            is_chosen = muscle in subject.split()
            value, reach = (gain, half) if is_chosen else (cost, cost_half)
            yield {
                "event_id": event_id,
                "is_placebo": False,
                "start": spans[event_id]["start"],
                "end": spans[event_id]["end"],
                "muscle_id": muscle,
                "role": "chosen" if is_chosen else "other",
                "usual_sets": 14.0,
                "phase_sets": 23.0 if is_chosen else 12.0,
                "usual_share": 0.06,
                "phase_share": 0.1 if is_chosen else 0.05,
                "change_pct": 1.5,
                "expected_pct": None,
                "n_matched": 0,
                "gain_pct": value,
                "low": value - reach,
                "high": value + reach,
            }


def _proposal_row(first: date) -> dict[str, object]:
    start = first + timedelta(weeks=500)
    return {
        "proposal_id": PROPOSAL,
        "kind": "priority",
        "start": start,
        "end": start + timedelta(weeks=11, days=-1),
        "subject": "glutes lats",
        "factor": 1.8,
        "sentence": "An invented sentence.",
        "command": f"liftstrata accept {PROPOSAL}",
    }


def _share_rows(first: date, muscles: tuple[str, ...]) -> Iterator[dict[str, object]]:
    """Muscle 0 clearly more than its share, the last clearly less; no shares in the last year."""
    for span in ("all", "three_years", "year"):
        for i, muscle in enumerate(muscles):
            share = {0: 0.12, len(muscles) - 1: 0.01}.get(i, 0.06)
            is_told = span != "year"
            yield {
                "span": span,
                "from_date": first + timedelta(weeks=470),
                "to_date": first + timedelta(weeks=626, days=-1),
                "muscle_id": muscle,
                "weekly_sets": 14.0,
                "sets_share": 1 / 16,
                "change_pct": 3.0,
                "progress_share": share if is_told else None,
                "low": share - 0.04 if is_told else None,
                "high": share + 0.04 if is_told else None,
                "is_clear": is_told and share != 0.06,
            }


def _ratio_rows(first: date) -> Iterator[dict[str, object]]:
    for pair in PAIRS:
        for kind in ("sets", "strength"):
            if (pair, kind) == REFUSED_PAIR:
                continue
            for quarter in range(QUARTERS):
                if quarter == 23:  # a quarter without sets breaks the line
                    continue
                is_sets = kind == "sets"
                ratio = 1.0 + (0.2 if is_sets else 0.01) * (quarter % 5 - 2)
                yield {
                    "pair_id": pair,
                    "kind": kind,
                    "week_start": first + timedelta(weeks=13 * quarter),
                    "weeks": 13,
                    "over": 20.0,
                    "under": 20.0 / ratio,
                    "ratio": ratio,
                    "low": None if is_sets else ratio - 0.05,
                    "high": None if is_sets else ratio + 0.05,
                }


def _own_rows() -> Iterator[dict[str, object]]:
    for pair in PAIRS:
        for kind in ("sets", "strength"):
            if (pair, kind) != REFUSED_PAIR:
                yield {
                    "pair_id": pair,
                    "kind": kind,
                    "ratio": 1.31,
                    "low": None if kind == "sets" else 1.2,
                    "high": None if kind == "sets" else 1.4,
                    "usual": 1.02,
                    "usual_low": 0.9,
                    "usual_high": 1.1,
                    "quarters": QUARTERS - 1,
                    "reads_as": "higher",
                }


def _effort_rows(hostile: str) -> Iterator[dict[str, object]]:
    for year in (2025, 2026):
        for kind, lift in (("free_weight", "bench_press"), ("other", f"unmatched:sled{hostile}")):
            yield {
                "year": year,
                "kind": kind,
                "exercise_id": lift,
                "sets": 400,
                "told_sets": 200,
                "failure_sets": 50,
                "zero_reserve_sets": 7,
                "drop_clusters": 9,
                "drop_segments": 14,
                "tonnage_kg": 2000.0,
                "drop_tonnage_kg": 100.0,
                "drop_minutes": 7.0,
            }


def _injury_rows(events: pl.DataFrame) -> dict[str, Rows]:
    """Both injuries of the journal; the shoulder rules lifts out still."""
    told = events.filter(pl.col("kind") == "injury")
    counts = {"weeks": 12, "lifts_out": 1, "substitutes": 1, "lifts_at_level": 1, "lifts_back": 1}
    values = {
        "sets_before": 80.0,
        "sets_out": 9.0,
        "share_out_pct": 11.0,
        "weeks_to_level": 6.0,
        "sets_back_ratio": 0.5,
        "load_back_ratio": 0.7,
    }
    made: dict[str, Rows] = {
        name: [] for name in ("model_injury", "model_injury_lift", "model_injury_muscle")
    }
    for row in told.iter_rows(named=True):
        event = {"event_id": row["event_id"]}
        dates = {"start": row["start"], "end": row["end"], "regions": row["subject"]}
        made["model_injury"].append({**event, **dates, **counts, **values})
        lifts = (("back_squat", "out"), ("leg_press", "substitute"))
        for lift, role in lifts:
            is_out = role == "out"
            made["model_injury_lift"].append(
                {
                    **event,
                    "exercise_id": lift,
                    "role": role,
                    "how": "told",
                    "sets_before": 9.0,
                    "sets_during": 0.0 if is_out else 8.0,
                    "weeks_away": 2 if is_out else None,
                    "return_pct": -4.0 if is_out else None,
                    "return_low": -7.0 if is_out else None,
                    "return_high": -1.0 if is_out else None,
                    "weeks_to_level": 6 if is_out else None,
                    "sets_back_ratio": 0.5 if is_out else None,
                    "load_back_ratio": 0.7 if is_out else None,
                }
            )
        through = {"through_pct": -3.0, "through_low": -5.0, "through_high": -1.0}
        after = {"after_pct": 0.4, "after_low": -1.0, "after_high": 1.8}
        muscle = {"muscle_id": "quads", "share_out_pct": 60.0, "sets_before": 12.0}
        made["model_injury_muscle"].append(
            {**event, **muscle, "sets_during": 5.0, **through, **after}
        )
    shoulder = told.filter(pl.col("subject") == "shoulder")["event_id"][0]
    made["model_constraint"] = [
        {"event_id": shoulder, "exercise_id": lift, "reason": "loads the shoulder much"}
        for lift in ("overhead_press", "behind_neck_press")
    ]
    return made


def _variant_rows(first: date) -> dict[str, Rows]:
    use = {"family_id": "press", "sets": 300, "sets_last_year": 20}
    dates = {"first_date": first, "last_date": first + timedelta(weeks=600)}
    names = (("bench_press", "flat"), ("incline_bench_press", "about_30"))
    rest = {"family_id": "press", "weeks_away": 14.0, "own_pct": -2.0, "other_pct": 1.0}
    (own, own_variant), (other, other_variant) = names
    ids = {
        "exercise_id": own,
        "variant_id": own_variant,
        "other_exercise_id": other,
        "other_variant_id": other_variant,
    }
    difference = {"difference_pct": -3.0, "low": -5.0, "high": -1.0}
    return {
        "model_variant": [{**ids, **rest, "rests": 4, **difference}],
        "model_variant_use": [
            {**use, **dates, "exercise_id": lift, "variant_id": variant} for lift, variant in names
        ],
    }


def _girth_rows(events: pl.DataFrame) -> Iterator[dict[str, object]]:
    """A taping a few days before the first and the last day of the latest phase."""
    last = events.filter(pl.col("kind") == "priority").sort("start").row(-1, named=True)
    for i, (day, value) in enumerate(((last["start"], 38.5), (last["end"], 39.2))):
        yield {
            "date": day - timedelta(days=3),
            "signal": "girth_calf_cm",
            "value": value,
            "unit": "cm",
            "device_id": None,
            "file_id": "girths",
            "row_no": i + 1,
        }


def priority_findings(lifter_id: str, events: pl.DataFrame) -> Rows:
    """Two findings a phase, two of all, and those about balance, effort, variants, injuries."""
    spans = {row["event_id"]: row for row in events.iter_rows(named=True)}
    made: list[Finding] = []
    for event_id, (_, found) in PHASES.items():
        dates = {"from_date": spans[event_id]["start"], "to_date": spans[event_id]["end"]}
        about = {"subject": f"event:{event_id}", "window": "event", "event_id": event_id, **dates}
        for at, question in enumerate(("priority_gain", "priority_cost")):
            if found is None:
                refused = {"n": 3, "support": "not enough", "support_why": REFUSED_WHY}
                made.append(_find(lifter_id, question, **about, **refused))
                continue
            value, half = found[2 * at], found[2 * at + 1]
            made.append(
                _find(lifter_id, question, **about, **_ends(value, value - half, value + half))
            )
    for question, ends in (("priority_gain", ALL["gain"]), ("priority_cost", ALL["cost"])):
        made.append(
            _find(lifter_id, question, subject=f"lifter:{lifter_id}", **_ends(*ends) | {"n": 4})
        )
    return [one.as_row() for one in (*made, *_other_findings(lifter_id, events))]


def _other_findings(lifter_id: str, events: pl.DataFrame) -> Iterator[Finding]:
    for pair in PAIRS:
        for kind in ("sets", "strength"):
            subject = {"subject": f"pair:{pair}@{kind}", "unit": "ratio"}
            if (pair, kind) == REFUSED_PAIR:
                refused = {"n": 5, "needed": 8, "support": "not enough", "support_why": "5 earlier"}
                yield _find(lifter_id, "balance", **subject, **refused)
            else:
                yield _find(lifter_id, "balance", **subject, **_ends(1.31, 1.2, 1.4))
    yield _find(lifter_id, "effort", subject="effort:free_weight", **_ends(25.0, None, None))
    yield _find(
        lifter_id,
        "effort",
        subject="effort:cable",
        n=0,
        support="not enough",
        support_why="0 sets on cables in a year that tells of failure, 1 needed",
    )
    yield _find(lifter_id, "effort", subject="effort:failure", **_ends(1.9, 0.4, 3.4))
    drops = "9 drop sets in the last year added 14 drops."
    yield _find(
        lifter_id, "effort", subject="effort:drop_work", **_ends(5.0, None, None), said=drops
    )
    yield _find(
        lifter_id,
        "variant",
        subject="variant:bench_press.flat@incline_bench_press.about_30",
        **_ends(-3.0, -5.0, -1.0),
    )
    for event_id in events.filter(pl.col("kind") == "injury")["event_id"]:
        yield _find(lifter_id, "injury", subject=f"event:{event_id}", **_ends(11.0, None, None))


def _ends(value: float, low: float | None, high: float | None) -> dict[str, object]:
    ends = {"estimate": value, "low": low, "high": high, "coverage": 0.95}
    return {**ends, "n": 14, "support": "thin", "support_why": "1 phase, the interval holds zero"}


def _find(lifter_id: str, question: str, said: str = "An invented sentence.", **rest) -> Finding:
    common = {"unit": "%", "n_of": "weeks", "sentence": said, **COMMON}
    return Finding(**{"lifter_id": lifter_id, "question": question, **common, **rest})

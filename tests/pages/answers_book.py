"""Answers of the long record for the pages Volume and progress and Easing off; all invented."""

from datetime import date, timedelta

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.finding import Finding
from pipeline.reference.load import load_facts, load_priors, load_recovery

BANDS = ((1.0, 3.0), (3.0, 6.0), (6.0, 10.0), (10.0, 13.0))
# One muscle whose range has no upper edge, one whose finding adds nothing to what is published.
OPEN, SAME = "glutes", "biceps"
OPEN_UP_TO = "There was no limit seen up to 24."
OFFSETS = (-3, -2, -1, 1, 2, 3, 4, 5)
UNREAD = 6
DELOAD = {"estimate": 0.9, "low": 0.2, "high": 1.6, "n": 72}
LOSS = {"estimate": -0.9, "low": -1.6, "high": -0.2, "n": 4}


def reference_frames() -> dict[str, pl.DataFrame]:
    """The shipped priors, published facts and recovery figures."""
    return {"ref_prior": load_priors(), "ref_fact": load_facts(), "ref_recovery": load_recovery()}


def volume_frames(lifter_id: str, first: date, muscles: tuple[str, ...]) -> dict[str, pl.DataFrame]:
    """Blocks and curves of the answered muscles."""
    rng = np.random.default_rng(5)
    blocks, curves = [], []
    for muscle in muscles:
        for number in range(60):
            age = 1.2 + 0.19 * number
            start = first + timedelta(weeks=10 * number)
            blocks.append(
                {
                    "muscle_id": muscle,
                    "from_date": start,
                    "to_date": start + timedelta(weeks=14, days=-1),
                    "weekly_sets": float(rng.uniform(8, 26)),
                    "progress_pct_month": float(rng.normal(0.8 / age, 0.25)),
                    "training_age_years": age,
                    "is_used": number % 20 != 7,
                }
            )
        for age_from, age_to in BANDS:
            curves += [_curve_row(muscle, age_from, age_to, sets) for sets in range(36)]
    who = pl.lit(lifter_id)
    return {
        "model_block": conform("model_block", pl.DataFrame(blocks).with_columns(lifter_id=who)),
        "model_volume_curve": conform(
            "model_volume_curve", pl.DataFrame(curves).with_columns(lifter_id=who)
        ),
        "model_narrowing": conform(
            "model_narrowing",
            pl.DataFrame([_narrowing_row(i, m) for i, m in enumerate(muscles)]).with_columns(
                lifter_id=who
            ),
        ),
    }


def _narrowing_row(i: int, muscle: str) -> dict[str, object]:
    """The first muscle has a block that tells, the second an injury, the others years or more."""
    share = 0.84 if i < 2 else 0.999 - 0.007 * i
    return {
        "muscle_id": muscle,
        "weeks": 16,
        "first_sets": 9.0,
        "then_sets": 21.0 if i % 2 == 0 else None,
        "width_share": share,
        "low_after": 10.0,
        "high_after": 20.0,
        "narrows": i < 2,
        "is_proposed": i == 0,
        "years": None if i < 2 or i % 3 == 0 else float(i),
    }


def _curve_row(muscle: str, age_from: float, age_to: float, sets: int) -> dict[str, object]:
    middle = 0.4 - 0.001 * (sets - 18) ** 2
    reach = 0.1 + 0.01 * abs(sets - 16)
    return {
        "muscle_id": muscle,
        "age_from": age_from,
        "age_to": age_to,
        "weekly_sets": float(sets),
        "progress_pct_month": middle,
        "low": middle - reach,
        "high": middle + reach,
        "prior_progress_pct_month": 0.3 - 0.001 * (sets - 16) ** 2,
        "is_inside": 9 <= sets <= 25,
    }


def range_rows(
    lifter_id: str, muscles: tuple[str, ...], refused: tuple[str, ...]
) -> list[dict[str, object]]:
    """Supported sets: four bands of training age for thirteen muscles, refusals for three."""
    rows = []
    said = {OPEN: f" {OPEN_UP_TO}", SAME: " The record adds nothing to the published average."}
    for i, m in enumerate(muscles):
        for band, (age_from, age_to) in enumerate(BANDS):
            common = {
                "lifter_id": lifter_id,
                "question": "supported_sets",
                "subject": f"muscle:{m}",
                "unit": "sets/week",
                "age_from": age_from,
                "age_to": age_to,
                "n_of": "blocks",
                "method": "volume response",
                "model_version": "1.0",
            }
            if m in refused:
                rows.append(
                    Finding(
                        **common,
                        n=6,
                        support="not enough",
                        support_why="6 blocks, 12 needed",
                        needed=12,
                        counted="comparisons",
                        window="now" if band == 3 else "band",
                        sentence=f"Not enough for {m.replace('_', ' ')}: 6 blocks, 12 needed.",
                        needs="two blocks at 8 sets, then two at 14",
                    ).as_row()
                )
                continue
            low = 8 + 2 * band + i % 3
            rows.append(
                Finding(
                    **common,
                    n=12 + band,
                    support="fair",
                    support_why="interval of 8 sets",
                    sentence=f"{m.replace('_', ' ')}: {low} to {low + 8} sets.{said.get(m, '')}",
                    estimate=low + 4.0,
                    low=low + 1.5,
                    high=low + 6.5,
                    range_low=float(low),
                    range_high=None if m == OPEN else float(low + 8),
                    edge_low=low - 2.0,
                    edge_high=low + 11.0,
                    window="now" if band == 3 else "band",
                    coverage=0.9,
                    prior_estimate=16.0,
                    prior_low=9.0,
                    prior_high=23.0,
                ).as_row()
            )
    return rows


def held_rows(lifter_id: str, answered: str, refused: str) -> list[dict[str, object]]:
    """The fewest sets that held: one answer, one refusal."""
    common = {
        "lifter_id": lifter_id,
        "question": "hold_sets",
        "unit": "sets/week",
        "n_of": "blocks",
        "method": "block progress",
        "model_version": "1.0",
    }
    sentence = (
        f"{answered.capitalize()} held at 9 weekly sets (8 to 10) at training age 2 to 5: "
        "+0.4 % a year (−0.6 to +1.4), 14 of 57 blocks."
    )
    yes = Finding(
        **common,
        subject=f"muscle:{answered}",
        n=14,
        support="fair",
        support_why="98 trained weeks",
        estimate=9.0,
        low=8.0,
        high=10.0,
        age_from=2.0,
        age_to=5.0,
        sentence=sentence,
    )
    no = Finding(
        **common,
        subject=f"muscle:{refused}",
        n=6,
        support="not enough",
        support_why="6 blocks, 20 needed",
        needed=20,
        counted="comparisons",
        sentence="Not enough: 6 blocks, 20 needed; go on.",
    )
    return [yes.as_row(), no.as_row()]


def easing_rows(lifter_id: str) -> list[dict[str, object]]:
    """What followed deloads and layoffs, and how fast it came back."""
    common = {
        "lifter_id": lifter_id,
        "subject": f"lifter:{lifter_id}",
        "model_version": "1.0",
        "evidence": "told",
        "coverage": 0.95,
    }
    effect = Finding(
        **common,
        **DELOAD,
        question="deload_effect",
        unit="%",
        n_of="deloads of 78",
        support="fair",
        support_why="72 deloads; 1 % of fake dates show as much",
        method="regression",
        sentence="In the three weeks after a deload strength stood 0.9 % higher (+0.2 to +1.6).",
    )
    loss = Finding(
        **common,
        **LOSS,
        question="layoff_loss",
        unit="%",
        n_of="layoffs of 4",
        support="thin",
        support_why="4 layoffs, 5 for fair",
        method="line",
        sentence="On return from time off strength stood −0.9 % (−1.6 to −0.2) for each week off.",
    )
    back = Finding(
        **common,
        question="layoff_regain",
        unit="weeks",
        estimate=3.4,
        low=2.1,
        high=5.0,
        n=2,
        n_of="layoffs of four weeks or more with a loss on return",
        support="thin",
        support_why="2 layoffs whose return could be followed",
        method="line",
        prior_estimate=4.0,
        sentence="After 8 weeks off, the middle of 2 layoffs, nine tenths of a loss were back in "
        "3.4 weeks (2.1 to 5.0).",
    )
    weeks = "weeks of complete rest with recorded reps in reserve in the weeks around them"
    rest = Finding(
        **{**common, "coverage": None, "evidence": "none"},
        question="rest_effect",
        unit="%",
        n=0,
        n_of=weeks,
        support="not enough",
        support_why=f"0 {weeks}, 4 needed",
        needed=4,
        counted="other",
        method="regression",
        sentence=f"Not enough: 0 {weeks}, 4 needed; write reserve down around one.",
    )
    return [one.as_row() for one in (effect, rest, loss, back)]


def easing_frames(lifter_id: str, events: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """Courses, single deloads and layoffs that belong to the events of the record."""
    rng = np.random.default_rng(6)
    deloads = events.filter(pl.col("kind") == "deload").sort("start")[UNREAD:]
    layoffs = events.filter(pl.col("kind") == "layoff").sort("start")
    who = pl.lit(lifter_id)
    single = [
        {
            "event_id": row["event_id"],
            "start": row["start"],
            "evidence": "rule" if i % 9 == 0 else "told",
            "effect_pct": (value := float(rng.normal(0.9, 0.6))),
            "low": value - 1.2,
            "high": value + 1.2,
        }
        for i, row in enumerate(deloads.iter_rows(named=True))
    ]
    off = [
        {
            "event_id": row["event_id"],
            "start": row["start"],
            "weeks_off": (weeks := float(((row["end"] - row["start"]).days + 1) // 7)),
            "loss_pct": -0.9 * weeks,
            "low": -0.9 * weeks - 1.5,
            "high": -0.9 * weeks + 1.5,
            "weeks_to_regain": 3.4 if weeks > 3 else None,
            "regain_low": 2.1 if weeks > 3 else None,
            "regain_high": None,
            "evidence": row["evidence"],
        }
        for row in layoffs.iter_rows(named=True)
    ]
    frames = {"model_deload_event": single, "model_layoff": off}
    made = {
        name: conform(name, pl.DataFrame(rows).with_columns(lifter_id=who))
        for name, rows in frames.items()
    }
    paths = pl.DataFrame(_paths(deloads, rng), infer_schema_length=None)
    made["model_deload_path"] = conform("model_deload_path", paths.with_columns(lifter_id=who))
    return made


def _paths(deloads: pl.DataFrame, rng: np.random.Generator) -> list[dict[str, object]]:
    rows = []
    for series, level in (("after_deloads", 1.2), ("ordinary_weeks", 0.2)):
        for offset in OFFSETS:
            value = level if offset > 0 else 0.0
            band = {"low_pct": value - 0.4, "high_pct": value + 0.4, "n": 72}
            rows.append({"series": series, "week_offset": offset, "value_pct": value, **band})
    for offset in OFFSETS:
        shape = {-1: 0.0, 1: 1.2, 2: 0.3, 3: -0.2}.get(max(offset, -1), -0.4)
        rows.append({"series": "textbook", "week_offset": offset, "value_pct": shape, "n": 0})
    for event_id in deloads["event_id"]:
        rows += [
            {
                "series": "event",
                "event_id": event_id,
                "week_offset": offset,
                "value_pct": float(rng.normal(1.0 if offset > 0 else 0.0, 1.6)),
                "n": 1,
            }
            for offset in OFFSETS
        ]
    return rows

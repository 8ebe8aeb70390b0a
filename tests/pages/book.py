"""An invented book of pages with known content: twelve years of one lifter, nine weeks of another.

The numbers come from a fixed seed and stand for nothing; tests compare pages with this book.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame, tables
from pipeline.core.finding import Finding
from pipeline.core.page_book import NEWS_SCHEMA, LifterInfo, PageBook, Since
from tests.pages.answers_book import (
    easing_frames,
    easing_rows,
    held_rows,
    range_rows,
    reference_frames,
    volume_frames,
)
from tests.pages.group_book import pair_findings
from tests.pages.lifts_book import lift_findings, lift_frames, young_sets
from tests.pages.next_phase_book import next_phase_frames, young_proposal
from tests.pages.nights_book import night_findings, night_frames
from tests.pages.priorities_book import priority_findings, priority_frames
from tests.pages.sources_book import (
    aside_rows,
    doubt_rows,
    file_rows,
    lift_rows,
    mended_rows,
    name_rows,
    session_rows,
    set_rows,
)

MUSCLES = (
    ("chest", "pushing"),
    ("front_delts", "pushing"),
    ("side_delts", "pushing"),
    ("triceps", "pushing"),
    ("lats", "pulling"),
    ("upper_back", "pulling"),
    ("traps", "pulling"),
    ("rear_delts", "pulling"),
    ("biceps", "pulling"),
    ("forearms", "pulling"),
    ("quads", "legs"),
    ("hamstrings", "legs"),
    ("glutes", "legs"),
    ("calves", "legs"),
    ("lower_back", "trunk"),
    ("abs", "trunk"),
)
FIRST = date(2014, 9, 1)
WEEKS = 626
UNLOGGED = range(300, 306)
LAYOFFS = (range(70, 74), range(221, 223), range(390, 402), range(560, 563))
REFUSED = ("traps", "forearms", "abs")


def all_muscles(shown: int) -> list[tuple[str, str]]:
    """The shown muscles: the usual sixteen, and further ones to fill up a large page."""
    more = [(f"muscle_{i}", "pulling" if i % 2 else "legs") for i in range(shown - len(MUSCLES))]
    return [*MUSCLES, *more]


def muscle_rows(shown: int) -> pl.DataFrame:
    """Reference muscles, all with a strip."""
    rows = [
        {
            "muscle_id": m,
            "name": m.replace("_", " "),
            "family": family,
            "page_order": i + 1,
            "is_shown": True,
        }
        for i, (m, family) in enumerate(all_muscles(shown))
    ]
    return conform("ref_muscle", pl.DataFrame(rows))


def week_status(w: int) -> str:
    """Status of week ``w`` of the long record."""
    if w in UNLOGGED:
        return "unlogged"
    if any(w in layoff for layoff in LAYOFFS):
        return "layoff"
    return "deload" if w % 8 == 7 else "trained"


def week_rows(
    lifter_id: str, first: date, weeks: int, began: date, shown: int
) -> dict[str, pl.DataFrame]:
    """The two weekly marts of one lifter."""
    rng = np.random.default_rng(11)
    muscle, lifter = [], []
    muscles = all_muscles(shown)
    level = np.array([12 + (i * 5) % 7 for i in range(len(muscles))], float)
    for w in range(weeks):
        start = first + timedelta(weeks=w)
        status = week_status(w) if weeks > 60 else "trained"
        if w % 12 == 0:
            level = np.clip(level * rng.normal(1.015, 0.12, len(muscles)), 5, 27)
        direct = np.maximum(0, np.round(rng.normal(level * 0.8, 1.2))).astype(int)
        indirect = np.round(rng.normal(level * 0.35, 0.8)).clip(0).astype(int)
        if status == "deload":
            direct, indirect = direct // 2, indirect // 2
        if status == "layoff":
            direct, indirect = direct * 0, indirect * 0
        known = status != "unlogged"
        for i, (m, _) in enumerate(muscles):
            muscle.append(
                {
                    "lifter_id": lifter_id,
                    "week_start": start,
                    "muscle_id": m,
                    "week_status": status,
                    "direct_sets": int(direct[i]) if known else None,
                    "indirect_sets": int(indirect[i]) if known else None,
                    "weekly_sets": direct[i] + indirect[i] / 2 if known else None,
                }
            )
        total = int(direct.sum())
        lifter.append(
            {
                "lifter_id": lifter_id,
                "week_start": start,
                "week_status": status,
                "training_age_years": (start - began).days / 365.25,
                "sessions": (4 if total else 0) if known else None,
                "working_sets": total if known else None,
                "hard_sets": total * 3 // 4 if known else None,
                "body_weight_kg": 77 + 3 * np.sin(w / 9) + w / 200 if w % 3 else None,
            }
        )
    return {
        "mart_week_muscle": conform("mart_week_muscle", pl.DataFrame(muscle)),
        "mart_week_lifter": conform("mart_week_lifter", pl.DataFrame(lifter)),
    }


def event_rows(lifter_id: str) -> pl.DataFrame:
    """Journal and rule events of the long record."""

    def event(kind: str, w0: int, w1: int | None, subject: str | None, note: str | None) -> dict:
        start = FIRST + timedelta(weeks=w0)
        end = None if w1 is None else FIRST + timedelta(weeks=w1, days=-1)
        return {
            "event_id": f"{kind}-{w0}-{subject}",
            "lifter_id": lifter_id,
            "kind": kind,
            "start": start,
            "end": end,
            "subject": subject,
            "evidence": "told",
            "note": note,
        }

    rows = [
        event("deload", w, w + 1, None, None) for w in range(WEEKS) if week_status(w) == "deload"
    ]
    rows += [event("layoff", r.start, r.stop, None, "holiday") for r in LAYOFFS]
    rows += [
        event("priority", 30, 44, "quads", "more leg work"),
        event("priority", 150, 162, "chest side_delts", None),
        event("priority", 245, 259, "hamstrings calves", None),
        event("priority", 420, 436, "biceps", None),
        event("priority", 540, 554, "calves upper_back", None),
        event("injury", 232, 252, "knee", "pain in deep squats"),
        event("injury", 470, 478, "shoulder", None),
        event("gym_change", 268, None, None, "moved"),
        event("gym_change", 556, None, None, "new gym"),
        event("device_change", 330, None, None, "new watch"),
    ]
    return conform("tidy_event", pl.DataFrame(rows))


def short_refusals(lifter_id: str) -> list[dict[str, object]]:
    """What nine weeks cannot answer."""
    common = {"lifter_id": lifter_id, "method": "none", "model_version": "1.0"}
    rows = [
        ("supported_sets", "muscle:chest", "sets/week", 9, 40, "weeks with this muscle", "weeks"),
        ("lift_slope", "lift:bench_press", "%/year", 9, 16, "weeks with this lift", "weeks"),
        ("deload_effect", f"lifter:{lifter_id}", "%", 1, 4, "deloads", "other"),
    ]
    return [
        Finding(
            **common,
            question=question,
            subject=subject,
            unit=unit,
            n=n,
            n_of=n_of,
            support="not enough",
            support_why=f"{n} {n_of}, {needed} needed",
            sentence=f"Not enough: {n} {n_of}, {needed} needed; keep on logging as now.",
            needs="keep on logging as now",
            needed=needed,
            counted=counted,
            window="last" if question == "lift_slope" else "all",
        ).as_row()
        for question, subject, unit, n, needed, n_of, counted in rows
    ]


def empty_book() -> PageBook:
    """A book of one lifter whose inbox is still empty."""
    lifter = LifterInfo("new", "New", date(2026, 1, 1))
    full = make_book()
    return replace(
        full,
        lifters=(lifter,),
        tables={name: frame.clear() for name, frame in full.tables.items()}
        | {"ref_muscle": full.tables["ref_muscle"]},
        changes=full.changes.clear(),
    )


@cache
def make_book(hostile: str = "", shown: int = len(MUSCLES)) -> PageBook:
    """The whole book. ``hostile`` is put into every text that people write."""
    aspen = LifterInfo("aspen", f"Aspen{hostile}", date(2013, 8, 1), consent=True)
    rowan = LifterInfo("rowan", "Rowan", date(2025, 9, 1))
    last = FIRST + timedelta(weeks=WEEKS, days=-1)
    short_first = FIRST + timedelta(weeks=WEEKS - 9)
    frames = {name: [empty_frame(name)] for name in tables()}
    frames["ref_muscle"] = [muscle_rows(shown)]
    for made in (
        week_rows("aspen", FIRST, WEEKS, aspen.training_began, shown),
        week_rows("rowan", short_first, 9, rowan.training_began, shown),
    ):
        for name, frame in made.items():
            frames[name].append(frame)
        frames["mart_session_lift"].append(session_rows(made["mart_week_lifter"]))
    frames["tidy_event"].append(
        event_rows("aspen").with_columns(note=pl.col("note") + pl.lit(hostile))
    )
    muscles = tuple(muscle for muscle, _ in all_muscles(shown))
    answered = tuple(muscle for muscle in muscles if muscle not in REFUSED)
    for made in (
        reference_frames(),
        volume_frames("aspen", FIRST, answered),
        easing_frames("aspen", frames["tidy_event"][-1]),
        lift_frames("aspen", FIRST, hostile),
        night_frames("aspen", FIRST, WEEKS, hostile),
        priority_frames("aspen", FIRST, answered, frames["tidy_event"][-1], hostile),
        next_phase_frames("aspen", FIRST, last, tuple(m for m, _ in MUSCLES), REFUSED),
        young_proposal("rowan", last, ("chest", "triceps", "lats")),
    ):
        for name, frame in made.items():
            frames[name].append(frame)
    findings = range_rows("aspen", tuple(m for m, _ in MUSCLES), REFUSED) + short_refusals("rowan")
    findings += held_rows("aspen", "chest", REFUSED[0]) + easing_rows("aspen")
    findings += lift_findings("aspen", FIRST) + pair_findings(answered) + night_findings("aspen")
    findings += priority_findings("aspen", frames["tidy_event"][-1])
    frames["finding"].append(conform("finding", pl.DataFrame(findings, infer_schema_length=None)))
    names = tuple(f"{name}{hostile}.csv" for name in ("early", "middle", "late"))
    for files in (
        file_rows("aspen", names, FIRST, last),
        file_rows("rowan", ("notes.txt",), FIRST, last),
    ):
        frames["source_file"].append(files)
        frames["set_aside"].append(aside_rows(files))
    frames["tidy_set"].append(set_rows("aspen", f"bennch{hostile}", FIRST))
    frames["tidy_doubt"].append(doubt_rows("aspen", frames["tidy_set"][-1]))
    for table, mended in mended_rows("aspen", FIRST).items():
        frames[table].append(mended)
    frames["tidy_name"].append(name_rows("aspen", f"bennch{hostile}"))
    frames["mart_week_lift"] += [
        lift_rows("aspen", FIRST, WEEKS),
        young_sets("rowan", short_first, 9),
    ]
    changed = [
        {
            "lifter_id": "aspen",
            "kind": "turned",
            "what": f"Side delts, last years{hostile}",
            "was": "rising",
            "is_now": "standing still: +0.1 % a year (\u22120.9 to +1.1)",
            "why": "so since 3 Jul 2026, 5 training weeks; 240 more sets",
            "page": "record",
            "anchor": "overview",
        }
    ]
    return PageBook(
        lifters=(aspen, rowan),
        tables={name: pl.concat(parts) for name, parts in frames.items()},
        changes=pl.DataFrame(changed, schema=NEWS_SCHEMA),
        since={"aspen": Since(files_changed=3), "rowan": Since(files_same=1)},
        last_run=datetime(2026, 8, 30, 3, 12),
        settings_id="a41c",
        reference_id="7be0",
        model_version="1.0",
        code_version="0.1.0",
        settings_shown={"hard set": "at most 4 repetitions in reserve"},
    )

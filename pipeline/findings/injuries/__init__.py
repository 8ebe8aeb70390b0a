"""Injuries: what each took out, what carried its patterns, what the index did, the way back."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.injuries.constraints import constrain
from pipeline.findings.injuries.lifts import COVERAGE, LiftCourse, follow_lifts
from pipeline.findings.injuries.muscles import MuscleCourse, follow_muscles
from pipeline.findings.injuries.rows import injury_row, lift_row, muscle_row
from pipeline.findings.injuries.say import say_event, say_muscle, say_way_back
from pipeline.findings.injuries.spans import (
    BEFORE_WEEKS,
    LEAST_BEFORE,
    Injury,
    LiftWeeks,
    find_injuries,
)
from pipeline.findings.muscles import frame_of
from pipeline.findings.support import COUNTED, Support

ALONE = Support("thin", "one injury alone; other lifts stand in for those that were out")


@dataclass(frozen=True)
class InjuryAnswers:
    """Tables about injuries by name, and their findings."""

    tables: dict[str, pl.DataFrame]
    findings: tuple[Finding, ...]


def answer_injuries(
    record: Record, levels: pl.DataFrame, fitted: Mapping[str, IndexWeeks], muscles: pl.DataFrame
) -> InjuryAnswers:
    """Every injury of the record.

    Parameters
    ----------
    levels : the lifter's ``model_lift_level``.
    fitted : indexes by muscle.
    muscles : ``ref_muscle``.
    """
    injuries, weeks = list(find_injuries(record)), LiftWeeks(record)
    names = dict(muscles.select("muscle_id", "name").rows())
    rows: dict[str, list[dict[str, object]]] = {
        "model_injury": [],
        "model_injury_lift": [],
        "model_injury_muscle": [],
    }
    findings: list[Finding] = []
    for injury in injuries:
        lifts = follow_lifts(record, injury, weeks, levels)
        courses = list(follow_muscles(record, injury, weeks, lifts, fitted))
        all_sets = sum(weeks.mean(lift, injury.before) for lift in weeks.sets)
        rows["model_injury"].append(injury_row(record, injury, lifts, all_sets))
        rows["model_injury_lift"] += [lift_row(record, injury, one) for one in lifts]
        rows["model_injury_muscle"] += [muscle_row(record, injury, one) for one in courses]
        findings.append(_find_event(record, injury, lifts, all_sets))
        findings += [_find_muscle(record, injury, one, names[one.muscle_id]) for one in courses]
        findings += _find_ways_back(record, injury, lifts)
    tables = {name: frame_of(name, found) for name, found in rows.items()}
    return InjuryAnswers(
        {**tables, "model_constraint": constrain(record, injuries)}, tuple(findings)
    )


def _common(record: Record, injury: Injury, subject: str) -> dict[str, object]:
    return {
        "lifter_id": record.lifter.lifter_id,
        "question": "injury",
        "subject": subject,
        "event_id": injury.event_id,
        "window": "event",
        "from_date": injury.start,
        "to_date": injury.end,
        "evidence": injury.evidence,
    }


def _find_event(
    record: Record, injury: Injury, lifts: list[LiftCourse], all_sets: float
) -> Finding:
    common = {
        **_common(record, injury, f"event:{injury.event_id}"),
        "unit": "%",
        "method": "count of sets in the quarter before",
    }
    out = [one for one in lifts if one.role == "out"]
    known = int(injury.before.sum())
    if known < LEAST_BEFORE:
        return find_refused(
            Refusal(
                has=known,
                needs=LEAST_BEFORE,
                of_what=f"trained weeks in the {BEFORE_WEEKS} before this injury",
                remedy="a longer record before it would tell what it took out",
                counted="trained weeks",
            ),
            **common,  # type: ignore[arg-type]
        )
    if not out:
        return find_refused(
            Refusal(
                has=0,
                needs=1,
                of_what="lifts of the quarter before that this injury took out",
                remedy="name them as lifts_out in the journal",
            ),
            **common,  # type: ignore[arg-type]
        )
    share = 100 * sum(one.sets_before for one in out) / all_sets
    return find_answered(
        COUNTED,
        **common,
        estimate=share,
        n=len(out),
        n_of="lifts",
        sentence=say_event(record, injury, lifts, share),
    )


def _find_muscle(record: Record, injury: Injury, one: MuscleCourse, name: str) -> Finding:
    common = {
        **_common(record, injury, f"muscle:{one.muscle_id}"),
        "unit": "%",
        "method": "index in the injury's last trained weeks against the weeks before",
    }
    change = one.through
    if isinstance(change, Refusal):
        return find_refused(change, **common)  # type: ignore[arg-type]
    return find_answered(
        ALONE,
        **common,
        estimate=change.pct,
        low=change.low,
        high=change.high,
        coverage=COVERAGE,
        n=injury.weeks,
        n_of="weeks",
        sentence=say_muscle(injury, name, one, change),
    )


def _find_ways_back(record: Record, injury: Injury, lifts: list[LiftCourse]) -> Iterator[Finding]:
    """Weeks to the old level of each lift that came back."""
    for one in lifts:
        if one.back is None:
            continue
        common = {
            **_common(record, injury, f"lift:{one.exercise_id}"),
            "unit": "weeks",
            "method": "first trained week at the level before",
        }
        if one.back.weeks_to_level is None:
            yield find_refused(
                Refusal(
                    has=0,
                    needs=1,
                    of_what="weeks at or above the level before this injury",
                    remedy="more logged weeks of the lift",
                    counted="trained weeks",
                ),
                **common,  # type: ignore[arg-type]
            )
            continue
        name = record.name_of(one.exercise_id)
        weeks = one.back.weeks_to_level
        yield find_answered(
            ALONE,
            **common,
            estimate=float(weeks),
            n=1,
            n_of="injury",
            sentence=say_way_back(injury, name, one.back, weeks),
        )

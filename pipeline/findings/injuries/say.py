"""Sentences about injuries. Counts and what the record shows; never a cause, never a risk."""

from collections.abc import Iterable

from pipeline.core.calendar import say_date
from pipeline.findings.arrays import Record
from pipeline.findings.injuries.lifts import LiftCourse, WayBack
from pipeline.findings.injuries.muscles import MuscleCourse
from pipeline.findings.injuries.spans import Injury
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.models.injury.course import Change

CAUTION = (
    "Pain that persists, numbness or loss of strength belongs to a licensed clinician; no risk is "
    "ranked here."
)
MOST_NAMED = 4


def say_span(injury: Injury) -> str:
    """What and when."""
    if injury.end is None:
        return f"{injury.what} since {say_date(injury.start)}, still going on"
    return f"{injury.what}, {say_date(injury.start)} to {say_date(injury.end)}"


def say_event(record: Record, injury: Injury, lifts: list[LiftCourse], share: float) -> str:
    """What it took out and what carried the pattern."""
    out = [one.exercise_id for one in lifts if one.role == "out"]
    rose = [one.exercise_id for one in lifts if one.role == "substitute"]
    carried = (
        f"{_name(record, rose)} rose meanwhile and {'train' if len(rose) > 1 else 'trains'} "
        "the same muscles"
        if rose
        else "no lift that trains the same muscles rose meanwhile"
    )
    verb = "is" if injury.end is None and len(out) == 1 else "are" if injury.end is None else "was"
    verb = "were" if verb == "was" and len(out) > 1 else verb
    return (
        f"{say_span(injury)}: {_name(record, out)} {verb} out, {say_number(share, 0)} % of the "
        f"sets of the quarter before; {carried}. {CAUTION}"
    )


def say_muscle(injury: Injury, name: str, course: MuscleCourse, change: Change) -> str:
    """The index through it, and a quarter later."""
    said = (
        f"{say_span(injury)}: the strength index of the {name} stood {say_change(change.pct)} % "
        f"{say_interval(change.low, change.high)} against before in its last trained weeks, "
        f"with {say_number(100 * course.share_out, 0)} % of its direct sets out"
    )
    if course.after is None:
        return f"{said}."
    after = course.after
    return (
        f"{said}; a quarter after its end {say_change(after.pct)} % "
        f"{say_interval(after.low, after.high)}."
    )


def say_way_back(injury: Injury, name: str, back: WayBack, weeks: int) -> str:
    """Weeks to the old level and how steep the first weeks were."""
    ratios = []
    if back.sets_ratio is not None:
        ratios.append(f"{say_number(100 * back.sets_ratio, 0)} % of the sets")
    if back.load_ratio is not None:
        ratios.append(f"{say_number(100 * back.load_ratio, 0)} % of the heaviest load")
    first = f", its first two weeks with {' and '.join(ratios)} of before" if ratios else ""
    reached = "at once" if weeks == 0 else f"{_say_weeks(weeks)} after its first set"
    away = "in the week" if back.weeks_away == 0 else _say_weeks(back.weeks_away)
    return (
        f"{name} came back {away} after the "
        f"{injury.what[:1].lower()}{injury.what[1:]}{first}; its old level was reached {reached}."
    )


def _say_weeks(weeks: int) -> str:
    return "1 week" if weeks == 1 else f"{weeks} weeks"


def _name(record: Record, lifts: Iterable[str]) -> str:
    """Names in a row, the first few of them."""
    names = [record.names.get(one, one.removeprefix("unmatched:")) for one in lifts]
    if len(names) > MOST_NAMED:
        names = [*names[: MOST_NAMED - 1], f"{len(names) - MOST_NAMED + 1} more lifts"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

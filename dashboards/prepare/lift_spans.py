"""Change of every lift over a span of weeks: what the page's script reads, and spans told without.

The script (``changes.js``) tells whatever span the reader brackets by the rules of this module; the
whole record and its last year are told here for readers without scripts.
"""

from datetime import date, timedelta
from math import ceil, exp
from typing import Any, NamedTuple

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Select, SpanChanges, SpanRow, SpanTold
from dashboards.numbers import count, interval, signed
from dashboards.packing import SIGNS, write_steps
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.lift_levels import Calendar
from dashboards.prepare.record import in_unit
from dashboards.told import told_plain
from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.page_book import LifterInfo, PageBook

# Levels and errors travel as ten-thousandths of a log; an error as two of these signs.
SCALE = 10_000
NO_ERROR = len(SIGNS) ** 2 - 1
# Normal quantile of a 95 % interval.
REACH = 1.959964
WEEKS_PER_YEAR = DAYS_PER_YEAR / 7
# An end further off than this from the end of the span is said beside the lift's name: grid weeks
# lie 13 apart.
FAR_WEEKS = 8
# The axis of the marks, % a year, goes no further than this.
LEAST_AXIS, MOST_AXIS = -15.0, 25.0
# Weeks that the page opens with, and those of the last year.
RECENT, YEAR = 104, 52


class LiftGrid(NamedTuple):
    """One lift at its grid weeks (m,), counted from the first of the record.

    ``level``: log kg; ``upto``: trained weeks up to each grid week, that one included, and ``own``
    whether it was one (1 or 0); ``errors``: of each pair (i, j), i < j, in the order of j, then i.
    Levels and errors are ten-thousandths.
    """

    name: str
    word: str
    weeks: list[int]
    level: list[int]
    upto: list[int]
    own: list[int]
    errors: list[int]


class Change(NamedTuple):
    """Change of a lift between two of its grid weeks: % a year, then mass in the lifter's unit."""

    lift: LiftGrid
    first: int
    last: int
    rate: tuple[float, float, float]
    gain: tuple[float, float, float]
    trained: int


def lift_grids(book: PageBook, lifter_id: str, rows: pl.DataFrame, first: date) -> list[LiftGrid]:
    """Every lift with a change that can be told, in the order of ``rows`` (``lift_rows``)."""
    week = {
        name: ((pl.col(name) - first).dt.total_days() // 7).alias(name)
        for name in ("week_from", "week_to", "week_start")
    }
    mine = pl.col("lifter_id") == lifter_id
    changes = book.tables["model_lift_change"].filter(mine)
    changes = changes.with_columns(week["week_from"], week["week_to"])
    levels = book.tables["model_lift_level"].filter(mine).with_columns(week["week_start"])
    by_lift = changes.partition_by("exercise_id", as_dict=True)
    level_of = levels.sort("week_start").partition_by("exercise_id", as_dict=True)
    return [
        _grid(name, word, by_lift[(lift,)], level_of[(lift,)])
        for lift, name, word in rows.select("id", "name", "word").iter_rows()
        if (lift,) in by_lift and (lift,) in level_of
    ]


def _grid(name: str, word: str, changes: pl.DataFrame, levels: pl.DataFrame) -> LiftGrid:
    weeks = sorted({*changes["week_from"], *changes["week_to"]})
    at = {week: i for i, week in enumerate(weeks)}
    errors = [NO_ERROR] * (len(weeks) * (len(weeks) - 1) // 2)
    for start, end, se in changes.select("week_from", "week_to", "se").iter_rows():
        i, j = at[start], at[end]
        errors[j * (j - 1) // 2 + i] = min(round(SCALE * se), NO_ERROR - 1)
    level = dict(levels.select("week_start", "level_log").iter_rows())
    trained = levels.filter("is_trained")["week_start"]
    return LiftGrid(
        name,
        word,
        weeks,
        [round(SCALE * level[week]) for week in weeks],
        [int((trained <= week).sum()) for week in weeks],
        [int((trained == week).any()) for week in weeks],
        errors,
    )


def find_change(lift: LiftGrid, start: int, end: int, unit: str) -> Change | None:
    """The change between the grid weeks nearest to two weeks; None where it cannot be told."""
    i, j = (
        min(range(len(lift.weeks)), key=lambda at: (abs(lift.weeks[at] - week), at))
        for week in (start, end)
    )
    error = lift.errors[j * (j - 1) // 2 + i] if i < j else NO_ERROR
    if error == NO_ERROR:
        return None
    middle, half = lift.level[j] - lift.level[i], REACH * error
    logs = [(middle + side * half) / SCALE for side in (0, -1, 1)]
    years = (lift.weeks[j] - lift.weeks[i]) / WEEKS_PER_YEAR
    mass = in_unit(exp(lift.level[i] / SCALE), unit)
    return Change(
        lift,
        lift.weeks[i],
        lift.weeks[j],
        tuple(100 * value / years for value in logs),  # type: ignore[arg-type]
        tuple(mass * (exp(value) - 1) for value in logs),  # type: ignore[arg-type]
        lift.upto[j] - lift.upto[i] + lift.own[i],
    )


def span_changes(
    book: PageBook, lifter: LifterInfo, rows: pl.DataFrame, calendar: Calendar
) -> SpanChanges | None:
    """The block of the page; None where no change of any lift can be told."""
    grids = lift_grids(book, lifter.lifter_id, rows, calendar.first)
    if not grids:
        return None
    whole, year = (0, calendar.weeks), (max(0, calendar.weeks - YEAR), calendar.weeks)
    spans = {words.plain("lifts.span_all"): whole, words.plain("lifts.span_year"): year}
    told = tuple(_tell(title, grids, span, calendar, lifter.unit) for title, span in spans.items())
    return SpanChanges(
        name="changes",
        title=words.plain("lifts.span_title"),
        caption=words.say("lifts.span_caption"),
        select=_select(calendar),
        heads=tuple(
            words.plain(f"lifts.span_{key}", unit=lifter.unit)
            for key in ("lift", "mark", "rate", "gain", "support")
        ),
        told=told,
        data=_pack(grids, lifter.unit),
    )


def _select(calendar: Calendar) -> Select:
    """The span as a choice: since each year began, the last years, all of it."""
    last = calendar.weeks
    options = [
        (f"{max(0, last - RECENT)} {last}", words.plain("lifts.span_recent")),
        (f"{max(0, last - YEAR)} {last}", words.plain("lifts.span_year")),
        (f"0 {last}", words.plain("lifts.span_all")),
    ]
    for week, year in reversed(list(year_marks(calendar.first, last).iter_rows())):
        options.append((f"{ceil(week)} {last}", words.plain("lifts.span_since", year=year)))
    return Select("span", words.plain("lifts.span_control"), tuple(options), options[0][0])


def _pack(grids: list[LiftGrid], unit: str) -> dict[str, Any]:
    """What the script reads, under short names."""
    lifts = [
        {
            "name": one.name,
            "word": one.word,
            "weeks": write_steps(one.weeks),
            "level": write_steps(one.level),
            "upto": write_steps(one.upto),
            "own": "".join(map(str, one.own)),
            "errors": "".join(SIGNS[v // 64] + SIGNS[v % 64] for v in one.errors),
        }
        for one in grids
    ]
    return {
        "lifts": lifts,
        "unit": unit,
        "mass": in_unit(1.0, unit),
        "scale": SCALE,
        "reach": REACH,
        "year": WEEKS_PER_YEAR,
        "far": FAR_WEEKS,
        "axis": [LEAST_AXIS, MOST_AXIS],
        "support": told_plain("thin"),
        "least": words.constants()["change_weeks"],
    }


def _tell(
    title: str, grids: list[LiftGrid], span: tuple[int, int], calendar: Calendar, unit: str
) -> SpanTold:
    found = [(one, find_change(one, span[0], span[1] - 1, unit)) for one in grids]
    changes = sorted(
        (change for _, change in found if change is not None),
        key=lambda change: (-change.rate[0], change.lift.name),
    )
    rest = [one.name for one, change in found if change is None]
    said = _months(calendar, span[0], span[1] - 1)
    axis = _axis(changes)
    return SpanTold(
        title=title,
        sentence=_sentence(changes, said, unit),
        rows=tuple(_row(one, span, axis, calendar) for one in changes),
        rest=_rest(rest),
    )


def _sentence(changes: list[Change], span: str, unit: str) -> Markup:
    rose = [one for one in changes if one.rate[1] > 0]
    values: dict[str, object] = {"span": span, "rose": count(len(rose)), "of": count(len(changes))}
    if not rose:
        return words.say("script.span_none", **values)
    first = rose[0]
    overlap = [one for one in changes if one is not first and one.rate[2] >= first.rate[1]]
    values |= {
        "name": Markup("<bdi>{}</bdi>").format(first.lift.word),
        "rate": signed(first.rate[0]),
        "interval": interval(*first.rate[1:]),
        "gain": signed(first.gain[0]),
        "unit": unit,
        "near": count(len(overlap)),
        "others": count(len(changes) - 1),
    }
    if len(rose) == 1:
        return words.say("script.span_only_near" if overlap else "script.span_only", **values)
    return words.say("script.span_leads" if overlap else "script.span_most", **values)


def _rest(names: list[str]) -> Markup:
    shown = Markup(", ").join(Markup("<bdi>{}</bdi>").format(one) for one in names)
    return words.say("script.span_rest", names=shown) if names else Markup("")


def _axis(changes: list[Change]) -> tuple[float, float]:
    low = min((one.rate[1] for one in changes), default=0.0)
    high = max((one.rate[2] for one in changes), default=0.0)
    return max(LEAST_AXIS, min(-1.0, low)), min(MOST_AXIS, max(1.0, high))


def _row(
    one: Change, span: tuple[int, int], axis: tuple[float, float], calendar: Calendar
) -> SpanRow:
    far = max(abs(one.first - span[0]), abs(one.last - span[1] + 1)) > FAR_WEEKS
    own = _months(calendar, one.first, one.last)
    rate, low, high = one.rate

    def place(value: float) -> float:
        share = (min(max(value, axis[0]), axis[1]) - axis[0]) / (axis[1] - axis[0])
        return round(100 * share, 1)

    return SpanRow(
        name=one.lift.name,
        note=words.plain("script.span_own", span=own) if far else "",
        tone="progress" if low > 0 else "loss" if high < 0 else "",
        places=(place(0), place(low), place(high), place(rate)),
        rate=signed(rate),
        rate_interval=interval(low, high),
        gain=signed(one.gain[0]),
        gain_interval=interval(*one.gain[1:]),
        support=words.plain(
            "script.span_support", support=told_plain("thin"), n=count(one.trained)
        ),
    )


def _months(calendar: Calendar, start: int, end: int) -> str:
    """Two weeks by their months: January 2019 to November 2026."""
    months = words.locale().months["stand-alone"]["wide"]
    days = [calendar.first + timedelta(weeks=week) for week in (start, end)]
    start_said, end_said = (f"{months[day.month]} {day.year}" for day in days)
    return words.plain("script.span_title", **{"from": start_said, "to": end_said})

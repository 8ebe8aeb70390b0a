"""The weeks to train by: a sheet for each week that differs, all of them as a plan's file."""

from itertools import groupby
from urllib.parse import quote

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Controls, Day, Prose, Section, Select, Sheet, SheetColumn, Text, When
from dashboards.numbers import count, figure, plural, say_date
from dashboards.prepare.next_phase.proposals import Proposed, Row
from dashboards.told import told
from pipeline.core.page_book import LifterInfo
from pipeline.core.plan_weeks import say_plan

# Columns of a sheet; the last one is for a pen.
COLUMNS = ("lift", "sets", "reps", "rir", "failure", "minutes", "because", "pen")
# Heights on paper, px: of A4 within its margins, of a sheet's head, of a day's, of a lift.
PAPER, HEAD, DAY, LINE = 1000, 80, 58, 23


def week_section(one: Proposed, lifter: LifterInfo) -> Section:
    """The choice of a week, its sheet, and the ways to take it along."""
    name = week_name(one)
    title = words.plain("next_phase.week_title")
    if one.plan.is_empty():
        return Section(name, title, (Prose((words.say("next_phase.week_none"),)),))
    spans = _equal_weeks(one.plan)
    param = f"week_{one.version}"
    options = tuple((str(span[0]), _say_weeks(one, span)) for span in spans)
    control = Controls(
        (Select(param, words.plain("next_phase.control_week"), options, options[0][0]),)
    )
    sheets = tuple(
        When(param, str(span[0]), (_sheet(one, lifter, span, text),))
        for span, (_, text) in zip(spans, options, strict=True)
    )
    caption = Prose((words.say("next_phase.week_caption"),))
    return Section(name, title, (caption, control, *sheets, Prose((_ways(one),))))


def week_name(one: Proposed) -> str:
    """Where a link to the weeks of a proposal leads."""
    return f"week-{one.version}"


def _equal_weeks(plan: pl.DataFrame) -> list[list[int]]:
    """Runs of weeks that hold the same sets."""
    held = {
        key[0]: week.select("is_easing", "day", "place", "exercise_id", "sets").rows()
        for key, week in plan.partition_by("week", as_dict=True).items()
    }
    return [list(run) for _, run in groupby(sorted(held), key=lambda week: held[week])]


def _say_weeks(one: Proposed, span: list[int]) -> str:
    """Week 1, from 30 Nov 2026; weeks 3 to 7; week 8, easing off."""
    starts = dict(one.weeks.select("week", "week_start").unique().iter_rows())
    is_easing = bool(one.plan.filter(pl.col("week") == span[0])["is_easing"][0])
    key = "easing" if is_easing else "one" if len(span) == 1 else "many"
    return words.plain(
        f"next_phase.weeks_{key}",
        first=count(span[0]),
        last=count(span[-1]),
        start=say_date(starts[span[0]]),
    )


def _sheet(one: Proposed, lifter: LifterInfo, span: list[int], text: str) -> Sheet:
    week = one.plan.filter(pl.col("week") == span[0])
    days = tuple(
        _day(int(key[0]), day)  # type: ignore[call-overload]
        for key, day in week.group_by("day", maintain_order=True)
    )
    heads = [words.plain(f"next_phase.sheet_{key}") for key in COLUMNS]
    kinds = ("", "number", "number", "number", "", "number", "", "")
    return Sheet(
        name=f"week-{one.version}-{span[0]}",
        title=text[:1].upper() + text[1:],
        note=words.say(
            "next_phase.sheet_note",
            sessions=plural(len(days), "session"),
            sets=plural(int(week["sets"].sum()), "set"),
            minutes=count(max(float(day["minutes"].sum()) for _, day in week.group_by("day"))),
        ),
        printed=words.say("next_phase.sheet_printed", name=lifter.name, plan=one.command),
        columns=tuple(SheetColumn(*one) for one in zip(COLUMNS, heads, kinds, strict=True)),
        days=days,
        fit=min(1.0, round(PAPER / (HEAD + DAY * len(days) + LINE * week.height), 2)),
    )


def _day(number: int, day: pl.DataFrame) -> Day:
    title = words.say(
        "next_phase.day",
        day=count(number),
        lifts=plural(day.height, "lift"),
        sets=plural(int(day["sets"].sum()), "set"),
        minutes=count(float(day["minutes"].sum())),
    )
    return Day(title, tuple(_line(row) for row in day.iter_rows(named=True)))


def _line(row: Row) -> tuple[Text, ...]:
    return (
        row["name"],
        count(row["sets"]),
        _say_reps(row["reps_low"], row["reps_high"]),
        words.plain("next_phase.unsaid") if row["rir"] is None else figure(row["rir"]),
        words.plain("next_phase.to_failure") if row["to_failure"] else "",
        count(row["minutes"]),
        told(row["because"]),
        "",
    )


def _say_reps(low: int | None, high: int | None) -> str:
    if low is None or high is None:
        return words.plain("next_phase.unsaid")
    return count(low) if low == high else words.plain("numbers.range", low=low, high=high)


def _ways(one: Proposed) -> Markup:
    """The plan's file to save, as ``liftstrata export`` writes it; printing needs the script."""
    address = "data:text/csv;charset=utf-8," + quote(say_plan(one.plan))
    return words.say(
        "next_phase.ways",
        link=Markup('<a download="{}.csv" href="{}">{}</a>').format(
            one.head["start"].isoformat(), address, words.plain("next_phase.save_plan")
        ),
        weeks=plural(one.head["weeks"], "week"),
    )

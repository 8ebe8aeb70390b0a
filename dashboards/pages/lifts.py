"""Lifts: level and slope of each, then and now; plateaus; swaps and how they were linked."""

from datetime import timedelta
from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Page, Prose, Table, Text, When
from dashboards.charts.forest import LIFT
from dashboards.frame import say_nothing
from dashboards.numbers import amount, capital, count, plural, say_date
from dashboards.prepare.counts import count_lifts, lifter_weeks
from dashboards.prepare.events import event_frames
from dashboards.prepare.forecast import (
    forecast_blocks,
    growth_picture,
    growth_rows,
    lift_forecasts,
    say_forecast,
)
from dashboards.prepare.kept import kept_blocks
from dashboards.prepare.lift_answer import answer_lifts, expected_gain
from dashboards.prepare.lift_checks import check_table, curve_table
from dashboards.prepare.lift_levels import (
    LARGE_POINTS,
    SMALL_POINTS,
    Calendar,
    level_points,
    lift_frames,
    lift_plateaus,
    small_lines,
    step_of,
)
from dashboards.prepare.lift_pictures import (
    forest_control,
    forest_picture,
    lift_control,
    lift_picture,
)
from dashboards.prepare.lift_rows import lift_rows, say_level
from dashboards.prepare.lift_spans import span_changes
from dashboards.prepare.lift_tables import (
    done_table,
    level_table,
    plateau_table,
    slope_table,
    swap_table,
    year_table,
)
from dashboards.prepare.missing import missing_questions
from dashboards.prepare.names import title_of
from dashboards.prepare.published import published_table
from dashboards.prepare.record_tables import missing_table
from dashboards.prepare.slopes import (
    REFUSED,
    least_visible,
    say_limit,
    say_refusal,
)
from dashboards.prepare.stability import stability_folds
from dashboards.prepare.strips import StripFrames, strip_frames
from dashboards.told import told
from pipeline.core.page_book import LifterInfo, PageBook

QUESTIONS = ("lift_level", "lift_slope", "plateau")


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; the lift chosen in it holds for picture, sentences and swaps."""
    weeks = lifter_weeks(book, lifter.lifter_id)
    if weeks.is_empty():
        return Page((Answer(say_nothing(book, lifter), ""),), (), ())
    calendar = Calendar(weeks["week_start"][0], weeks.height)
    rows = lift_rows(book, lifter)
    points = level_points(book, lifter.lifter_id, rows, calendar.first)
    blocks: list[object] = []
    if rows.height:
        age = weeks["training_age_years"][-1]
        blocks += _pictures(book, lifter, rows, points, calendar, age)
    blocks += _missing(book, lifter)
    done = done_table(count_lifts(book, lifter.lifter_id), lifter.unit, timedelta(days=6))
    is_answered = (rows["verdict"] != REFUSED).any()
    if not is_answered and done.rows:
        blocks.append(done)
    folds: list[tuple[str, tuple[object, ...]]] = []
    if is_answered:
        folds = [
            (words.plain("lifts.fold_years"), (year_table(book, lifter, rows),)),
            (words.plain("lifts.fold_done"), (done,)),
            (words.plain("lifts.fold_curve"), (curve_table(book, lifter.lifter_id, rows),)),
            (words.plain("lifts.fold_check"), (check_table(book, lifter.lifter_id),)),
        ]
    names = {
        ("lift_slope", f"lift:{lift}"): name for lift, name in rows.select("id", "name").rows()
    }
    folds += stability_folds(book, lifter.lifter_id, names)
    folds.append((words.plain("lifts.fold_published"), _published(book)))
    return Page(
        answers=(answer_lifts(book, lifter, rows, weeks),),
        blocks=tuple(blocks),
        folds=tuple(folds),
        method=_method(book, rows, calendar),
        left_out=_left_out(book, lifter, rows),
    )


def _pictures(
    book: PageBook,
    lifter: LifterInfo,
    rows: pl.DataFrame,
    points: pl.DataFrame,
    calendar: Calendar,
    age: float,
) -> list[object]:
    chosen = opening_lift(rows, points)
    gain = expected_gain(book, age)
    forest = forest_picture(
        lifter,
        rows,
        small_lines(points, rows, calendar.weeks),
        calendar,
        gain,
        chosen,
        slope_table(book, rows, lifter.unit),
    )
    spans = span_changes(book, lifter, rows, calendar)
    blocks: list[object] = [] if spans is None else [spans]
    blocks += [forest_control(), forest] if rows.height > 1 else [forest]
    if points.height:
        blocks += _in_full(book, lifter, rows, points, calendar, chosen)
    if lift_plateaus(book, lifter.lifter_id).height or (rows["verdict"] != REFUSED).any():
        blocks.append(plateau_table(book, lifter.lifter_id, rows))
    ahead = lift_forecasts(book, lifter.lifter_id, rows)
    if ahead.height:
        blocks += forecast_blocks(ahead, rows, lifter)
    return [*blocks, *kept_blocks(book, lifter)]


def opening_lift(rows: pl.DataFrame, points: pl.DataFrame) -> str:
    """The lift to begin with: that which was done in most weeks, as the value of the control."""
    done = points.filter("is_on").group_by("e").len().sort("len", "e", descending=[True, False])
    return str(done["e"][0] if done.height else rows["e"][0])


def _in_full(
    book: PageBook,
    lifter: LifterInfo,
    rows: pl.DataFrame,
    points: pl.DataFrame,
    calendar: Calendar,
    chosen: str,
) -> list[object]:
    strips = strip_frames(book, lifter)
    assert isinstance(strips, StripFrames)  # the record has weeks
    lanes = event_frames(book, lifter.lifter_id, calendar.first, calendar.weeks, strips.muscles)
    frames = lift_frames(book, lifter.lifter_id, rows, points, calendar)
    with_level = rows.filter(pl.col("e").is_in(points["e"].unique().implode()))
    grown = growth_rows(book, lifter.lifter_id, with_level)
    growth = growth_picture(book, grown, with_level, chosen)
    return [
        lift_control(with_level, chosen),
        lift_picture(
            frames, lanes, calendar, chosen, level_table(rows, points, calendar, lifter.unit)
        ),
        *(_of_lift(book, lifter, row) for row in with_level.iter_rows(named=True)),
        *([] if growth is None else [growth]),
    ]


def _of_lift(book: PageBook, lifter: LifterInfo, row: dict[str, Any]) -> When:
    """Sentences and swaps of one lift, shown while it is chosen."""
    lift = str(row["id"])
    said: list[Text] = []
    if row["level"] is not None:
        said.append(_say_level(book, lifter, row))
    findings = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter.lifter_id)
        & (pl.col("subject") == f"lift:{lift}")
        & (
            ((pl.col("question") == "lift_slope") & pl.col("window").is_in(["last", "first"]))
            | ((pl.col("question") == "plateau") & (pl.col("window") == "event"))
        )
    )
    order = {window: i for i, window in enumerate(("last", "first", "event"))}
    findings = findings.sort(pl.col("window").replace_strict(order), "from_date")
    said += [told(capital(text)) for text in dict.fromkeys(findings["sentence"])]
    ahead = lift_forecasts(book, lifter.lifter_id, pl.DataFrame([row], infer_schema_length=None))
    said += [say_forecast(one, lifter.unit) for one in ahead.iter_rows(named=True)]
    swaps = swap_table(book, lifter.lifter_id, lift, str(row["word"]))
    return When(LIFT, str(row["e"]), (Prose(tuple(said), str(row["name"])), swaps))


def _say_level(book: PageBook, lifter: LifterInfo, row: dict[str, Any]) -> Text:
    support = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter.lifter_id)
        & (pl.col("question") == "lift_level")
        & (pl.col("subject") == f"lift:{row['id']}")
    )["support"][0]
    return words.say(
        "lifts.lift_level",
        level=say_level(row, lifter.unit),
        done=say_date(row["done"]),
        sets=count(row["level_n"]),
        support=told(support),
    )


def _missing(book: PageBook, lifter: LifterInfo) -> list[Table]:
    missing = missing_questions(book, lifter.lifter_id)
    mine = [one for one in missing if one.question in QUESTIONS]
    return [missing_table(mine)] if mine else []


def _published(book: PageBook) -> tuple[object, ...]:
    title = words.plain("lifts.published_title")
    return (published_table(book, title, "lift_level", "lift_slope"),)


def _method(book: PageBook, rows: pl.DataFrame, calendar: Calendar) -> tuple[object, ...]:
    answered = rows.filter(pl.col("verdict") != REFUSED)
    values = {
        "limit": say_limit(book),
        "visible": amount(least_visible(answered)),
        "small": say_nth(step_of(calendar.weeks, SMALL_POINTS)),
        "large": say_nth(step_of(calendar.weeks, LARGE_POINTS)),
    }
    keys = [
        "level",
        "load",
        "slope",
        "span",
        "colour",
        "still",
        "small",
        "rest",
        "swap",
        "equipment",
        "points",
    ]
    if answered.is_empty():
        keys.remove("small")
    if "forecast" in set(book.tables["finding"]["question"]):
        keys.append("forecast")
    parts: list[Markup] = [words.say(f"lifts.method_{key}", **values) for key in keys]
    if "forecast" in keys:
        parts.append(words.say("volume.method_pace"))
    parts.append(words.say("lifts.method_support"))
    parts += [
        words.say("lifts.method_setting", name=name, value=value)
        for name, value in book.settings_shown.items()
    ]
    return tuple(parts)


def say_nth(step: int) -> str:
    """Every second week; with a step of one, every single one."""
    ordinals = words.plain("lifts.ordinals").split()
    return ordinals[step - 1] if step <= len(ordinals) else words.plain("numbers.nth", step=step)


def _left_out(book: PageBook, lifter: LifterInfo, rows: pl.DataFrame) -> tuple[object, ...]:
    parts: list[object] = []
    refused = rows.filter(pl.col("verdict") == REFUSED)
    if refused.height:
        lines = [
            words.say(
                "lifts.left_refused_row",
                name=row["name"],
                reason=say_refusal(row),
                needs=told(row["needs"]),
            )
            for row in refused.iter_rows(named=True)
        ]
        head = words.say("lifts.left_refused", n=plural(refused.height, "lift"))
        parts.append(Prose((head, *lines)))
    answered = rows.filter(pl.col("verdict") != REFUSED)
    for key, chosen in (
        ("past", answered.filter("is_past")["name"]),
        ("then", answered.filter(pl.col("then").is_null())["name"]),
        ("unleveled", _unleveled(book, lifter, rows)),
    ):
        if len(chosen):
            parts.append(words.say(f"lifts.left_{key}", names=", ".join(chosen)))
    return tuple(parts) or (words.say("lifts.left_nothing"),)


def _unleveled(book: PageBook, lifter: LifterInfo, rows: pl.DataFrame) -> list[str]:
    """Lifts that were done but have no question: no load that moves was ever written."""
    known = set(rows["id"])
    done = count_lifts(book, lifter.lifter_id)
    return [
        title_of(row["name"])
        for row in done.iter_rows(named=True)
        if row["exercise_id"] not in known
    ]

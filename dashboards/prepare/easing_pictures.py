"""Pictures of the page Easing off, each drawn wide and narrow, with its words."""

from dashboards import words
from dashboards.blocks import Key, Picture, Text
from dashboards.charts.deload_years import DeloadYearFrames, draw_deload_years
from dashboards.charts.fan import FanWords, draw_fan
from dashboards.charts.layoffs import LayoffFrames, LayoffWords, draw_layoffs
from dashboards.charts.pace import draw_pace
from dashboards.frame import LifterWeeks
from dashboards.numbers import count
from dashboards.prepare.easing import EasingCounts, Row, deloads_read, is_answered, layoffs_read
from dashboards.prepare.easing_fan import fan_frames
from dashboards.prepare.easing_frames import deload_year_frames, layoff_frames
from dashboards.prepare.easing_pace import pace_frames, say_last, say_pace
from dashboards.prepare.easing_tables import (
    deload_table,
    fan_table,
    layoff_table,
    pace_table,
    say_layoffs,
)
from dashboards.theme.colours import INK, INK2, INK3, LOSS, PRIOR, PROGRESS, role
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook


def fan_picture(book: PageBook, lifter_id: str, finding: Row | None, answer: Text) -> Picture:
    """Strength after deloads against matched ordinary weeks; axes alone where it is refused."""
    frames = fan_frames(book, lifter_id, finding)
    why = "" if is_answered(finding) or finding is None else told_plain(finding["support_why"])
    said = FanWords(
        y_title=words.plain("easing.fan_y"),
        x_title=words.plain("easing.fan_x"),
        week=tuple(words.plain("easing.fan_week").split("|")),  # type: ignore[arg-type]
        refused=words.plain("easing.fan_refused", why=why) if why else "",
    )
    mean = "band" if frames.tone == "progress" else "line"
    keys = (
        Key(mean, words.plain("easing.key_mean"), role(frames.tone)),
        Key("dash", words.plain("easing.key_ordinary"), PRIOR),
        Key("line", words.plain("easing.key_single"), INK3),
        *(
            (Key("dotted", words.plain("easing.key_textbook"), PRIOR),)
            * bool(frames.outline.height)
        ),
    )
    return Picture(
        name="fan",
        title=words.plain("easing.fan_title"),
        caption=words.say("easing.fan_caption"),
        description=words.plain("easing.fan_description", answer=_plain(answer)),
        wide=draw_fan(frames, said, is_wide=True),
        narrow=draw_fan(frames, said, is_wide=False),
        keys=keys if frames.means.height else (),
        table=fan_table(book, lifter_id) if frames.means.height else None,
        is_main=True,
    )


def _plain(text: Text) -> str:
    """A sentence without its markup, for a text alternative."""
    return text.striptags() if hasattr(text, "striptags") else str(text)


def layoff_picture(
    book: PageBook, lifter_id: str, counts: EasingCounts, finding: Row | None
) -> Picture:
    """Each layoff's change on return, and the line over them where there is one."""
    frames = layoff_frames(book, lifter_id, counts, finding)
    why = "" if is_answered(finding) or finding is None else told_plain(finding["support_why"])
    said = LayoffWords(
        y_title=words.plain("easing.layoffs_y"),
        x_title=words.plain("easing.layoffs_x"),
        refused=words.plain("easing.layoffs_no_line", why=why) if why else "",
    )
    number = count(frames.points.height)
    answer = say_layoffs(finding, layoffs_read(book, lifter_id, counts))
    return Picture(
        name="layoffs",
        title=words.plain("easing.layoffs_title"),
        caption=words.say("easing.layoffs_caption"),
        description=words.plain("easing.layoffs_description", n=number, answer=answer),
        wide=draw_layoffs(frames, said, is_wide=True),
        narrow=draw_layoffs(frames, said, is_wide=False),
        keys=_layoff_keys(frames),
        table=layoff_table(book, lifter_id, counts) if frames.points.height else None,
        answer=answer,
    )


def _layoff_keys(frames: LayoffFrames) -> tuple[Key, ...]:
    told, tones = frames.points["told"], set(frames.points["tone"])
    keys = (
        (Key("dot", words.plain("easing.key_layoff"), INK2), 1 in told),
        (Key("ring", words.plain("easing.key_layoff_rule"), INK2), 0 in told),
        (Key("estimate", words.plain("easing.key_rise"), PROGRESS), PROGRESS in tones),
        (Key("estimate", words.plain("easing.key_fall"), LOSS), LOSS in tones),
        (Key("lozenge", words.plain("easing.key_published"), PRIOR), frames.published.height > 0),
    )
    return tuple(key for key, shown in keys if shown)


def year_picture(
    book: PageBook, lifter_id: str, counts: EasingCounts, calendar: LifterWeeks
) -> Picture:
    """Every deload at its date."""
    years = calendar.weeks / 52
    wide, narrow = (
        deload_year_frames(book, lifter_id, counts, calendar.first, calendar.weeks, every)
        for every in (1 if years <= 25 else 2, 1 if years <= 6 else 2 if years <= 14 else 5)
    )
    tones = deloads_read(book, lifter_id)["reads"].to_list()
    y_title = words.plain("easing.years_y")
    return Picture(
        name="years",
        title=words.plain("easing.years_title"),
        caption=words.say("easing.years_caption"),
        description=words.plain(
            "easing.years_description",
            n=len(tones),
            rise=tones.count("progress"),
            fall=tones.count("loss"),
        ),
        wide=draw_deload_years(wide, y_title, is_wide=True),
        narrow=draw_deload_years(narrow, y_title, is_wide=False),
        keys=_year_keys(wide, tones),
        table=deload_table(book, lifter_id),
    )


def _year_keys(frames: DeloadYearFrames, tones: list[str]) -> tuple[Key, ...]:
    told = frames.points["told"]
    keys = (
        (Key("dot", words.plain("easing.key_told"), INK2), 1 in told),
        (Key("ring", words.plain("easing.key_rule"), INK2), 0 in told),
        (Key("estimate", words.plain("easing.key_rise"), PROGRESS), "progress" in tones),
        (Key("estimate", words.plain("easing.key_fall"), LOSS), "loss" in tones),
        (Key("estimate", words.plain("easing.key_either"), INK2), "" in tones),
        (Key("tick", words.plain("easing.key_unread"), INK3), frames.unread.height > 0),
    )
    return tuple(key for key, shown in keys if shown)


def pace_picture(book: PageBook, counts: EasingCounts) -> Picture:
    """How often and how long, beside the survey."""
    frames = pace_frames(book, counts)
    none = words.plain("easing.pace_none")
    told = {"every": say_pace(counts.every) or none, "length": say_pace(counts.length) or none}
    return Picture(
        name="pace",
        title=words.plain("easing.pace_title"),
        caption=words.say("easing.pace_caption", last=say_last(counts)),
        description=words.plain("easing.pace_description", **told),
        wide=draw_pace(frames, is_wide=True),
        narrow=draw_pace(frames, is_wide=False),
        keys=(
            Key("estimate", words.plain("easing.pace_key_own"), INK),
            Key("lozenge", words.plain("easing.pace_key_survey"), PRIOR),
        ),
        table=pace_table(book, counts),
    )

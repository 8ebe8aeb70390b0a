"""Pictures of the page Volume and progress, each drawn wide and narrow, with its words."""

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picks, Picture
from dashboards.charts.volume_ages import AgeFrames, draw_ages
from dashboards.charts.volume_response import MUSCLE, ResponseFrames, ResponseWords, draw_response
from dashboards.charts.volume_summary import SummaryFrames, SummaryLayout, draw_summary
from dashboards.numbers import count
from dashboards.prepare.ticks import place_ticks
from dashboards.prepare.volume import (
    MuscleAnswer,
    age_colours,
    say_age,
    say_better,
    say_range,
    say_reading,
    say_reason,
    say_recent,
    summary_order,
)
from dashboards.prepare.volume_tables import age_table, block_table, summary_table
from dashboards.theme.colours import AGE_BANDS, INK, INK2, INK3, PRIOR, PROGRESS, role
from dashboards.told import told_plain

# Places of the hover line that the drawing fills in by itself.
HOVER = ("weeks", "date", "muscle", "sets", "change", "age")


def response_picture(
    frames: ResponseFrames, answers: list[MuscleAnswer], blocks: pl.DataFrame, opening: str
) -> Picture:
    """Progress against weekly sets of the chosen muscle."""
    said = ResponseWords(
        y_title=words.plain("volume.y_title"),
        x_title=words.plain("volume.x_title"),
        rug=words.plain("volume.rug"),
        own=words.plain("volume.own"),
        published=words.plain("volume.key_published"),
        hover=words.plain("volume.hover_block", **{name: f"{{{name}}}" for name in HOVER}),
    )
    return Picture(
        name="response",
        title=words.plain("volume.response_title"),
        caption=words.say("volume.response_caption"),
        description=words.plain("volume.response_description"),
        wide=draw_response(frames, said, opening, is_wide=True),
        narrow=draw_response(frames, said, opening, is_wide=False),
        keys=_response_keys(frames, answers),
        table=block_table(blocks),
        is_main=True,
    )


def _response_keys(frames: ResponseFrames, answers: list[MuscleAnswer]) -> tuple[Key, ...]:
    keys = [*_age_keys(answers)]
    if any(one.bands for one in answers):
        keys.append(Key("band", words.plain("volume.key_own"), PROGRESS))
        keys.append(Key("dash", words.plain("volume.key_published"), PRIOR))
    ends = frames.blocks.join(frames.notes, on="muscle")
    if ends.filter((pl.col("y") > pl.col("y1")) | (pl.col("y") < pl.col("y0"))).height:
        keys.append(Key("triangle", words.plain("volume.key_past"), INK2))
    if frames.blocks.filter(pl.col("u") == 0).height:
        keys.append(Key("ring", words.plain("volume.key_unused"), INK3))
    return tuple(keys)


def _age_keys(answers: list[MuscleAnswer]) -> list[Key]:
    """One key a tone; bands that share a tone stand together. Of the muscle with most bands."""
    widest = max(answers, key=lambda one: len(one.bands))
    spans: dict[int, tuple[float, float]] = {}
    for row, tone in zip(widest.bands, age_colours(len(widest.bands) or 1), strict=False):
        start = spans.get(tone, (row["age_from"], 0.0))[0]
        spans[tone] = (start, row["age_to"])
    keys: list[Key] = []
    for tone, span in spans.items():
        text = _ages(*span) if keys else words.plain("volume.key_age", ages=_ages(*span))
        keys.append(Key("dot", text, role(AGE_BANDS[tone - 1])))
    return keys


def _ages(first: float, last: float) -> str:
    return say_age({"age_from": first, "age_to": last})


def age_picture(frames: AgeFrames, answers: list[MuscleAnswer], opening: str) -> Picture:
    """The range of the chosen muscle at each training age."""
    high = frames.bands["hi"].max() if frames.bands.height else None
    end = max(30.0, 10.0 * -(-float(high or 0) // 10))  # type: ignore[arg-type]
    places = place_ticks(0, end, 4)
    said = words.plain("volume.ages_published"), words.plain("volume.x_title")
    keys = [Key("dash", words.plain("volume.key_published_range"), PRIOR)]
    if frames.bands.filter(pl.col("open") == 1).height:
        keys.append(Key("bar", words.plain("volume.key_open"), INK2))
    return Picture(
        name="ages",
        title=words.plain("volume.ages_title"),
        caption=words.say("volume.ages_caption"),
        description=words.plain("volume.ages_description"),
        wide=draw_ages(frames, places, said, opening, is_wide=True),
        narrow=draw_ages(frames, places, said, opening, is_wide=False),
        keys=tuple(keys),
        table=age_table(answers),
    )


def _summary_layouts(has_columns: bool) -> tuple[SummaryLayout, SummaryLayout]:
    """Rows of 27 px on a wide page, of 40 px with the name above the mark on a phone."""
    columns = (
        ("range", 610, "right", words.plain("volume.head_range")),
        ("recent", 700, "right", words.plain("volume.head_recent")),
        ("support", 730, "left", words.plain("volume.head_support")),
        ("blocks", 836, "right", words.plain("volume.head_blocks")),
        ("reads", 864, "left", words.plain("volume.head_reads")),
    )
    wide = columns if has_columns else ()
    narrow = (("short", 354, "right", ""),)
    return (
        SummaryLayout(92, 520, 588, 30, 27, 13.5, 13.5, wide, ("reason", 556, "left")),
        SummaryLayout(6, 354, 6, 6, 40, 27, 10, narrow, ("short", 354, "right")),
    )


def summary_picture(frames: SummaryFrames, answers: list[MuscleAnswer], opening: str) -> Picture:
    """All muscles; a row chosen here sets the muscle of the other pictures."""
    answered = [one for one in answers if one.bands]
    wide, narrow = _summary_layouts(bool(answered))
    better = say_better(answers)
    choose = words.plain("volume.summary_choose") if answered else ""
    return Picture(
        name="summary",
        title=words.plain("volume.summary_title"),
        caption=words.say("volume.summary_caption", better=better, choose=choose),
        description=words.plain("volume.summary_description", muscles=len(answers), better=better),
        wide=draw_summary(frames, wide, opening),
        narrow=draw_summary(frames, narrow, opening),
        keys=_summary_keys(answers),
        table=summary_table(answers),
        picks=_picks(answers, opening, wide, narrow) if answered else None,
    )


def _picks(
    answers: list[MuscleAnswer], opening: str, wide: SummaryLayout, narrow: SummaryLayout
) -> Picks:
    return Picks(
        param=MUSCLE,
        label=words.plain("volume.pick_label"),
        rows=tuple((one.muscle_id, _pick_line(one)) for one in summary_order(answers)),
        chosen=opening,
        wide=(wide.top, wide.row),
        narrow=(narrow.top, narrow.row),
    )


def _summary_keys(answers: list[MuscleAnswer]) -> tuple[Key, ...]:
    keys = [
        Key("swatch", words.plain("volume.key_range"), role("pulling-within")),
        Key("swatch", words.plain("volume.key_pale"), role("pulling-below")),
        Key("line", words.plain("volume.key_edges"), INK2),
        Key("rule", words.plain("volume.key_recent"), INK),
        Key("lozenge", words.plain("volume.key_published_range"), PRIOR),
        Key("dotted", words.plain("volume.key_refused"), INK3),
    ]
    answered = [one for one in answers if one.bands]
    has = (
        bool(answered),
        any(one.is_no_better for one in answered),
        bool(answered),
        True,
        bool(answered),
        len(answered) < len(answers),
    )
    return tuple(key for key, shown in zip(keys, has, strict=True) if shown)


def _pick_line(answer: MuscleAnswer) -> str:
    row = answer.now
    if row is None:
        return words.plain(
            "volume.pick_refused",
            muscle=answer.name,
            reason=say_reason(answer),
            recent=say_recent(answer),
        )
    return words.plain(
        "volume.pick_answered",
        muscle=answer.name,
        range=say_range(row),
        recent=say_recent(answer),
        support=told_plain(row["support"]),
        blocks=count(row["n"]),
        reads=say_reading(answer, all_same=False),
    )

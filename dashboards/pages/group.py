"""The group: who progressed at which volumes, who stands still, and who cannot be told."""

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Page, Prose, Text
from dashboards.catalogue import pages_of
from dashboards.numbers import amount, count, in_words, number_word
from dashboards.prepare.group import (
    LONG_MEAN,
    MOST_DRAWN,
    SAMPLE,
    SHORT_MEAN,
    GroupFrames,
    group_frames,
    group_means,
)
from dashboards.prepare.group_beds import bed_rows
from dashboards.prepare.group_matrix import group_controls, matrix_picture, opening_muscle
from dashboards.prepare.group_pictures import beds_picture, means_picture
from dashboards.prepare.group_tables import beds_table, cell_table, lifter_table, means_table
from dashboards.prepare.published import published_table
from dashboards.prepare.slopes import (
    FALLING,
    REFUSED,
    RISING,
    STILL,
    least_visible,
    say_limit,
    say_rate,
    stands_apart,
)
from dashboards.told import told
from pipeline.core.page_book import LifterInfo, PageBook


def build_page(book: PageBook) -> Page:
    """The page of all lifters of the book: two or more."""
    frames = group_frames(book)
    trained = frames.lifters.filter(pl.col("age").is_not_null())
    links = {one.lifter_id: _links(one) for one in book.lifters}
    lifters = lifter_table(frames, links)
    if trained.is_empty():
        return Page((Answer(words.say("group.nothing"), ""),), (lifters,), ())
    muscle = opening_muscle(frames)
    means = group_means(book, frames.muscles)
    each: list[object] = [matrix_picture(frames, muscle, cell_table(frames)), lifters]
    mean: list[object] = []
    if means.height:
        mean = [means_picture(means, frames, muscle, means_table(means))]
    # What the answer speaks of comes first: the means, or single lifters where there are none.
    has_mean = (means["verdict"] != REFUSED).any()
    blocks = [group_controls(frames, muscle), *(mean + each if has_mean else each + mean)]
    beds = bed_rows(book, frames)
    if beds.height:
        blocks.append(beds_picture(frames, beds, muscle, beds_table(frames, beds)))
    published = published_table(book, words.plain("group.published_title"), "muscle_slope")
    return Page(
        answers=(_answer(book, frames, means),),
        blocks=tuple(blocks),
        folds=((words.plain("group.fold_published"), (published,)),),
        method=_method(book, frames),
        left_out=_left_out(frames, means),
        caution=words.say("group.caution"),
    )


def _links(lifter: LifterInfo) -> list[tuple[str, str]]:
    """File and title of a lifter's pages of answers; what was read and what not is one step on."""
    return [(page.file, page.title) for page in pages_of(lifter) if page.kind != "state"]


def _answer(book: PageBook, frames: GroupFrames, means: pl.DataFrame) -> Answer:
    told = means.filter(pl.col("verdict") != REFUSED)
    single, second = _single(book, frames), _mean_refused(means)
    if told.is_empty():
        return Answer(single, second)
    return Answer(_mean(told), Markup(" ").join(part for part in (single, second) if part))


def _mean(told: pl.DataFrame) -> Markup:
    """What the means of the group say: how many muscles rose, by how much, which most."""
    rising = told.filter(pl.col("verdict") == RISING).sort("est", descending=True)
    lifters = in_words(told["n"].sort()[-1], "lifter")
    values = {"lifters": lifters, "n": count(rising.height), "of": count(told.height)}
    if rising.is_empty():
        rose = words.say("group.mean_none", **values)
    elif rising.height == 1:
        row = rising.row(0, named=True)
        rose = words.say("group.mean_one", name=row["name"], rate=say_rate(row), **values)
    else:
        ends = {"low": amount(rising["est"][-1]), "high": amount(rising["est"][0])}
        first = stands_apart(rising)
        most: Text = words.say("group.most_untold")
        if first is not None:
            most = words.say("group.most", name=first["name"], rate=say_rate(first))
        rose = words.say("group.mean_some", most=most, **ends, **values)
    falling = told.filter(pl.col("verdict") == FALLING).sort("est")
    names = ", ".join(f"{row['name']} {say_rate(row)}" for row in falling.iter_rows(named=True))
    return rose + (words.say("group.mean_fell", names=names) if names else Markup(""))


def _single(book: PageBook, frames: GroupFrames) -> Markup:
    """Slopes of single lifters, counted: each is a finding of that lifter."""
    cells = frames.cells.filter(pl.col("short").is_not_null())
    counts = {
        name: cells.filter(pl.col("verdict") == verdict).height
        for name, verdict in (("rose", RISING), ("fell", FALLING), ("still", STILL))
    }
    if not frames.answered.height:
        return words.say("group.single_none", lifters=_lifters(frames))
    said = {
        name: words.say(f"group.single_{name}", n=count(counts[name]))
        if counts[name]
        else words.say(f"group.single_{name}_none")
        for name in ("rose", "fell")
    }
    return words.say(
        "group.single",
        limit=say_limit(book),
        lifters=_lifters(frames),
        all=count(cells.height),
        still=count(counts["still"]) if counts["still"] else words.plain("group.none"),
        untold=count(cells.height - sum(counts.values())),
        **said,
    )


def _lifters(frames: GroupFrames) -> str:
    return in_words(frames.lifters.height, "lifter")


def _mean_refused(means: pl.DataFrame) -> Text:
    """What a mean over lifters still needs, where muscles have none."""
    refused = means.filter(pl.col("verdict") == REFUSED)
    if refused.is_empty():
        return ""
    row = refused.sort("n", descending=True).row(0, named=True)
    return words.say(
        "group.mean_refused" if refused.height == means.height else "group.mean_refused_some",
        n=count(refused.height),
        needs=number_word(int(row["needed"])),
        has=number_word(row["n"]),
    )


def _method(book: PageBook, frames: GroupFrames) -> tuple[object, ...]:
    values = {
        "limit": say_limit(book),
        "visible": amount(least_visible(frames.answered)),
        "short": SHORT_MEAN,
        "long": LONG_MEAN,
        "most": MOST_DRAWN,
        "sample": SAMPLE,
    }
    keys = ["sets", "slope", "colour", "mean", "beds", "names", "drawn"]
    parts = [words.say(f"group.method_{key}", **values) for key in keys]
    parts += [
        words.say("group.method_setting", name=name, value=value)
        for name, value in book.settings_shown.items()
    ]
    return tuple(parts)


def _left_out(frames: GroupFrames, means: pl.DataFrame) -> tuple[object, ...]:
    parts: list[object] = []
    refused = frames.cells.filter(
        (pl.col("verdict") == REFUSED) & pl.col("support_why").is_not_null()
    )
    if refused.height:
        parts.append(words.say("group.left_slopes", n=count(refused.height)))
    never = frames.cells.filter(pl.col("support_why").is_null())
    if never.height:
        parts.append(words.say("group.left_never", n=count(never.height)))
    lines = [
        words.say("group.left_mean", name=row["name"], sentence=told(row["sentence"]))
        for row in means.filter(pl.col("verdict") == REFUSED).iter_rows(named=True)
    ]
    if lines:
        parts.append(Prose((words.say("group.left_means"), *lines)))
    hidden = frames.lifters.height - frames.drawn.height
    if hidden:
        parts.append(words.say("group.left_drawn", n=count(hidden)))
    without = frames.lifters.filter(pl.col("age").is_null())
    if without.height:
        parts.append(words.say("group.left_empty", names=", ".join(without["label"])))
    return tuple(parts) or (words.say("group.left_nothing"),)

"""Tables of the page The group."""

from functools import partial
from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.numbers import amount, count, interval, signed
from dashboards.prepare.group import GroupFrames
from dashboards.prepare.group_beds import NO_RANGE, PER_YEAR
from dashboards.prepare.group_matrix import refusal_of
from dashboards.prepare.heads import heads_of
from dashboards.prepare.slopes import (
    EITHER,
    FALLING,
    REFUSED,
    RISING,
    STILL,
    say_refusal,
    say_slope,
)
from dashboards.told import told

heads = partial(heads_of, "group")
# Lifters up to which every row links each page of the lifter: more links than text beyond.
MOST_LINKED = 200


def lifter_table(frames: GroupFrames, links: dict[str, list[tuple[str, str]]]) -> Table:
    """Every lifter with links: who rose, who fell, who stands still, who cannot be told.

    ``links``: file and title of each lifter's pages, by lifter id.
    """
    names = dict(frames.muscles.select("m", "name").iter_rows())
    cells = {
        (i, verdict): [names[m] for m in part["m"]]
        for (i, verdict), part in frames.cells.filter(pl.col("short").is_not_null()).group_by(
            "i", "verdict", maintain_order=True
        )
    }
    rows = tuple(
        _lifter_row(row, cells, links[row["lifter_id"]])
        for row in frames.lifters.iter_rows(named=True)
    )
    keys: tuple[str, ...]
    keys = ("lifter", "age", "sets", "rose", "fell", "still", "untold", "pages")
    if frames.lifters.height > MOST_LINKED:  # the record that the name leads to has the same links
        keys, rows = keys[:-1], tuple(row[:-1] for row in rows)
    return Table(
        heads(*keys, numbers=("age", "sets", "rose", "untold")),
        rows,
        words.plain("group.lifters_title"),
        words.say("group.lifters_note"),
    )


def _lifter_row(
    row: dict[str, Any], cells: dict[tuple[int, int], list[str]], links: list[tuple[str, str]]
) -> tuple[Text, ...]:
    named = {verdict: cells.get((row["i"], verdict), []) for verdict in range(REFUSED + 1)}
    untold = len(named[EITHER]) + len(named[REFUSED])
    link = Markup('<a href="{}">{}</a>')
    return (
        link.format(links[0][0], row["label"]),
        "" if row["age"] is None else amount(row["age"]),
        _two_means(row),
        str(len(named[RISING])),
        ", ".join(named[FALLING]) or "0",
        ", ".join(named[STILL]) or "0",
        str(untold),
        Markup("<span>{}</span>").format(
            Markup(", ").join(link.format(file, title) for file, title in links[1:])
        ),
    )


def _two_means(row: dict[str, Any]) -> str:
    if row["short"] is None:
        return ""
    return words.plain("group.two_means", short=count(row["short"]), long=count(row["long"]))


def cell_table(frames: GroupFrames) -> Table:
    """The table behind the matrix: weekly sets and slope of every lifter and muscle."""
    by_lifter: dict[int, list[str]] = {}
    for row in frames.cells.iter_rows(named=True):
        by_lifter.setdefault(row["i"], []).append(_cell(row))
    rows = tuple(
        (label, *by_lifter[i]) for i, label in frames.lifters.select("i", "label").iter_rows()
    )
    columns = (*heads("lifter"), *(Column(name, "name") for name in frames.muscles["name"]))
    return Table(columns, rows, words.plain("group.cells_title"), words.say("group.cells_note"))


def _cell(row: dict[str, Any]) -> str:
    sets = "0" if row["short"] is None else count(row["short"])
    if row["verdict"] == REFUSED:
        return words.plain("group.cell_refused", sets=sets, reason=refusal_of(row, is_short=True))
    return words.plain("group.cell", sets=sets, rate=say_slope(row))


def means_table(means: pl.DataFrame) -> Table:
    """The table behind the means of the group."""
    rows = tuple(
        (
            row["name"],
            "" if row["verdict"] == REFUSED else signed(row["est"]),
            say_refusal(row) if row["verdict"] == REFUSED else interval(row["low"], row["high"]),
            count(row["n"]),
            told(row["support"]),
            told(row["sentence"]),
        )
        for row in means.iter_rows(named=True)
    )
    keys = ("muscle", "mean", "interval", "lifters", "support", "sentence")
    return Table(heads(*keys, numbers=("mean", "lifters")), rows, words.plain("group.means_title"))


def beds_table(frames: GroupFrames, beds: pl.DataFrame) -> Table:
    """The table behind the beds: quarters below, within and above the range, by muscle and age."""
    years = beds.with_columns(age=pl.col("q") // PER_YEAR)
    counted = years.group_by("m", "age").agg(
        lifters=pl.col("i").n_unique(),
        sets=pl.col("v").mean(),
        **{
            name: (pl.col("t") == tone).sum()
            for tone, name in enumerate(("below", "within", "above"))
        },
        none=(pl.col("t") == NO_RANGE).sum(),
    )
    names = dict(frames.muscles.select("m", "name").iter_rows())
    rows = tuple(
        (
            names[row["m"]],
            words.plain("lifts.age", first=str(row["age"]), last=str(row["age"] + 1)),
            count(row["lifters"]),
            amount(row["sets"]),
            *(count(row[key]) for key in ("below", "within", "above", "none")),
        )
        for row in counted.sort("m", "age").iter_rows(named=True)
    )
    keys = ("muscle", "age", "lifters", "mean_sets", "below", "within", "above", "no_range")
    return Table(heads(*keys, numbers=keys[2:]), rows, words.plain("group.beds_table"))

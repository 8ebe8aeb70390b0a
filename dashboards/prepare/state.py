"""Tables and frames of the page State of the record."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from operator import itemgetter
from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picture, Table
from dashboards.charts.comb import CombLayout, draw_comb
from dashboards.numbers import count, plural, say_date
from dashboards.prepare.counts import WITH_TRAINING, lifter_weeks
from dashboards.prepare.heads import heads_of
from dashboards.prepare.mending import MOST_ROWS, say_first, say_place
from dashboards.prepare.names import UNMATCHED, lift_names, name_lift
from dashboards.theme.colours import INK, INK3
from dashboards.told import told, told_plain
from pipeline.core.page_book import PageBook
from pipeline.core.source import NO_MAP

# Places of one reason that are named beside it; a fold holds the rows themselves.
MOST_PLACES = 12
PARTS = ("read", "kept", "repeated", "set_aside", "blank")


@dataclass(frozen=True)
class StateFrames:
    """One lifter's files, rows set aside (with path), sets without an exercise.

    ``slips`` counts likely typing errors, ``slips_aside`` those of them in rows set aside.
    """

    files: pl.DataFrame
    aside: pl.DataFrame
    unmatched: pl.DataFrame
    slips: int
    slips_aside: int

    @property
    def totals(self) -> dict[str, str]:
        """The row equation in sum, written out."""
        return {part: count(int(self.files[part].sum())) for part in PARTS}


def state_frames(book: PageBook, lifter_id: str) -> StateFrames:
    """What the page shows of one lifter."""
    files = (
        book.tables["source_file"].filter(pl.col("lifter_id") == lifter_id).sort("path", "file_id")
    )
    paths = files.select("file_id", "path")
    sets = book.tables["tidy_set"].filter(pl.col("lifter_id") == lifter_id)
    sets = sets.join(paths, on="file_id", how="left").sort("session_date", "file_id", "row_no")
    doubts = book.tables["tidy_doubt"].filter(pl.col("lifter_id") == lifter_id)
    return StateFrames(
        files=files,
        aside=book.tables["set_aside"].join(paths, on="file_id").sort("reason", "path", "row_no"),
        unmatched=sets.filter(pl.col("exercise_id").str.starts_with(UNMATCHED)),
        slips=doubts.height,
        slips_aside=doubts["date"].null_count(),  # a doubted set that is kept has its day
    )


heads = partial(heads_of, "state")


def comb_picture(book: PageBook, lifter_id: str) -> Picture:
    """Weeks logged, a comb a year."""
    weeks = lifter_weeks(book, lifter_id).with_columns(year=pl.col("week_start").dt.year())
    placed = weeks.select(
        "year",
        r=(pl.col("year") - pl.col("year").min()).cast(pl.Int64),
        k=(pl.col("week_start").dt.ordinal_day() - 1) // 7,
        status="week_status",
    )
    years = placed.group_by("year", "r").agg(
        weeks=pl.len(), logged=(pl.col("status") != "unlogged").sum()
    )
    text = [
        words.plain("state.comb_text", logged=logged, weeks=all_weeks)
        for logged, all_weeks in years.sort("r").select("logged", "weeks").iter_rows()
    ]
    years = (
        years.sort("r")
        .select("r", pl.col("year").cast(pl.String))
        .with_columns(text=pl.Series(text))
    )
    short = years.with_columns(text=pl.lit(""))
    ticks = placed.select("r", "k", "status")
    return Picture(
        name="comb",
        title=words.plain("state.comb_title"),
        caption=words.say("state.comb_caption"),
        description=_describe_comb(weeks),
        wide=draw_comb(ticks, years, CombLayout(92, 938, 170, 24, years.height, 3)),
        narrow=draw_comb(ticks, short, CombLayout(40, 326, 0, 22, years.height, 1)),
        keys=(
            Key("rule", words.plain("state.key_trained"), INK),
            Key("tick", words.plain("state.key_deload"), INK),
            Key("dotted", words.plain("state.key_layoff"), INK3),
            Key("hatch", words.plain("state.key_unlogged"), INK3),
        ),
        table=comb_table(weeks),
        is_main=True,
    )


def _describe_comb(weeks: pl.DataFrame) -> str:
    status = weeks["week_status"]
    return words.plain(
        "state.comb_description",
        trained=int(status.is_in(WITH_TRAINING).sum()),
        weeks=weeks.height,
        layoff=int((status == "layoff").sum()),
        unlogged=int((status == "unlogged").sum()),
    )


def comb_table(weeks: pl.DataFrame) -> Table:
    """Weeks of each status, by year, newest first."""
    status = pl.col("week_status")
    years = (
        weeks.group_by("year")
        .agg(
            weeks=pl.len(),
            trained=status.is_in(WITH_TRAINING).sum(),
            deload=(status == "deload").sum(),
            layoff=(status == "layoff").sum(),
            unlogged=(status == "unlogged").sum(),
        )
        .sort("year", descending=True)
    )
    keys = ("year", "weeks", "trained", "deload", "layoff", "unlogged")
    rows = tuple(tuple(str(value) for value in row) for row in years.select(keys).iter_rows())
    return Table(heads(*keys, numbers=keys), rows)


def file_table(frames: StateFrames) -> Table:
    """Every file with its row equation, and the equation in sum."""
    rows = tuple(
        (
            row["path"],
            row["map"] or words.plain("state.no_map"),
            words.plain(f"state.counts_{row['counts_as']}"),
            _dates(row),
            *(count(row[part]) for part in PARTS),
            _warnings(row, frames.aside),
        )
        for row in frames.files.iter_rows(named=True)
    )
    return Table(
        heads("file", "map", "counts", "dates", *PARTS, "warning", numbers=PARTS),
        rows,
        words.plain("state.files_title"),
        words.say("state.files_note", **frames.totals),
        words.plain("state.files_none"),
        is_counts=True,
        place="files",
    )


def _warnings(row: dict[str, object], aside: pl.DataFrame) -> str:
    """What is wrong with the file as a whole, and the first of its rows that were set aside."""
    told = [str(row["warning"])] if row["warning"] else []
    if told == [NO_MAP]:
        told = [words.plain("state.draft_map", warning=told[0])]
    own = aside.filter(pl.col("file_id") == row["file_id"]).sort("row_no")
    if own.height:
        first = own.row(0, named=True)
        told.append(
            words.plain(
                "state.warning_rows",
                rows=plural(own.height, "record"),
                place=first["place"] or words.plain("state.line", line=first["row_no"]),
                reason=told_plain(first["reason"]),
            )
        )
    return "; ".join(told)


def _dates(row: dict[str, object]) -> str:
    first, last = row["first_date"], row["last_date"]
    if first is None or last is None:
        return ""
    if first == last:
        return say_date(first)  # type: ignore[arg-type]
    return words.plain("state.date_range", first=say_date(first), last=say_date(last))  # type: ignore[arg-type]


def reason_table(frames: StateFrames) -> Table:
    """Rows set aside, counted by reason, most first, with where they stand."""
    reasons = (
        frames.aside.group_by("reason")
        .agg(pl.len(), places=pl.struct("path", "row_no", "place"))
        .sort("len", "reason", descending=[True, False])
    )
    rows = tuple(
        (told(reason), count(number), _say_places(places))
        for reason, number, places in reasons.iter_rows()
    )
    return Table(
        heads("reason", "rows", "place", numbers=("rows",)),
        rows,
        words.plain("state.aside_title"),
        empty=words.plain("state.aside_none"),
        place="aside",
    )


def _say_places(places: list[dict[str, Any]]) -> str:
    """The first places of a reason, and how many more there are."""
    by_file = groupby(places[:MOST_PLACES], key=itemgetter("path"))
    said = [_say_rows(path, list(rows)) for path, rows in by_file]
    more = len(places) - MOST_PLACES
    if more > 0:
        said.append(words.plain("state.more_places", n=more))
    return "; ".join(said)


def _say_rows(path: str, rows: list[dict[str, Any]]) -> str:
    """Rows of one file, which is named once: its lines, or its places where it has none."""
    if len(rows) == 1:
        return say_place(path, rows[0]["row_no"], rows[0]["place"])
    times = Counter(row["place"] or str(row["row_no"]) for row in rows)
    places = ", ".join(f"{place} (×{n})" if n > 1 else place for place, n in times.items())
    if any(row["place"] for row in rows):
        return words.plain("state.file_place", file=path, place=places)
    return words.plain("state.file_lines", file=path, lines=places)


def aside_table(frames: StateFrames) -> Table:
    """The rows set aside themselves, by reason, with what to do."""
    shown = frames.aside.head(MOST_ROWS)
    rows = tuple(
        (
            told(row["reason"]),
            row["path"],
            row["place"] or str(row["row_no"]),
            row["as_written"],
            told(row["detail"]),
        )
        for row in shown.iter_rows(named=True)
    )
    note = say_first(shown.height, frames.aside.height) + words.say("state.aside_rows_note")
    return Table(
        heads("reason", "file", "line", "written", "remedy", numbers=("line",)),
        rows,
        words.plain("state.aside_rows_title"),
        note,
        words.plain("state.aside_none"),
    )


def name_table(book: PageBook, lifter_id: str, frames: StateFrames) -> Table:
    """Names without an exercise, with the nearest ones."""
    nearest = dict(
        book.tables["tidy_name"]
        .filter((pl.col("lifter_id") == lifter_id) & pl.col("candidates").is_not_null())
        .select("exercise_as_written", "candidates")
        .iter_rows()
    )
    names = (
        frames.unmatched.group_by("exercise_as_written")
        .agg(pl.len(), first=pl.col("session_date").min(), last=pl.col("session_date").max())
        .sort("len", "exercise_as_written", descending=[True, False])
        .head(MOST_ROWS)
    )
    lifts = lift_names(book)
    rows = tuple(
        (
            name,
            count(number),
            say_date(first),
            say_date(last),
            ", ".join(_say_near(one, lifts) for one in nearest.get(name, "").split()),
        )
        for name, number, first, last in names.iter_rows()
    )
    return Table(
        heads("name", "sets", "first", "last", "near", numbers=("sets",)),
        rows,
        words.plain("state.names_title"),
        words.plain("state.names_note"),
        words.plain("state.names_none"),
        place="names",
    )


def _say_near(lift_id: str, names: Mapping[str, str]) -> str:
    """An exercise as names.toml calls it, which is English; behind its name in other languages."""
    if words.style().language == "en":
        return lift_id.replace("_", " ")
    return f"{name_lift(names, lift_id)} ({lift_id})"

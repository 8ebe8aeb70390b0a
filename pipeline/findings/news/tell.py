"""What changed since the last refresh, for the page The record: at most ten lines a lifter.

Pure: from what was told last and the tables of now come the lines and what is told from now on, so
that the same refresh done again gives the same lines.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import polars as pl

from pipeline.core.calendar import week_start_of, week_starts_of
from pipeline.core.page_book import NEWS_SCHEMA, LifterInfo, Since
from pipeline.findings.news.bests import count_bests, find_bests
from pipeline.findings.news.lines import (
    Line,
    Why,
    say_best,
    say_chores,
    say_reset,
    say_supports,
    say_turn,
)
from pipeline.findings.news.state import Told
from pipeline.findings.news.verdicts import (
    SLOPES,
    Turn,
    follow,
    is_watched,
    read_word,
    stand_weeks_of,
)

READS = (
    "finding",
    "tidy_set",
    "tidy_doubt",
    "tidy_name",
    "mart_week_lifter",
    "model_rep_curve",
    "ref_exercise",
    "ref_muscle",
)
MOST_LINES = 10
# What the answers are made from that is none of the lifter's own record.
RULES = {"settings": "settings", "reference": "reference tables", "program": "program"}
LEAST_GAP_WEEKS = 2


@dataclass(frozen=True)
class News:
    """One lifter's news: rows of ``NEWS_SCHEMA``, what they are held against, what is told now."""

    lines: pl.DataFrame
    since: Since
    told: Told


@dataclass(frozen=True)
class Now:
    """One lifter's tables (``READS``) as this refresh has them."""

    lifter: LifterInfo
    tables: Mapping[str, pl.DataFrame]
    thresholds: Mapping[str, float]
    made: Mapping[str, Any]

    @property
    def sets(self) -> pl.DataFrame:
        """Every set of the lifter."""
        return self.tables["tidy_set"]

    @property
    def years(self) -> float:
        """How many the last years are."""
        return self.thresholds["slope_window_years"]

    @cached_property
    def last_day(self) -> date | None:
        """Last day of the record with a set that is not doubted."""
        day: date | None = self.sets.filter(~pl.col("is_doubted"))["session_date"].max()  # type: ignore[assignment]
        return day

    @cached_property
    def _trained(self) -> pl.Series:
        sets = self.sets.filter(~pl.col("is_doubted") & ~pl.col("is_warmup"))
        return week_starts_of(sets["session_date"], self.lifter.week_starts).unique()

    def weeks_since(self, day: date) -> int:
        """Training weeks after the week of ``day``."""
        return int((self._trained > week_start_of(day, self.lifter.week_starts)).sum())

    @cached_property
    def curves(self) -> dict[str, tuple[float, float]]:
        """Slope and level of each lift's repetition curve, lifts of the body weight left out."""
        exercises = self.tables["ref_exercise"]
        body = set(exercises.filter(pl.col("equipment") == "body_weight")["exercise_id"])
        rows = self.tables["model_rep_curve"].select("exercise_id", "slope", "level").rows()
        return {lift: (slope, level) for lift, slope, level in rows if lift not in body}

    @cached_property
    def names(self) -> dict[str, str]:
        """Plain names by subject."""
        found = {"lifter": "all muscles"}
        for kind, table in (("lift", "ref_exercise"), ("muscle", "ref_muscle")):
            rows = self.tables[table].select(f"{'exercise' if kind == 'lift' else kind}_id", "name")
            found |= {f"{kind}:{one}": name for one, name in rows.rows()}
        return found


def tell_news(before: Told | None, now: Now) -> News:
    """Everything that is news to this lifter, ranked.

    Parameters
    ----------
    before : what was told at the refresh before the record changed; None at the first.
    now : the tables of this refresh.
    """
    standings, turns = _follow_all(before, now)
    told = Told(
        made=now.made,
        last_day=now.last_day,
        standings=standings,
        lifts=count_bests(now.sets, now.years),
        doubts=_doubts(now),
        names=_unmatched(now),
        gaps=_gaps(now),
    )
    if before is None:
        return News(pl.DataFrame(schema=NEWS_SCHEMA), Since(is_first=True), told)
    rules = [name for key, name in RULES.items() if before.made.get(key) != now.made.get(key)]
    if rules:
        told, turns = _reset(before, told, now)
    lines = [*_all_lines(before, told, now, turns, rules)]
    kept = _choose(lines)
    since = replace(_compare_files(before, now), more=len(lines) - len(kept), rules=tuple(rules))
    rows = [line.as_row(now.lifter.lifter_id) for line in kept]
    return News(pl.DataFrame(rows, schema=NEWS_SCHEMA), since, told)


def _follow_all(before: Told | None, now: Now) -> tuple[dict[str, Any], list[Turn]]:
    """Where each watched finding stands, and those whose word is told now."""
    held = {} if before is None else before.standings
    standings: dict[str, Any] = dict(held)
    turns: list[Turn] = []
    if now.last_day is None:
        return standings, turns
    for row in now.tables["finding"].iter_rows(named=True):
        if not is_watched(row):
            continue
        old = held.get(row["finding_id"])
        limit = now.thresholds["plateau_pct_per_year"]
        word = read_word(row, None if old is None else old.told, limit)
        standing, is_told = follow(
            old, word, now.last_day, now.weeks_since, stand_weeks_of(row["question"])
        )
        if is_told and old is not None and old.told is not None and word is not None:
            weeks = now.weeks_since(standing.since)
            turns.append(Turn(row, old.told, word, standing.since, weeks))
        standings[row["finding_id"]] = standing
    return standings, turns


def _reset(before: Told, told: Told, now: Now) -> tuple[Told, list[Turn]]:
    """Under new rules every word is told as it reads now: nothing was seen to turn."""
    standings = {
        finding: replace(one, told=one.seen if one.seen is not None else one.told)
        for finding, one in told.standings.items()
    }
    old = before.standings
    turns = [
        Turn(row, str(old[row["finding_id"]].told), str(new.told), new.since, 0)
        for row in now.tables["finding"].iter_rows(named=True)
        if (new := standings.get(row["finding_id"])) is not None
        and row["finding_id"] in old
        and old[row["finding_id"]].told not in (None, new.told)
    ]
    return replace(told, standings=standings), turns


def _all_lines(
    before: Told, told: Told, now: Now, turns: list[Turn], rules: list[str]
) -> Iterator[Line]:
    why = Why(before, told, tuple(rules))
    if rules and turns:
        yield say_reset(turns, now.names, why)
    elif turns:
        for alike in _alike(turns):
            one_line = say_turn(alike[0], now.names, why)
            yield one_line if len(alike) == 1 else say_supports(alike, now.names, why)
    for best in find_bests(before.lifts, now.sets, now.curves, now.years):
        yield say_best(best, now.names, why, now.lifter.unit)
    yield from say_chores(before, told, why)


def _alike(turns: list[Turn]) -> Iterator[list[Turn]]:
    """Slopes one by one, then turns of support by question, word before and word now."""
    groups: dict[tuple[str, ...], list[Turn]] = {}
    for turn in turns:
        question = turn.finding["question"]
        if question in SLOPES:
            yield [turn]
        else:
            groups.setdefault((question, turn.was, turn.is_now), []).append(turn)
    yield from groups.values()


def _choose(lines: list[Line]) -> list[Line]:
    """At most ten: what is to be done always stays, best sets give way first."""
    over = len(lines) - MOST_LINES
    for kind in ("best", "turned"):
        spare = [line for line in lines if line.kind == kind][::-1]
        for line in spare[: max(over, 0)]:
            lines = [one for one in lines if one is not line]
            over -= 1
    return lines


def _compare_files(before: Told, now: Now) -> Since:
    was, files = before.made["files"], now.made["files"]
    same = sum(was.get(path) == checksum for path, checksum in files.items())
    return Since(
        files_same=same, files_changed=len(files) - same, files_gone=len(set(was) - set(files))
    )


def _doubts(now: Now) -> tuple[str, ...]:
    """Each doubt by day, subject and cell: a file exported anew has another id."""
    frame = now.tables["tidy_doubt"].select("date", "subject", "what", "expect")
    return tuple(sorted(" ".join(str(cell) for cell in row) for row in frame.rows()))


def _unmatched(now: Now) -> tuple[str, ...]:
    names = now.tables["tidy_name"].filter(pl.col("how") == "unmatched")
    return tuple(sorted(names["exercise_as_written"].unique()))


def _gaps(now: Now) -> tuple[str, ...]:
    """Runs of two weeks or more without a set: "2026-03-02 2026-04-12", first and last day."""
    weeks = now.tables["mart_week_lifter"].sort("week_start")
    empty = weeks["week_status"].is_in(["layoff", "unlogged"])
    runs = weeks.with_columns(run=(empty != empty.shift(1)).fill_null(True).cum_sum()).filter(empty)
    found = runs.group_by("run", maintain_order=True).agg(
        pl.col("week_start").first(), last=pl.col("week_start").last(), n=pl.len()
    )
    return tuple(
        f"{first} {last + timedelta(days=6)}"
        for _, first, last, n in found.iter_rows()
        if n >= LEAST_GAP_WEEKS
    )

"""Injuries: what was out, what was done in its place, the index meanwhile, the way back."""

from dataclasses import dataclass
from datetime import date

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import amount, capital, count, in_words, join_names, plural, say_date
from dashboards.prepare.events import say_subject
from dashboards.prepare.names import lift_names, muscle_names, name_lift
from dashboards.prepare.priorities.find import (
    Row,
    estimate_cells,
    heads,
    own,
    questions_of,
    say_support,
)
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook

# Lifts named in one cell; the others are counted, and stand in the table of lifts.
MOST_NAMED = 5


@dataclass(frozen=True)
class Injury:
    """One injury: its event, its row of ``model_injury``, its lifts and muscles."""

    event: Row
    row: Row
    lifts: pl.DataFrame
    muscles: pl.DataFrame

    @property
    def name(self) -> str:
        """The region, or an injury without one; the head of the column says what it is."""
        regions = [
            told_plain(one.replace("_", " ")) for one in (self.event["subject"] or "").split()
        ]
        return capital(join_names(regions)) if regions else words.plain("priorities.injury_bare")

    @property
    def told(self) -> str:
        """Name and year, for tables of several."""
        year = self.row["start"].year
        return words.plain("priorities.phase_of", name=self.name, year=year)


def list_injuries(book: PageBook, lifter_id: str) -> list[Injury]:
    """Injuries of the record, latest first."""
    events = {
        row["event_id"]: row for row in own(book, lifter_id, "tidy_event").iter_rows(named=True)
    }
    lifts = own(book, lifter_id, "model_injury_lift")
    muscles = own(book, lifter_id, "model_injury_muscle")
    rows = own(book, lifter_id, "model_injury").sort("start", "event_id", descending=True)
    return [
        Injury(
            events[row["event_id"]],
            row,
            lifts.filter(pl.col("event_id") == row["event_id"]),
            muscles.filter(pl.col("event_id") == row["event_id"]),
        )
        for row in rows.iter_rows(named=True)
        if row["event_id"] in events
    ]


def say_injuries(injuries: list[Injury]) -> Text:
    """What injuries took: how often lifts with a good part of a muscle's sets were out, and whether
    its strength clearly fell meanwhile or stood lower a quarter of a year after.

    Each is told of the cases in which it could be measured.
    """
    muscles = pl.concat([one.muscles for one in injuries])
    number = capital(in_words(len(injuries), "injury"))
    if muscles.is_empty():
        return words.say("priorities.injuries_light", injuries=number)
    cases = in_words(muscles.height, "case")
    through, after = (_say_fallen(muscles[name]) for name in ("through_high", "after_high"))
    told = words.say("priorities.injuries_cases", injuries=number, cases=cases)
    meanwhile = "injuries_meanwhile" if through else "injuries_unknown"
    told += words.say(f"priorities.{meanwhile}", fell=through, unseen=_say_unseen(muscles))
    return told + words.say("priorities.injuries_later", fell=after) if after else told


def _say_unseen(muscles: pl.DataFrame) -> str:
    """Up to which loss none would show, where none did: half of the narrowest such interval."""
    spared = muscles.filter(pl.col("through_high") >= 0)
    if spared.is_empty():
        return ""
    narrowest = spared.select((pl.col("through_high") - pl.col("through_low")).min()).item()
    return words.plain("priorities.injuries_unseen", least=amount(narrowest / 2))


def _say_fallen(upper: pl.Series) -> str:
    """In how many cases the upper end of a change lies below zero; empty where none has one."""
    known = upper.drop_nulls()
    fallen = (known < 0).sum()
    key = "injured_some" if fallen else "injured_none"
    return words.plain(f"priorities.{key}", n=fallen, of=len(known)) if len(known) else ""


def injury_table(book: PageBook, lifter_id: str, injuries: list[Injury]) -> Table:
    """One row an injury."""
    names = lift_names(book)
    found = {
        row["subject"].removeprefix("event:"): row
        for row in questions_of(book, lifter_id, "injury").iter_rows(named=True)
    }
    rows = tuple(
        (
            one.name,
            say_date(one.row["start"]),
            _end(one.row["end"]),
            _lifts(one, "out", names),
            _percent(one.row["share_out_pct"]),
            _lifts(one, "substitute", names),
            _back(one.row),
            say_support(found.get(one.event["event_id"])),
        )
        for one in injuries
    )
    keys = ("injury", "start", "to", "out", "share_out", "instead", "way_back", "support")
    return Table(heads(*keys, numbers=("share_out",)), rows)


def _end(day: date | None) -> str:
    return words.plain("priorities.going_on") if day is None else say_date(day)


def _percent(value: float | None) -> str:
    return "" if value is None else words.plain("priorities.percent", value=count(value))


def _lifts(one: Injury, role: str, names: dict[str, str]) -> str:
    lifts = one.lifts.filter(pl.col("role") == role).sort("sets_before", descending=True)
    return name_some([name_lift(names, lift) for lift in lifts["exercise_id"]])


def name_some(listed: list[str]) -> str:
    """The first few names, and how many more."""
    if len(listed) > MOST_NAMED:
        more = plural(len(listed) - MOST_NAMED + 1, "lift")
        listed = [*listed[: MOST_NAMED - 1], words.plain("priorities.more", more=more)]
    return join_names(listed)


def _back(row: Row) -> str:
    """How long lifts took to their old level, and how the first two weeks were."""
    if row["end"] is None:
        return ""
    parts = [
        words.plain(
            "priorities.back", back=count(row["lifts_back"]), out=plural(row["lifts_out"], "lift")
        )
    ]
    if row["weeks_to_level"] is not None:
        weeks = round(row["weeks_to_level"])
        key = "priorities.level_weeks" if weeks else "priorities.level_at_once"
        parts.append(words.plain(key, weeks=plural(weeks, "week")))
    for field in ("sets_back_ratio", "load_back_ratio"):
        if row[field] is not None:
            parts.append(words.plain(f"priorities.{field}", value=count(100 * row[field])))
    return "; ".join(parts)


def muscle_table(book: PageBook, injuries: list[Injury]) -> Table:
    """The index of the muscles that lost sets: meanwhile, and a quarter after the end."""
    names = muscle_names(book)
    rows = tuple(
        (
            one.told,
            names.get(row["muscle_id"], row["muscle_id"]),
            _percent(row["share_out_pct"]),
            words.plain(
                "numbers.range", low=count(row["sets_before"]), high=count(row["sets_during"])
            ),
            *estimate_cells(row["through_pct"], row["through_low"], row["through_high"]),
            *estimate_cells(row["after_pct"], row["after_low"], row["after_high"]),
        )
        for one in injuries
        for row in one.muscles.iter_rows(named=True)
    )
    keys = ("injury", "muscle", "share_direct", "direct_sets", "through", "interval")
    return Table(
        heads(*keys, "after", "interval", numbers=(*keys[2:5], "after")),
        rows,
        words.plain("priorities.through_title"),
        words.say("priorities.through_note"),
        words.plain("priorities.through_none"),
    )


def lift_table(book: PageBook, injuries: list[Injury]) -> Table:
    """Every lift that was out, and what rose in its place."""
    names = lift_names(book)
    rows = tuple(
        (
            one.told,
            name_lift(names, row["exercise_id"]),
            words.plain(f"priorities.role_{row['role']}"),
            words.plain(f"priorities.known_{row['how']}"),
            words.plain(
                "numbers.range", low=count(row["sets_before"]), high=count(row["sets_during"])
            ),
            _weeks(row["weeks_away"]),
            *estimate_cells(row["return_pct"], row["return_low"], row["return_high"]),
            _weeks(row["weeks_to_level"]),
        )
        for one in injuries
        for row in one.lifts.sort("role", "exercise_id").iter_rows(named=True)
    )
    keys = ("injury", "lift", "role", "how", "sets", "away", "on_return", "interval", "to_level")
    return Table(
        heads(*keys, numbers=("sets", "away", "on_return", "to_level")),
        rows,
        words.plain("priorities.injury_lifts_title"),
        "",
        words.plain("priorities.injury_lifts_none"),
    )


def _weeks(value: int | None) -> str:
    return "" if value is None else count(value)


def say_constraints(book: PageBook, lifter_id: str) -> tuple[Text, ...]:
    """What open injuries rule out now, one sentence each."""
    out = own(book, lifter_id, "model_constraint")
    names = lift_names(book)
    events = {
        row["event_id"]: row for row in own(book, lifter_id, "tidy_event").iter_rows(named=True)
    }
    done = set(own(book, lifter_id, "mart_week_lift")["exercise_id"])
    muscles = muscle_names(book)
    said: list[Text] = []
    for (event_id,), lifts in out.partition_by(
        "event_id", as_dict=True, maintain_order=True
    ).items():
        event = events[event_id]
        told = (event["lifts_out"] or "").split()
        ruled = lifts["exercise_id"].to_list()
        named = [name_lift(names, one) for one in ruled if one in told]
        others = [one for one in ruled if one not in told]
        known = [name_lift(names, one) for one in others if one in done]
        subject = say_subject(event["subject"], muscles)
        parts = [words.say("priorities.out_now", what=subject, start=say_date(event["start"]))]
        if named:
            parts.append(words.say("priorities.out_named", lifts=join_names(named)))
        if known:
            parts.append(words.say("priorities.out_loads", lifts=join_names(known)))
        rest = len(others) - len(known)
        if rest:
            parts.append(words.say("priorities.out_rest", lifts=plural(rest, "lift")))
        said.append(Markup(" ").join(parts))
    return tuple(said)

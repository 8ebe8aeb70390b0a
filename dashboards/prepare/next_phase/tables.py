"""Tables of a proposal: its muscles, its lifts, what it keeps to, what a complaint takes out."""

from functools import partial

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.numbers import amount, count, interval, range_words, say_date, signed
from dashboards.prepare.events import say_subject
from dashboards.prepare.heads import heads_of
from dashboards.prepare.names import lift_names, muscle_names
from dashboards.prepare.next_phase.proposals import Proposed, Row, name_lifts
from dashboards.prepare.strips import shown_muscles
from dashboards.told import told, told_plain
from pipeline.core.page_book import LifterInfo, NextPhase, PageBook

heads = partial(heads_of, "next_phase")
# The pipeline's own words for a line that rests on no record.
PUBLISHED = "published average only"
STATUSES = ("out", "new", "more", "fewer")
STAYS = "stays"


def because_of(row: Row) -> str:
    """Why a muscle's line stands there; that it is only the published average in every case."""
    if row["is_published"] and row["because"] != PUBLISHED:
        return words.plain("next_phase.because_published", because=told_plain(row["because"]))
    return told_plain(row["because"])


def muscle_table(one: Proposed) -> Table:
    """Every line of the proposal in numbers, with the finding behind it."""
    rows = tuple(
        (
            row["name"],
            words.plain(f"next_phase.{row['role']}"),
            amount(row["sets_now"]),
            amount(row["sets_next"]),
            signed(row["expected_pct_month"], 2),
            interval(row["low"], row["high"]),
            range_words(row["range_low"], row["range_high"]),
            because_of(row),
            told(row["support"]),
            row["finding_id"] or "",
        )
        for row in one.muscles.iter_rows(named=True)
    )
    numbers = ("now", "next", "expected")
    keys = ("muscle", "what", "now", "next", "expected", "interval", "range", "because", "support")
    note = words.say("next_phase.muscles_note")
    return Table(heads(*keys, "finding", numbers=numbers), rows, note=note)


def limit_table(parts: pl.DataFrame) -> Table:
    """Sets a week by family, now and next."""
    rows = tuple(
        (row["name"], amount(row["now"]), count(row["next"])) for row in parts.iter_rows(named=True)
    )
    return Table(heads("family", "now", "next", numbers=("now", "next")), rows)


def grid_table(one: Proposed) -> Table:
    """Weekly sets of every muscle in every week."""
    weeks = one.weeks.select("week", "is_easing").unique().sort("week")
    by_muscle = {
        key[0]: frame.sort("week")["sets"].to_list()
        for key, frame in one.weeks.partition_by("muscle_id", as_dict=True).items()
    }
    columns = [
        Column(words.plain("next_phase.ease_week") if is_easing else count(week), "number")
        for week, is_easing in weeks.iter_rows()
    ]
    rows = tuple(
        (row["name"], *(amount(sets) for sets in by_muscle[row["muscle_id"]]))
        for row in one.muscles.iter_rows(named=True)
    )
    return Table((*heads("muscle"), *columns), rows)


def lift_table(one: Proposed) -> Table:
    """What happens to each lift that changes, those that go first; a note names the others."""
    lines = (
        one.lifts.group_by("exercise_id", maintain_order=True)
        .agg(
            pl.col("name", "status", "because", "sets_now").first(),
            pl.col("sets").sum(),
        )
        .sort("sets", "name", descending=[True, False])
    )
    kept = lines.filter(pl.col("status") == STAYS)["name"]
    changed = sorted(
        lines.filter(pl.col("status") != STAYS).to_dicts(),
        key=lambda row: STATUSES.index(row["status"]),
    )
    rows: tuple[tuple[Text, ...], ...] = tuple(
        (
            row["name"],
            words.plain(f"next_phase.status_{row['status']}"),
            _say_change(row["sets_now"], row["sets"]),
            told(row["because"]),
        )
        for row in changed
    )
    stays = words.plain("next_phase.lifts_stay", names=", ".join(kept)) if len(kept) else ""
    return Table(
        heads("lift", "kind", "sets", "because"),
        rows,
        words.plain("next_phase.lifts_title"),
        stays,
        words.plain("next_phase.lifts_same"),
    )


def _say_change(now: float, then: int) -> str:
    """Weekly sets of a lift, a mean of weeks now and whole sets then: 5.5 to 3."""
    said = amount(now) if now else count(now)
    return words.plain("next_phase.from_to", now=said, next=count(then))


def keep_table(book: PageBook, lifter: LifterInfo, one: Proposed) -> Table:
    """Limits and wishes that the proposal keeps to, and where each comes from."""
    wishes, head = lifter.next_phase, one.head
    limits = (
        ("sets", count(head["limit_sets"]), wishes.weekly_sets),
        ("sessions", count(head["limit_sessions"]), wishes.sessions),
        ("minutes", count(head["limit_minutes"]), wishes.minutes),
        ("length", count(head["weeks"]), wishes.weeks),
    )
    rows = [
        (
            words.plain(f"next_phase.keep_{name}"),
            value,
            words.plain("next_phase.from_wish")
            if wish is not None
            else words.plain(f"next_phase.from_{name}"),
        )
        for name, value, wish in limits
    ]
    rows.append(_pulls_to_presses(book, one))
    rows += [
        (words.plain(f"next_phase.keep_{name}"), named, words.plain("next_phase.from_wish"))
        for name, named in _named(book, wishes)
        if named
    ]
    return Table(
        heads("keeps", "value", "from_where"),
        tuple(rows),
        words.plain("next_phase.keep_title"),
        words.say("next_phase.keep_note"),
    )


def _pulls_to_presses(book: PageBook, one: Proposed) -> tuple[str, str, str]:
    """Sets a week of the movements that are kept level, which families of muscles are not."""
    patterns = book.tables["ref_exercise"].select("exercise_id", "pattern")
    sets = one.lifts.join(patterns, on="exercise_id")
    pulls, presses = (
        count(float(sets.filter(pl.col("pattern").str.ends_with(end))["sets"].sum()))
        for end in ("_pull", "_push")
    )
    value = words.plain("next_phase.balance_sets", pulls=pulls, presses=presses)
    return words.plain("next_phase.keep_balance"), value, words.plain("next_phase.from_balance")


def _named(book: PageBook, wishes: NextPhase) -> list[tuple[str, str]]:
    """Wishes about muscles and lifts, by name."""
    muscles = dict(shown_muscles(book).select("muscle_id", "name").iter_rows())
    lifts = lift_names(book)
    of = {"priorities": muscles, "hold": muscles, "keep": lifts, "lifts_out": lifts}
    return [
        (name, ", ".join(names.get(one, one) for one in getattr(wishes, name)))
        for name, names in of.items()
    ]


def constraint_table(book: PageBook, lifter_id: str) -> Table | None:
    """Complaints that go on and the lifts that each takes out; None without one."""
    own = pl.col("lifter_id") == lifter_id
    ruled = book.tables["model_constraint"].filter(own)
    if ruled.is_empty():
        return None
    events = book.tables["tidy_event"].filter(own).select("event_id", "start", "subject", "note")
    muscles = muscle_names(book)
    done = set(book.tables["mart_week_lift"].filter(own)["exercise_id"])
    named = name_lifts(book, ruled.sort("event_id", "reason", "exercise_id"))
    rows = []
    for (event_id, reason), group in named.group_by("event_id", "reason", maintain_order=True):
        event = events.filter(pl.col("event_id") == event_id).row(0, named=True)
        known = [
            name for one, name in group.select("exercise_id", "name").iter_rows() if one in done
        ]
        rows.append(
            (
                say_subject(event["subject"], muscles),
                say_date(event["start"]),
                event["note"] or "",
                _say_out(known, group.height - len(known)),
                told(str(reason)),
            )
        )
    keys = ("complaint", "since", "note", "takes_out", "because")
    return Table(
        heads(*keys),
        tuple(rows),
        words.plain("next_phase.out_title"),
        words.say("next_phase.out_note"),
    )


def _say_out(known: list[str], others: int) -> str:
    if not known:
        return words.plain("next_phase.out_undone", n=count(others))
    names = ", ".join(known)
    return words.plain("next_phase.out_more", names=names, n=count(others)) if others else names

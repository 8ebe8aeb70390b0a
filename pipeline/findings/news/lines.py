"""News as lines of a table: what, was, is now, why it moved, and where the page shows it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date

from pipeline.core.calendar import say_date
from pipeline.core.counted import say_count
from pipeline.core.units import kg_to_lb
from pipeline.findings.news.bests import Best
from pipeline.findings.news.state import Told
from pipeline.findings.news.verdicts import SLOPES, Turn
from pipeline.findings.say import say_change, say_interval, say_number

# Where each question is drawn: page and the picture on it.
PLACES = {
    "lift_slope": ("lifts", "forest"),
    "muscle_slope": ("record", "overview"),
    "supported_sets": ("volume", "summary"),
    "sets_trend": ("volume", "ages"),
    "deload_effect": ("easing", "fan"),
    "layoff_loss": ("easing", "layoffs"),
    "signal_effect": ("nights", "signals"),
    "priority_gain": ("priorities", "ledger"),
}
SUPPORT_OF = {
    "supported_sets": "supported sets",
    "sets_trend": "trend of the supported sets",
    "deload_effect": "after a deload",
    "layoff_loss": "cost of time off",
    "signal_effect": "and the sessions after",
    "priority_gain": "gain of priority phases",
}
MOST_NAMED = 3
DAYS_PER_WEEK = 7  # a gap moves by less when weeks come to start on another day


@dataclass(frozen=True)
class Line:
    """One line; ``kind``: rules, turned, best, doubt, name or gap."""

    kind: str
    what: str
    was: str
    is_now: str
    why: str
    page: str
    anchor: str

    def as_row(self, lifter_id: str) -> dict[str, str]:
        """The row of ``NEWS_SCHEMA``."""
        return {"lifter_id": lifter_id, **asdict(self)}


@dataclass(frozen=True)
class Why:
    """What moved between two refreshes of one lifter."""

    before: Told
    now: Told
    rules: tuple[str, ...]

    def say(self, lift: str | None = None) -> str:
        """Why a line moved, of one lift or of the whole record."""
        parts = [f"the {name} changed" for name in self.rules]
        more = self._sets(self.now, lift) - self._sets(self.before, lift)
        if more:
            noun = "set" if abs(more) == 1 else "sets"
            parts.append(f"{abs(more):,} {'more' if more > 0 else 'fewer'} {noun}")
        for key, said in (("corrections", "a correction"), ("journal", "the journal changed")):
            if self.before.made.get(key) != self.now.made.get(key):
                parts.append(said)
        return ", ".join(parts) or "a newer fit of the same sets"

    @staticmethod
    def _sets(told: Told, lift: str | None) -> int:
        if lift is None:
            return told.sets
        return told.lifts[lift].sets if lift in told.lifts else 0


def say_turn(turn: Turn, names: Mapping[str, str], why: Why) -> Line:
    """A verdict that has stood long enough."""
    row = turn.finding
    kind, _, own = row["subject"].partition(":")
    name = _name(names, row["subject"])
    weeks = f"so since {say_date(turn.since)}, {say_count(turn.weeks, 'training weeks')}"
    reason = f"{weeks}; {why.say(own if kind == 'lift' else None)}"
    page, anchor = PLACES[row["question"]]
    if row["question"] in SLOPES:
        is_now = (
            f"{turn.is_now}: {say_change(row['estimate'])} % a year "
            f"{say_interval(row['low'], row['high'])}"
        )
        return Line("turned", f"{name}, last years", turn.was, is_now, reason, page, anchor)
    what = f"{name}, {SUPPORT_OF[row['question']]}: support"
    return Line("turned", what, turn.was, turn.is_now, reason, page, anchor)


def say_supports(turns: Sequence[Turn], names: Mapping[str, str], why: Why) -> Line:
    """Several answers to one question whose support went the same way, in one line."""
    first = turns[0]
    question = first.finding["question"]
    noun = first.finding["subject"].partition(":")[0]
    since, weeks = max(turn.since for turn in turns), min(turn.weeks for turn in turns)
    page, anchor = PLACES[question]
    return Line(
        kind="turned",
        what=f"{len(turns)} {noun}s, {SUPPORT_OF[question]}: support",
        was=first.was,
        is_now=f"{first.is_now}: {_list([_name(names, one.finding['subject']) for one in turns])}",
        why=f"so since {say_date(since)}, {say_count(weeks, 'training weeks')}; {why.say()}",
        page=page,
        anchor=anchor,
    )


def say_reset(turns: list[Turn], names: Mapping[str, str], why: Why) -> Line:
    """All verdicts that read otherwise under new rules, in one line."""
    said = [
        f"{_name(names, turn.finding['subject'])} {turn.is_now}, was {turn.was}"
        for turn in turns[:MOST_NAMED]
    ]
    more = len(turns) - len(said)
    listed = "; ".join(said) + (f"; and {more} more" if more else "")
    noun = "answer" if len(turns) == 1 else "answers"
    what = f"{len(turns)} {noun} under other rules"
    return Line("rules", what, "", listed, why.say(), "state", "answer")


def say_best(best: Best, names: Mapping[str, str], why: Why, unit: str) -> Line:
    """A new best set."""
    name = _name(names, f"lift:{best.exercise_id}")
    of_what = "estimated 1RM" if best.is_e1rm else f"load at {best.reps} repetitions or more"
    when = "best ever" if best.is_ever else "best of the last years"
    gain = f", +{say_number(100.0 * best.gain)} %" if best.is_e1rm else ""
    return Line(
        kind="best",
        what=f"{name}, {when}: {of_what}",
        was="" if best.was is None else _say_set(*best.was, unit),
        is_now=f"{_say_set(best.reps, best.load_kg, unit)} on {say_date(best.day)}{gain}",
        why=why.say(best.exercise_id),
        page="lifts",
        anchor="lift",
    )


def say_chores(before: Told, now: Told, why: Why) -> Iterator[Line]:
    """Doubts to clear, names to match and gaps that were not there before, a line each kind."""
    doubts = sorted(set(now.doubts) - set(before.doubts))
    if doubts:
        is_now = f"{len(now.doubts)}, {len(doubts)} of them new"
        was = str(len(before.doubts))
        yield Line("doubt", "doubted values to clear", was, is_now, why.say(), "state", "answer")
    names = sorted(set(now.names) - set(before.names))
    if names:
        was = str(len(before.names))
        is_now = f"{len(now.names)}, new: {_list(names)}"
        yield Line("name", "names without a match", was, is_now, why.say(), "state", "answer")
    starts = [_start_of(gap) for gap in before.gaps]
    gaps = [
        gap
        for gap in now.gaps
        if not any(abs((_start_of(gap) - start).days) < DAYS_PER_WEEK for start in starts)
    ]
    if gaps:
        said = [" to ".join(say_date(date.fromisoformat(day)) for day in g.split()) for g in gaps]
        was = str(len(before.gaps))
        yield Line(
            "gap", "weeks without a set", was, _list(said[::-1]), why.say(), "record", "overview"
        )


def _start_of(gap: str) -> date:
    return date.fromisoformat(gap.split()[0])


def _list(parts: list[str]) -> str:
    more = len(parts) - MOST_NAMED
    return "; ".join(parts[:MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")


def _name(names: Mapping[str, str], subject: str) -> str:
    kind, _, own = subject.partition(":")
    plain = names.get(subject) or names.get(kind) or own.partition("@")[0].replace("_", " ")
    return plain[:1].upper() + plain[1:]


def _say_set(reps: int, load_kg: float, unit: str) -> str:
    times = f"{reps} repetition{'s' if reps != 1 else ''}"
    if load_kg == 0:
        return times
    load = kg_to_lb(abs(load_kg)) if unit == "lb" else abs(load_kg)
    shown = f"{load:.1f}".removesuffix(".0")
    return f"{shown} {unit}{' of help' if load_kg < 0 else ''}, {times}"

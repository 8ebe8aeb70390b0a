"""What the page says of a proposal: the answer, and what would tell most."""

from collections import Counter

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Prose, Text
from dashboards.numbers import (
    amount,
    capital,
    count,
    in_words,
    join_names,
    plural,
    say_date,
    signed,
)
from dashboards.prepare.next_phase.proposals import (
    INJURED,
    LEARNING,
    PROGRESS,
    Proposed,
    Row,
    is_change,
)
from dashboards.prepare.volume import say_no_better
from dashboards.told import told

# Of a longer list the first ones are named and the rest is counted.
MOST_NAMES = 4
# From the most to the least.
SUPPORTS = ("firm", "fair", "thin", "not enough")
VERSION = "version"


def say_expected(row: Row, expected: str = "expected_pct") -> str:
    """Expected progress with its interval, % a month."""
    ends = words.plain("numbers.interval", low=signed(row["low"], 2), high=signed(row["high"], 2))
    return f"{signed(row[expected], 2)} {ends}"


def answer_of(one: Proposed) -> Answer:
    """The answer that a proposal is."""
    return Answer(_sentence(one), _second(one), VERSION, one.version)


def _sentence(one: Proposed) -> Text:
    head = one.head
    low, high = signed(head["low"], 2), signed(head["high"], 2)
    return words.say(
        f"next_phase.answer_{one.version}",
        lead=words.plain("next_phase.lead_published") if one.is_published else "",
        start=say_date(head["start"]),
        weeks=capital(in_words(head["weeks"], "week")),
        what=_say_changes(one),
        now=count(one.sets_now),
        sets=count(head["weekly_sets"]),
        interval=words.plain("numbers.interval", low=low, high=high),
        against=_say_against(one),
        expected=signed(head["expected_pct"], 2),
        tone=_tone(one),
    )


def _say_against(one: Proposed) -> str:
    """What last year's sets and the published average expect; once, where the figures agree."""
    if _figures_agree(one):
        return words.plain("next_phase.against_same")
    usual, published = (signed(one.head[key], 2) for key in ("usual_pct", "published_pct"))
    return words.plain("next_phase.against", usual=usual, published=published)


def _figures_agree(one: Proposed) -> bool:
    """Whether the proposal, last year's sets and the published average expect one shown figure."""
    keys = ("expected_pct", "usual_pct", "published_pct")
    return len({signed(one.head[key], 2) for key in keys}) == 1


def _tone(one: Proposed) -> str:
    """Coloured only where the record has a say and the interval excludes zero."""
    if one.is_published or one.head["low"] <= 0 <= one.head["high"]:
        return ""
    return "progress" if one.head["low"] > 0 else "loss"


def _say_changes(one: Proposed) -> Markup:
    """Which muscles go up, are tried or go down, and that the rest stays."""
    parts: list[Text] = []
    for role in ("build", "test", "ease"):
        names = [row["name"] for row in one.of_role(role)]
        if names:
            parts.append(words.say(f"next_phase.{role}_names", names=_say_names(names)))
    held = one.of_role("hold")
    if not parts:
        return words.say("next_phase.all_hold")
    if held:
        is_same = not any(is_change(row) for row in held)
        parts.append(words.say("next_phase.rest_same" if is_same else "next_phase.rest_hold"))
    return Markup(", ").join(parts)


def _say_names(names: list[str]) -> str:
    """Up to ``MOST_NAMES`` names; of more, the first and how many others."""
    if len(names) > MOST_NAMES:
        more = plural(len(names) - MOST_NAMES + 1, "other")
        names = [*names[: MOST_NAMES - 1], more]
    return join_names(names)


def _second(one: Proposed) -> Text:
    head = one.head
    is_inside = all(
        head["low"] <= head[key] <= head["high"] for key in ("usual_pct", "published_pct")
    )
    inside = "inside_same" if _figures_agree(one) else "inside"
    return words.say(
        "next_phase.second",
        sessions=in_words(head["sessions"], "session"),
        held=_say_injured(one),
        inside=words.plain(f"next_phase.{inside}") if is_inside else "",
        rests=_say_rests(one),
    )


def _say_injured(one: Proposed) -> str:
    """Which muscles an injury holds, reason by reason."""
    held = [row for row in one.of_role("hold") if row["because"].startswith(INJURED)]
    said = []
    for because in dict.fromkeys(row["because"] for row in held):
        names = [row["name"] for row in held if row["because"] == because]
        listed = capital(join_names(names))
        said.append(words.plain("next_phase.held_for", names=listed, because=told(because)))
    return "".join(said)


def _say_rests(one: Proposed) -> str:
    """How many muscles have a range of their own, with which support, and for how many it is no
    better than the published average."""
    muscles = one.muscles
    published = int(muscles["is_published"].sum())
    if one.is_published:
        return words.plain("next_phase.rests_none", muscles=plural(muscles.height, "muscle"))
    found = Counter(row["support"] for row in muscles.to_dicts() if not row["is_published"])
    support = ", ".join(
        words.plain("next_phase.support_of", support=told(word), n=count(found[word]))
        for word in SUPPORTS
        if found[word]
    )
    if len(found) == 1:
        support = str(told(next(iter(found))))
    own = muscles.filter(~pl.col("is_published"))["muscle_id"]
    same = sum(muscle_id in one.no_better for muscle_id in own)
    key = "rests_some" if published else "rests_all"
    return words.plain(
        f"next_phase.{key}",
        muscles=plural(muscles.height, "muscle"),
        own=count(own.len()),
        better=say_no_better(same, own.len()),
        published=count(published),
        support=support,
    )


def conflict_note(one: Proposed) -> Prose | None:
    """Which wish to relax, and by how much; ids in the settings that nobody knows."""
    if not one.head["conflict"]:
        return None
    key = "unknown" if one.head["is_feasible"] else "conflict"
    return Prose((told(one.head["conflict"]),), words.plain(f"next_phase.{key}_title"))


def narrow_note(heads: dict[str, Row], name: str) -> Prose:
    """What would tell most, its price, or that nothing is recommended. ``name`` of the muscle."""
    title = words.plain("next_phase.narrow_title")
    learning, progress = heads.get(LEARNING), heads.get(PROGRESS)
    if learning is None:
        return Prose((words.say("next_phase.narrow_unknown"),), title)
    if learning["weekly_sets"] is None or progress is None:
        return Prose((told(learning["said"]),), title)
    more = learning["weekly_sets"] - progress["weekly_sets"]
    said = words.say(
        "next_phase.narrow",
        muscle=name,
        weeks=capital(in_words(learning["weeks"], "week")),
        share=amount(100.0 * (1.0 - learning["width_share"]), 0),
        more=words.plain("next_phase.same_sets")
        if more == 0
        else words.plain(
            "next_phase.more_sets" if more > 0 else "next_phase.fewer_sets",
            sets=plural(abs(more), "set"),
        ),
        expected=signed(learning["expected_pct"], 2),
        other=signed(progress["expected_pct"], 2),
    )
    return Prose((said,), title)

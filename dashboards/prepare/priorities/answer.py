"""The answer of the page Priorities: what all phases together bought and cost."""

from dashboards import words
from dashboards.blocks import Text
from dashboards.numbers import MINUS, in_words, number_word, plural
from dashboards.prepare.easing import is_answered, tone_of
from dashboards.prepare.priorities.find import Phase, Row, say_numbers, verdict_of
from dashboards.told import told


def say_answer(gain: Row | None, cost: Row | None, told_phases: int, proposed: int) -> Text:
    """One or two sentences with numbers, intervals and n; or that it cannot be told."""
    if gain is None or not is_answered(gain):
        if gain is not None and told_phases:
            return words.say("priorities.answer_refused", why=told(gain["support_why"]))
        if proposed:
            return words.say("priorities.answer_proposed", proposed=plural(proposed, "priority"))
        return words.say("priorities.answer_none")
    phases = _phases(gain["n"])
    bought = _say_side("bought", gain, phases)
    if cost is None or not is_answered(cost):
        return words.say("priorities.answer_alone", bought=bought)
    return words.say("priorities.answer", bought=bought, cost=_say_side("cost", cost, phases))


def _phases(n: int) -> str:
    """Eight priority phases; one priority phase."""
    said = in_words(n, "priority")
    return said[:1].upper() + said[1:]


def _say_side(side: str, found: Row, phases: str) -> Text:
    tone = tone_of(found["low"], found["high"]) or "open"
    number, ends = say_numbers(found["estimate"], found["low"], found["high"])
    values = {
        "phases": phases,
        "number": number,
        "size": number.lstrip("+" + MINUS),
        "interval": ends,
    }
    return words.say(f"priorities.{side}_{tone}", **values)


def say_second(gain: Row | None, cost: Row | None, phases: list[Phase]) -> Text:
    """What carries the answer and what does not; what would answer it."""
    if gain is None or not is_answered(gain):
        needs = "" if gain is None else gain["needs"] or ""
        return words.say("priorities.second_refused", needs=told(needs)) if needs else ""
    read = [one for one in phases if one.is_told]
    clear = sum(verdict_of(one.gain["low"], one.gain["high"]) == 0 for one in read)
    lost = sum(
        verdict_of(one.cost["low"], one.cost["high"]) == 1
        for one in read
        if one.cost is not None and one.cost["estimate"] is not None
    )
    return words.say(
        "priorities.second",
        clear=_few(clear),
        lost=_few(lost),
        read=number_word(len(read)),
        support=told(gain["support"]),
        why=told(gain["support_why"]),
        cost_support=words.plain("frame.not_enough") if cost is None else told(cost["support"]),
    )


def _few(value: int) -> str:
    """A number that stands alone: none, one, two."""
    return number_word(value) if value else words.plain("priorities.none")

"""Set notation: what is said about a set beside its numbers (reserve, failure, side, remarks)."""

from dataclasses import dataclass, field

from pipeline.tidy.notation.numbers import say_number
from pipeline.tidy.notation.stream import Stream

MAX_RPE = 10.0
MAX_RIR = 20.0
# After a comma these still belong to the set before it; "w" and a side open the next set.
AFTER_COMMA = ("rpe", "rir", "fail", "not", "target", "note", "miss")
OPENING = (
    *AFTER_COMMA, "comma", "at", "number", "side", "left", "limb", "warmup", "in", "bar", "kit",
)  # fmt: skip

EITHER_SET = "the word before this may belong to either set: separate sets by ','"


@dataclass
class Marks:
    """What was said about one set, or about a whole entry; None or empty: nothing."""

    rir: float | None = None
    to_failure: bool | None = None
    is_warmup: bool = False
    side: str | None = None
    target: str | None = None
    duration_s: float | None = None
    bar: str | None = None
    is_plan: bool = False
    heads_warmups: bool = False  # "warm up: 40x10, 60x5"
    weighs: bool = False  # a remark speaks of a weight
    notes: list[str] = field(default_factory=list)


def read_mark(stream: Stream, marks: Marks) -> bool:
    """Read one mark into ``marks``; False when none follows.

    Raises
    ------
    NotationError
        for a value out of range, two different values, or a mark that may belong to two sets.
    """
    if not stream.at(*OPENING):
        return False
    _skip_comma(stream)
    if stream.is_effort(0):
        stream.take_if("at")
        _read_effort(stream, marks)
    elif stream.is_reserve(0) or stream.is_rating(0):
        stream.take_if("at")
        convert = _reserve_of_rpe if stream.at("rpe", ahead=1) else _reserve
        _set(stream, marks, "rir", convert(stream, stream.take().number))
        stream.take()
    elif stream.at("fail") or (stream.at("not") and stream.at("fail", ahead=1)):
        is_failure = not stream.take_if("not")
        stream.take()
        _set(stream, marks, "to_failure", is_failure)
    elif stream.at("side", "left", "limb", "warmup"):
        _read_word(stream, marks)
    elif stream.at("note"):
        marks.weighs = marks.weighs or stream.peek().number > 0
        word = stream.take().word
        marks.notes.extend([word] if word else [])
    elif stream.at("kit"):
        read_kit(stream, marks)
        if stream.starts_number(0) and not stream.is_bar_mark():
            raise stream.error(EITHER_SET)
    elif stream.at("target"):
        stream.take()
        if not stream.at("number", "max"):
            marks.is_plan = True
            return True
        _set(stream, marks, "target", read_target(stream))
    elif stream.at("miss"):
        raise stream.error("a missed set or repetition? write '100x0', or '4+1f'")
    elif stream.at("bar"):
        if not stream.is_bar_mark():
            return False
        _set(stream, marks, "bar", stream.take().word)
    elif stream.at("in") and stream.at("number", "time", ahead=1):
        stream.take()
        _set(stream, marks, "duration_s", read_duration(stream))
    else:
        return False
    return True


def read_marks(stream: Stream, marks: Marks) -> None:
    """Every mark that follows a number.

    Raises
    ------
    NotationError
        as for ``read_mark``.
    """
    while read_mark(stream, marks):
        pass


def read_side(stream: Stream, marks: Marks) -> bool:
    """Read a side that stands before its number, as in ``L10``; False when none follows."""
    if not stream.at("side", "left"):
        return False
    _set(stream, marks, "side", stream.take().word or "left")
    return True


def read_kit(stream: Stream, marks: Marks) -> None:
    """``DB 20``: kept as it is written; what the load counts is for the map to say."""
    token = stream.take()
    marks.notes.append(stream.text[token.start : token.end])


def read_target(stream: Stream) -> str:
    """A plan: ``12``, ``8-10``, ``8+``, ``max``, ``30-45 s``; spelt the same way each time."""
    if stream.take_if("max"):
        return "max"
    if not stream.at("number"):
        raise stream.error("a plan is missing here, e.g. 'target 8-10'")
    target = say_number(stream.take().number)
    if stream.at("dash", "to") and stream.at("number", ahead=1):
        target = read_range(stream, target)
    elif stream.take_if("plus"):
        target += "+"
    return target + read_target_unit(stream)


def read_range(stream: Stream, low: str) -> str:
    """The rest of a range whose lower end has been read."""
    stream.take()
    high = say_number(stream.peek().number)
    if float(high) <= float(low):
        raise stream.error(f"a range from {low} to {high}: the second must be larger")
    stream.take()
    return f"{low}-{high}"


def read_target_unit(stream: Stream) -> str:
    """Seconds or metres of a plan, or nothing."""
    is_metre = not stream.at("metres") or stream.peek().word == "1"
    if stream.at("minutes") or not is_metre:
        raise stream.error("a plan in this unit: write it in seconds or metres, e.g. 60-90 s")
    if stream.take_if("seconds"):
        return " s"
    return " m" if stream.take_if("metres") else ""


def read_duration(stream: Stream) -> float:
    """Seconds of ``30s``, ``1:30``, ``2 min``, ``1 min 30 s``."""
    token = stream.take()
    if token.kind == "time":
        return token.number
    if token.kind == "number" and stream.take_if("seconds"):
        return token.number
    if token.kind == "number" and stream.take_if("minutes"):
        return token.number * 60.0 + read_rest_of_minute(stream)
    raise stream.error("a duration is missing before this, e.g. 'in 30 s'")


def read_rest_of_minute(stream: Stream) -> float:
    """The seconds after ``1 min``, or 0."""
    if not (stream.at("number") and stream.at("seconds", ahead=1)):
        return 0.0
    seconds = stream.take().number
    stream.take()
    return seconds


def _skip_comma(stream: Stream) -> None:
    """A comma before a mark that can only speak of the set before it."""
    if not stream.at("comma"):
        return
    if stream.is_short_fail(1):
        raise stream.error("'f' may be a set of its own or speak of the one before: write '5f'")
    if stream.is_reserve(1) and stream.at("left", ahead=2):
        raise stream.error("'left' may be the side or the reserve: write 'RIR 2' or 'L'")
    is_own_set = stream.at("note", ahead=1) and stream.starts_chain(2)
    if not is_own_set and (stream.at(*AFTER_COMMA, ahead=1) or stream.is_reserve(1)):
        stream.take()


def _read_effort(stream: Stream, marks: Marks) -> None:
    """``RPE 8.5``, ``RIR 2``; of a range the middle, with the words kept as a remark."""
    kind, start = stream.peek().kind, stream.peek().start
    stream.take()
    stream.take_if("colon")
    if not stream.at("number"):
        raise stream.error(f"a number is missing after {kind.upper()}")
    convert = _reserve_of_rpe if kind == "rpe" else _reserve
    value = convert(stream, stream.take().number)
    if stream.at("dash", "to") and stream.at("number", ahead=1) and stream.is_sign_even():
        stream.take()
        last = stream.take()
        value = (value + convert(stream, last.number)) / 2
        marks.notes.append(stream.text[start : last.end])
    _set(stream, marks, "rir", value)


def _reserve_of_rpe(stream: Stream, rpe: float) -> float:
    if not 1.0 <= rpe <= MAX_RPE:
        raise stream.error(f"RPE {rpe:g}: an RPE lies between 1 and {MAX_RPE:g}")
    return MAX_RPE - rpe


def _reserve(stream: Stream, rir: float) -> float:
    if rir > MAX_RIR:
        raise stream.error(f"{rir:g} in reserve: at most {MAX_RIR:g} can be written")
    return rir


def _read_word(stream: Stream, marks: Marks) -> None:
    token = stream.take()
    if token.kind != "limb" and stream.starts_number(0) and not stream.is_bar_mark():
        raise stream.error(EITHER_SET)
    if token.kind == "warmup":
        marks.is_warmup = True
    else:
        _set(stream, marks, "side", token.word or "left")


def _set(stream: Stream, marks: Marks, name: str, value: object) -> None:
    before = getattr(marks, name)
    if before is not None and before != value:
        raise stream.error(f"two values for one set, {before} and {value}: keep one")
    setattr(marks, name, value)

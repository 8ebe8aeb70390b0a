"""What the set notation speaks of: a parsed set, the notation of a file, and the error."""

from dataclasses import dataclass
from functools import cache

from pipeline.core.errors import LiftstrataError, SettingsError

FIELDS = ("sets", "reps", "load", "rpe", "rir", "hands")
LINKS = ("x", "@", ":", "/")
# How plates count where nothing beside them says so, as a map states it, and what they are then.
PLATES_COUNT = {"per side": "per_side", "in all": "on_bar"}


class NotationError(LiftstrataError):
    """A text that is not understood, or that can be understood in two ways.

    Parameters
    ----------
    text : the whole text as written.
    position : offset of the first character that is not understood, from 0.
    remedy : what to write instead, or what to say in the map.
    """

    def __init__(self, text: str, position: int, remedy: str) -> None:
        self.text, self.position, self.remedy = text, position, remedy
        shown = text if len(text) <= 80 else text[:77] + "..."
        super().__init__(f"{shown!r} at character {position + 1}: {remedy}")


@dataclass(frozen=True)
class Token:
    """One token: ``kind`` (see words.py and tokens.py), value, and its place in the text."""

    kind: str
    start: int
    end: int
    number: float = 0.0
    word: str = ""


@dataclass(frozen=True)
class ParsedSet:
    """One set, or one segment of a drop cluster, exactly as far as its text tells.

    ``load`` is the number as written, in ``unit`` (``kg``, ``lb`` or None: the file's unit), and
    ``basis`` what it counts: None (nothing said), ``added`` to or ``assisted`` off the body
    weight, ``per_hand``, ``per_side``, ``on_bar`` (beside the bar's own weight). Body weight
    alone is a load of 0, ``added``; the empty bar 0, ``on_bar``. ``plates`` count as ``basis``
    says, beside ``load``; ``bar`` is the name of the bar or machine. ``rir`` is
    repetitions in reserve (10 - RPE where an RPE was written). ``segment_no`` is 1 for a straight
    or parent set; the segments of a drop cluster share a ``cluster`` number, from 1 within the
    text. A plan without a result has ``reps_target`` and no ``reps``. ``side`` is ``left``,
    ``right`` or ``both``.
    """

    reps: int | None = None
    load: float | None = None
    unit: str | None = None
    basis: str | None = None
    rir: float | None = None
    to_failure: bool | None = None
    is_warmup: bool = False
    segment_no: int = 1
    cluster: int | None = None
    reps_target: str | None = None
    duration_s: float | None = None
    distance_m: float | None = None
    side: str | None = None
    note: str | None = None
    plates: float | None = None
    bar: str | None = None


@dataclass(frozen=True)
class Form:
    """An order of numbers: ``sets x reps @ load`` has three fields and the links ``x``, ``@``."""

    fields: tuple[str, ...]
    links: tuple[str, ...]

    def __str__(self) -> str:
        parts = [self.fields[0]]
        for link, field in zip(self.links, self.fields[1:], strict=True):
            parts.append(field if link == " " else f"{link} {field}")
        return " ".join(parts)


@dataclass(frozen=True)
class Notation:
    """How a file writes its sets.

    ``order`` states one or more orders of numbers, separated by semicolons, made of the fields
    ``sets``, ``reps``, ``load``, ``rpe``, ``rir``, ``hands`` (always 2: ``2x30kg`` is a load in
    each hand) and the links ``x``, ``@``, ``:``, ``/`` or a space:
    ``"sets x reps @ load; load x reps"``. ``decimal`` is the decimal sign, ``.`` or ``,``.
    ``plates`` says how ``2 plates`` count: ``per side``, ``in all``, or None: not known.

    Raises
    ------
    SettingsError
        for a field, a link or a decimal sign that does not exist.
    """

    order: str = "sets x reps @ load"
    decimal: str = "."
    plates: str | None = None

    def __post_init__(self) -> None:
        if self.decimal not in (".", ","):
            raise SettingsError(f"decimal {self.decimal!r}: write '.' or ','")
        read_forms(self.order)

    @property
    def forms(self) -> tuple[Form, ...]:
        """The orders stated, first one first."""
        return read_forms(self.order)


@cache
def read_forms(order: str) -> tuple[Form, ...]:
    """The orders of numbers stated in ``order``, e.g. ``"load x reps x sets; load x reps"``.

    Raises
    ------
    SettingsError
        for an empty order, an unknown word, or a field named twice.
    """
    return tuple(read_form(part, order) for part in order.split(";"))


def read_form(part: str, order: str) -> Form:
    """One order of numbers; ``order`` is the whole setting, for the message."""
    fields: list[str] = []
    links: list[str] = []
    link: str | None = None
    for word in part.lower().split():
        if word in LINKS and fields and link is None:
            link = word
        elif word in FIELDS and word not in fields:
            if fields:
                links.append(link or " ")
            fields.append(word)
            link = None
        else:
            raise _bad_order(order, word)
    has_hands = "hands" in fields and fields[fields.index("hands") + 1 :][:1] != ["load"]
    if not fields or link is not None or "reps" not in fields or has_hands:
        raise _bad_order(order, part.strip())
    return Form(tuple(fields), tuple(links))


def _bad_order(order: str, word: str) -> SettingsError:
    return SettingsError(
        f"notation order {order!r}: {word!r} is not understood; an order names reps and any of "
        f"{', '.join(FIELDS)} once each, joined by x, @, :, / or a space, hands before load, e.g. "
        "'sets x reps @ load', and several orders are separated by ';'"
    )

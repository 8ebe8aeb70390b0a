"""Set notation: the other decimal sign, which must not make two entries of one number."""

import re

from pipeline.tidy.notation.records import Notation, NotationError
from pipeline.tidy.notation.words import PHRASES

_KINDS = ("unit", "basis", "plates", "seconds", "minutes", "metres")
_MEASURES = "|".join(sorted({p[0] for p, meaning in PHRASES.items() if meaning[0] in _KINDS}))
_TAKES_ONE = "|".join(
    sorted({p[0] for p, meaning in PHRASES.items() if meaning[0] in ("rpe", "rir", "with", "at")})
)
# what makes one number of "7,5": the word before it, or the measure behind it
_BEFORE = re.compile(rf"(?:(?<![^\W\d_])(?:{_TAKES_ONE})\s*:?|@)\s*$", re.IGNORECASE)
_FRACTION = re.compile(r",(?:\d|25|50|75|00|\d{3})(?!\d)(?!,)(?!\s*[x×*@])")
_MEASURED = re.compile(
    rf",(?:\d|25|50|75|00|\d{{3}})\s*(?:{_MEASURES})(?![^\W\d_])(?!\s*[x×*@:])", re.IGNORECASE
)
# "82,5 x 5", "bw+2,5 x 8": a load before its repetitions, where an entry begins
_OPENS = re.compile(r"(?:^|[;\n])\s*(?:bw\s*)?[-+]?\s*$", re.IGNORECASE)
_FRACTION_OF_LOAD = re.compile(rf",(?:5|25|75|\d{{3}})\s*(?:{_MEASURES})?\s*[x×*@]", re.IGNORECASE)
LOOK_BACK = 20  # characters


class DecimalError(NotationError):
    """A number with the decimal sign that the file does not use."""


def refuse_other_decimal(text: str, at: int, end: int, notation: Notation) -> None:
    """Refuse the number ``text[at:end]`` where it goes on behind the other decimal sign.

    With the sign ``.`` a comma also stands in lists, so one is refused only where it must be a
    decimal sign: after ``RPE`` or ``@``, before a measure, or in a load with which an entry begins.

    Raises
    ------
    DecimalError
        at the sign.
    """
    sign, is_glued = text[end : end + 1], text[end + 1 : end + 2].isdecimal()
    if not is_glued or sign not in (".", ","):
        return
    before = text[max(0, at - LOOK_BACK) : at]
    is_list = (
        sign == "," != notation.decimal
        and not (_BEFORE.search(before) and _FRACTION.match(text, end))
        and not _MEASURED.match(text, end)
        and not (_OPENS.search(before) and _FRACTION_OF_LOAD.match(text, end))
    )
    if not is_list:
        raise DecimalError(
            text,
            end,
            f"not a number with the decimal sign {notation.decimal!r}: see decimal in the map",
        )

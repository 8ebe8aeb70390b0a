"""The words of the set notation: phrase -> (kind of token, value). Lower case, single spaces.

A language is added by adding its phrases here; the grammar knows only the kinds.
"""

from typing import Final

Meaning = tuple[str, str | None]

_GROUPS: Final[tuple[tuple[str, str | None, str], ...]] = (
    ("x", None, "x|of|mal|fois"),
    ("at", None, "at"),
    ("with", None, "with|mit|avec|con"),
    ("drop", None, "drop|drop to|dropped to|drop set|dropset"),
    ("unit", "kg", "kg|kgs|kilo|kilos|kilogram|kilograms"),
    ("unit", "lb", "lb|lbs|pound|pounds"),
    ("bw", None, "bw|bodyweight|body weight|kg body weight"),
    ("sets", None, "set|sets|series|serie"),
    ("reps", None, "rep|reps|repetition|repetitions|wdh"),
    ("seconds", None, "s|sec|secs|second|seconds|sek"),
    ("minutes", None, "min|mins|minute|minutes"),
    ("metres", None, "m|meter|meters|metre|metres"),
    ("basis", "per_hand", "per hand|each hand|a hand|per dumbbell|per db|each|ea|je hand"),
    ("basis", "per_side", "per side|each side|a side|je seite"),
    ("limb", "both", "per arm|each arm|per leg|each leg|je arm|je bein"),
    ("side", "right", "right|r|rechts|droite|derecha"),
    ("side", "left", "l|links|gauche|izquierda"),
    ("side", "both", "both|both sides"),
    # "left" alone may be the side or what is left in reserve: the grammar decides
    ("left", None, "left"),
    ("reserve", None, "left in reserve|in reserve|in the tank|reps left|reps in reserve"),
    ("rpe", None, "rpe"),
    ("rir", None, "rir"),
    ("fail", None, "fail|failure|to failure|till failure|until failure|to fail"),
    ("not", None, "not"),
    ("warmup", None, "w|wu|warmup|warm up|warm ups|warmups"),
    ("max", None, "max|amrap"),
    ("target", None, "target|goal|plan|planned"),
    ("in", None, "in"),
    ("to", None, "to|bis"),
)

PHRASES: Final[dict[tuple[str, ...], Meaning]] = {
    tuple(phrase.split()): (kind, value)
    for kind, value, phrases in _GROUPS
    for phrase in phrases.split("|")
}
# Every single word that occurs in a phrase; anything else is not part of the notation.
KNOWN: Final[frozenset[str]] = frozenset(word for phrase in PHRASES for word in phrase)
LONGEST: Final[int] = max(len(phrase) for phrase in PHRASES)
AFTER_SLASH: Final[dict[str, Meaning]] = {
    "hand": ("basis", "per_hand"),
    "side": ("basis", "per_side"),
    "arm": ("limb", "both"),
    "leg": ("limb", "both"),
}

# What may stand in parentheses and still be read: marks. Anything else there is a remark.
MARKS: Final[frozenset[str]] = frozenset(
    {"rpe", "rir", "reserve", "left", "side", "limb", "basis", "fail", "not", "warmup"}
)
MARK_NUMBERS: Final[frozenset[str]] = frozenset({"number", "dash"})
TAKES_NUMBER: Final[frozenset[str]] = frozenset({"rpe", "rir", "reserve", "left"})

"""Words of exercise names: one spelling for case, accents, plurals, abbreviations and joins."""

import re
import unicodedata
from typing import Final

# One token, or several: an abbreviation that stands for the same words in any name. Those that
# depend on the whole name ("rdl", "bp") are aliases in the reference data.
ABBREVIATIONS: Final[dict[str, tuple[str, ...]]] = {
    "db": ("dumbbell",),
    "bb": ("barbell",),
    "kb": ("kettlebell",),
    "bw": ("bodyweight",),
    "inc": ("incline",),
    "incl": ("incline",),
    "inclined": ("incline",),
    "dec": ("decline",),
    "decl": ("decline",),
    "declined": ("decline",),
    "ext": ("extension",),
    "alt": ("alternating",),
    "oh": ("overhead",),
    "pd": ("pulldown",),
    "mach": ("machine",),
    "cbl": ("cable",),
    "std": ("standing",),
    "stdg": ("standing",),
    "seat": ("seated",),
    "sitting": ("seated",),
    "sa": ("single", "arm"),
    "sl": ("single", "leg"),
    "one": ("single",),
    "1": ("single",),
    "cg": ("close", "grip"),
    "wg": ("wide", "grip"),
    "ng": ("neutral", "grip"),
    "rev": ("reverse",),
    "tri": ("tricep",),
    "bi": ("bicep",),
    "ham": ("hamstring",),
    "hammie": ("hamstring",),
    "flye": ("fly",),
    "pres": ("press",),
    "leaned": ("leaning",),
    "lean": ("leaning",),
    "deg": ("degree",),
    "grad": ("degree",),
    "grado": ("degree",),
}
JOINED: Final[frozenset[tuple[str, str]]] = frozenset(
    {
        ("pull", "up"), ("push", "up"), ("chin", "up"), ("sit", "up"), ("step", "up"),
        ("press", "up"), ("pull", "down"), ("push", "down"), ("press", "down"), ("pull", "over"),
        ("push", "over"), ("dead", "lift"), ("dumb", "bell"), ("bar", "bell"),
        ("kettle", "bell"), ("body", "weight"), ("kick", "back"), ("cross", "over"),
        ("pull", "through"), ("roll", "out"),
    }
)  # fmt: skip
FILLERS: Final[frozenset[str]] = frozenset(
    {"the", "a", "an", "with", "w", "on", "of", "and", "using", "for", "to", "in", "at", "exercise"}
)
# What is said of the day's work, not of the lift.
OCCASIONS: Final[frozenset[str]] = frozenset({"heavy", "light", "strict", "working", "top"})
POSITIONS: Final[dict[str, str]] = {
    "leaning": "leaning",
    "upright": "upright",
    "behind": "behind",
    "front": "front",
}
# Words that only complete a position: "leaning away", "behind the back".
AFTER_POSITION: Final[frozenset[str]] = frozenset({"away", "back", "body"})
SIDES: Final[dict[str, str]] = {
    "left": "left", "l": "left", "links": "left", "right": "right", "r": "right", "rechts": "right",
}  # fmt: skip
EQUIPMENT: Final[dict[str, str]] = {
    "barbell": "barbell",
    "dumbbell": "dumbbell",
    "machine": "machine",
    "cable": "cable",
    "bodyweight": "body_weight",
    "band": "band",
    "kettlebell": "kettlebell",
}
STANCES: Final[dict[str, str]] = {
    "standing": "standing",
    "seated": "seated",
    "lying": "lying",
    "hanging": "hanging",
    "kneeling": "kneeling",
}

_PIECE = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?")
_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"})
_IRREGULAR = {
    "ups": "up",
    "calves": "calf",
    "calfs": "calf",
    "flies": "fly",
    "flys": "fly",
    "flyes": "fly",
}
_NO_PLURAL = frozenset({"ss", "us", "is"})


def split_name(text: str, expand: bool = True) -> tuple[str, ...]:
    """Words of a name in their one spelling; fillers left out, order kept.

    ``expand``: write abbreviations out.

    >>> split_name("DB Bench-Presses (45°)")
    ('dumbbell', 'bench', 'press', '45', 'degree')
    >>> split_name("Pull Ups, one-arm")
    ('pullup', 'single', 'arm')
    >>> split_name("SL deadlift", expand=False)
    ('sl', 'deadlift')
    """
    plain = unicodedata.normalize("NFKD", text.replace("°", " degree ").casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c)).translate(_LETTERS)
    plain = plain.replace("'", "").replace("’", "")
    words: list[str] = []
    for piece in _PIECE.findall(plain):
        for word in _expand(piece) if expand else (_singular(piece),):
            if words and (words[-1], word) in JOINED:
                words[-1] += word
            elif word not in FILLERS:
                words.append(word)
    return tuple(words)


def _expand(piece: str) -> tuple[str, ...]:
    for word in (piece, _singular(piece), piece.removesuffix("s")):
        if word in ABBREVIATIONS:
            return ABBREVIATIONS[word]
    return (_singular(piece),)


def _singular(word: str) -> str:
    """English plurals taken off; other languages' words change alike on both sides."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or not word.endswith("s") or word[-2:] in _NO_PLURAL:
        return word
    if word.endswith(("sses", "ches", "shes", "xes")):
        return word[:-2]
    return word[:-3] + "y" if word.endswith("ies") else word[:-1]

"""The words of the set notation: phrase -> (kind of token, value). Lower case, without accents.

English, German, French, Spanish, Italian, Portuguese, Dutch and Swedish. A language is added by
adding its phrases here; the grammar knows only the kinds.
"""

from typing import Final

Meaning = tuple[str, str | None]
# What was lifted, said beside the numbers; which load that means is for the map to say.
KIT: Final[frozenset[str]] = frozenset(
    {"db", "dumbbell", "kh", "kurzhantel", "bb", "barbell", "lh", "langhantel", "kb", "kettlebell"}
)
PLAIN_BAR: Final = "bar"  # the bar that needs no name

_GROUPS: Final[tuple[tuple[str, str | None, str], ...]] = (
    ("x", None, "x|of|mal|fois|for|de|da|di|van|von|om|por|volte|veces|vezes|keer|ganger"),
    ("at", None, "at"),
    # "3 series a 8", "3x8 a 60 kg"
    ("of_or_at", None, "a"),
    ("with", None, "with|mit|avec|con|com|met|med"),
    ("comma", None, "and|then|und|dann|et|puis|y|luego|e|poi|en|och"),
    ("drop", None, "drop|drop to|dropped to|drop set|dropset|ds"),
    ("pause", None, "rp|rest pause|restpause|rest pause set"),
    ("unit", "kg", "kg|kgs|kilo|kilos|kilogram|kilograms|kilogramm|chili|quilos"),
    ("unit", "lb", "lb|lbs|pound|pounds|pfund|livres|libras|libbre"),
    ("bw", None, "bw|bodyweight|body weight|kg body weight|korpergewicht|eigengewicht|pdc"),
    ("bw", None, "poids du corps|poids de corps|peso corporal|peso corporeo|corpo libero"),
    ("bw", None, "a corpo libero|peso do corpo|lichaamsgewicht|kroppsvikt"),
    ("sets", None, "set|sets|series|serie|satz|satze|saetze|seria|serier|rounds|runden"),
    ("reps", None, "rep|reps|repetition|repetitions|wdh|wiederholung|wiederholungen|repeticion"),
    ("reps", None, "repeticiones|ripetizione|ripetizioni|repeticao|repeticoes|herhaling"),
    ("reps", None, "herhalingen|repetitioner"),
    ("seconds", None, "s|sec|secs|second|seconds|sek|sekunden|secondes|segundos|secondi"),
    ("seconds", None, "seconden|sekunder"),
    ("minutes", None, "min|mins|minute|minutes|minuten|minutos|minuti|minuter"),
    ("metres", "1", "m|meter|meters|metre|metres|metros|metri"),
    ("metres", "1000", "km|kilometer|kilometers|kilometre|kilometres"),
    ("metres", "0.9144", "yd|yds|yard|yards"),
    ("metres", "0.3048", "ft|feet|foot"),
    ("basis", "per_hand", "per hand|each hand|in each hand|a hand|per dumbbell|per db|each|ea"),
    ("basis", "per_hand", "je hand|pro hand|par main|por mano|per mano|por mao|per hantel|dbs"),
    ("basis", "per_hand", "dumbbells|je kurzhantel|pro kurzhantel"),
    ("basis", "per_side", "per side|each side|on each side|a side|ea side|je seite|pro seite"),
    ("basis", "per_side", "par cote|por lado|per lato|per kant|per sida"),
    ("limb", "both", "per arm|each arm|per leg|each leg|je arm|je bein|pro arm|pro bein"),
    ("limb", "both", "par bras|par jambe|por brazo|por pierna|per braccio|per gamba|por braco"),
    ("limb", "both", "por perna|per been|per ben|ea arm|ea leg"),
    ("plates", "", "plate|plates"),
    ("plates", "1", "one plate|a plate"),
    ("plates", "2", "two plates"),
    ("plates", "3", "three plates"),
    ("plates", "4", "four plates"),
    ("bar", PLAIN_BAR, "bar|empty bar|just the bar|the bar|stange|leere stange|barre|barra|stang"),
    ("bar", "ez bar", "ez bar|ez|ez curl bar|curl bar|sz stange|sz"),
    ("bar", "trap bar", "trap bar|hex bar"),
    ("bar", "smith", "smith|smith machine"),
    ("bar", "safety bar", "safety bar|safety squat bar|ssb"),
    ("bar", "swiss bar", "swiss bar|football bar"),
    ("side", "right", "right|r|rechts|droite|derecha|destra|dx|direita|hoger"),
    ("side", "left", "l|links|gauche|izquierda|sinistra|sx|esquerda|vanster"),
    ("side", "both", "both|both sides"),
    # "left" alone may be the side or what is left in reserve: the grammar decides
    ("left", None, "left"),
    ("reserve", None, "left in reserve|in reserve|in the tank|reps left|reps in reserve"),
    ("reserve", None, "left in the tank|en reserve|en reserva|in riserva|in reserva|im tank"),
    ("rpe", None, "rpe"),
    ("rir", None, "rir"),
    ("fail", None, "fail|failed|failure|to failure|till failure|until failure|to fail"),
    ("fail", None, "muskelversagen|bis muskelversagen|versagen|bis versagen|zum versagen|echec"),
    ("fail", None, "a l echec|jusqu a l echec|fallo|al fallo|hasta el fallo|cedimento"),
    ("fail", None, "a cedimento|falha|ate a falha|falen|tot falen"),
    ("fail", "f", "f"),
    ("miss", None, "miss|missed"),
    ("not", None, "not"),
    ("warmup", None, "w|wu|warm|warmup|warmups|warm up|warm ups|warm up set|warm up sets"),
    ("warmup", None, "aufwarmen|aufwarmsatz|echauffement|calentamiento|riscaldamento"),
    ("warmup", None, "aquecimento|opwarmen|uppvarmning"),
    ("max", None, "max|amrap"),
    ("target", None, "target|goal|plan|planned|ziel|objectif|objetivo|obiettivo|doel"),
    ("did", None, "did|done|got|actual|actually|result|geschafft|fait|hecho|fatto|feito|gedaan"),
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
    "seite": ("basis", "per_side"),
    "arm": ("limb", "both"),
    "leg": ("limb", "both"),
    "bein": ("limb", "both"),
}

# What may stand in parentheses and still be read: marks. Anything else there is a remark.
MARKS: Final[frozenset[str]] = frozenset(
    {"rpe", "rir", "reserve", "left", "side", "limb", "basis", "fail", "not", "warmup", "target"}
    | {"miss"}
)
MARK_NUMBERS: Final[frozenset[str]] = frozenset({"number", "dash"})
TAKES_NUMBER: Final[frozenset[str]] = frozenset({"rpe", "rir", "reserve", "left", "target"})

# A remark without parentheses may begin after these kinds of word, and swallows those of the
# second kind; after any other (a side, a plan) it could change what that word means.
BEFORE_REMARK: Final[frozenset[str]] = frozenset(
    {"unit", "reps", "sets", "fail", "seconds", "minutes", "metres", "bw", "max", "pause"}
)
INTO_REMARK: Final[frozenset[str]] = frozenset({"with", "in", "at", "of_or_at", "to", "comma"})
# Units that are not read: a number before one of these is no load in kg or lb.
UNREAD_UNITS: Final[frozenset[str]] = frozenset(
    {"stone", "stones", "st", "pin", "pins", "level", "notch", "notches", "hole", "holes", "cm"}
    | {"percent", "pct", "inch", "inches", "mph", "kmh", "cal", "cals", "kcal", "watt", "watts"}
    | {"hour", "hours", "hr", "hrs", "h", "steps", "floors", "laps", "lap"}
    | {"ml", "l", "g", "gram", "grams", "oz", "ounces"}
)
# Words that speak against what stands before them, or make something else of it.
DOUBTS: Final[frozenset[str]] = UNREAD_UNITS | frozenset(
    {"no", "not", "nicht", "pas", "non", "nao", "niet", "inte", "skip", "skipped", "missed", "half"}
    | {"cancelled", "canceled", "planned", "next", "instead", "tomorrow", "didnt", "didn", "wasnt"}
    | {"should", "would", "could", "maybe", "try", "tried", "attempt", "attempted"}
)

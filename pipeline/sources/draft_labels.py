"""Labels of columns: what their words mean, in several languages, and the unit in them."""

import re
import unicodedata
from dataclasses import dataclass
from typing import Final

# Field of a map -> labels in English, German, French, Spanish, Italian, Dutch; without accents.
FIELD_LABELS: Final[dict[str, str]] = {
    "date": "date|day|training date|session date|datum|tag|fecha|dia|data|giorno|jour|dag|when|"
    "start|started|started at|start time|start date|performed at|performed on",
    "session": "session|part of day|time of day|workout|tageszeit|seance|sesion|seduta",
    "exercise": "exercise|exercises|lift|movement|exercise name|name|ubung|uebung|exercice|"
    "ejercicio|esercizio|oefening|what",
    "sets": "sets|work|done|sets done|sets x reps|saetze|satze|series|serie|performed|result|"
    "what was done|log",
    "set_no": "set|set no|set number|set nr|no|nr|number|satz|satz nr|satznummer|numero",
    "load": "weight|load|kg|lb|lbs|gewicht|last|poids|charge|peso|carico|carga|kilos|pounds",
    "unit": "unit|units|weight unit|einheit|masseinheit|unite|unidad|unita|eenheid",
    "reps": "reps|rep|repetitions|wdh|wh|wiederholungen|repetitionen|repeticiones|ripetizioni|"
    "herhalingen|repet",
    "rir": "rir|reserve|reps in reserve|in reserve|in the tank|left in tank|reserven",
    "rpe": "rpe|exertion|perceived exertion",
    "to_failure": "failure|to failure|fail|muskelversagen|versagen|bis zum versagen|echec|fallo",
    "is_warmup": "warmup|warm up|warm up set|aufwarmen|aufwarmsatz|echauffement|calentamiento|"
    "riscaldamento|set type|type|art",
    "drop_of": "drop of|drop from|drop|is drop|drop set of",
    "cluster": "cluster|drop cluster|drop group|cluster id",
    "segment": "segment|segment no|drop no|drop number",
    "superset": "superset|super set|supersatz|superserie|pair",
    "angle": "angle|bench angle|bench deg|bench degrees|degrees|deg|winkel|bankwinkel|inclinaison|"
    "angulo|incline",
    "position": "position|setup|set up|stance|variant|variante",
    "side": "side|seite|cote|lado|lato|kant",
    "duration_s": "duration|time|seconds|hold|hold time|dauer|zeit|sekunden|duree|tiempo|durata",
    "distance_m": "distance|metres|meters|strecke|distanz|distancia|distanza",
    "device": "device|worn device|gerat|geraet|appareil|dispositivo|tracker",
    "note": "note|notes|remark|remarks|comment|comments|bemerkung|bemerkungen|anmerkung|notiz|"
    "notizen|remarque|remarques|nota|notas|comentario|opmerking|how it went|mood|feeling",
}
SIGNAL_LABELS: Final[dict[str, str]] = {
    "sleep_min": "sleep|slept|hours slept|time asleep|sleep duration|total sleep|schlaf|"
    "schlafdauer|sommeil|sueno|sonno|slaap",
    "resting_hr_bpm": "resting heart rate|resting hr|rhr|resting pulse|pulse|morning pulse|"
    "ruhepuls|puls|fc repos|pulso|heart rate",
    "hrv_rmssd_ms": "rmssd|hrv rmssd|rmssd hrv|night rmssd",
    "hrv_sdnn_ms": "sdnn|hrv sdnn|sdnn hrv|night sdnn",
    "hrv": "hrv|heart rate variability|herzratenvariabilitat|hfv|vfc",
    "steps": "steps|daily steps|schritte|pas|pasos|passi|stappen|step count",
    "body_weight_kg": "body weight|bodyweight|bw|weight|mass|body mass|korpergewicht|gewicht|"
    "poids|peso|gewogen|scale",
}
# Sites that are taped, in several languages, to their name in the signal.
GIRTH_SITES: Final[dict[str, str]] = {
    "waist": "waist|taille|bauch|cintura|vita",
    "chest": "chest|brust|poitrine|pecho|torace",
    "hips": "hips|hip|hufte|hanches|cadera|fianchi",
    "neck": "neck|hals|cou|cuello|collo",
    "upper_arm": "upper arm|arm|oberarm|bras|brazo|braccio",
    "forearm": "forearm|unterarm|avant bras|antebrazo",
    "thigh": "thigh|oberschenkel|cuisse|muslo|coscia",
    "calf": "calf|wade|mollet|pantorrilla|polpaccio",
    "shoulders": "shoulders|shoulder|schultern|epaules|hombros|spalle",
}
GIRTH_WORDS: Final[frozenset[str]] = frozenset(
    {"girth", "circumference", "tape", "umfang", "tour", "contorno", "circonferenza", "size"}
)
RATING_WORDS: Final[frozenset[str]] = frozenset({"rating", "rated", "look", "note sur"})

UNITS: Final[dict[str, str]] = {
    "kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "lb": "lb", "lbs": "lb", "pounds": "lb",
    "pound": "lb", "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "std": "h",
    "stunden": "h", "min": "min", "mins": "min", "minutes": "min", "minuten": "min", "bpm": "bpm",
    "ms": "ms", "cm": "cm", "in": "in", "inch": "in", "inches": "in", "s": "s", "sec": "s",
    "m": "m", "h:mm": "h:mm", "hh:mm": "h:mm",
}  # fmt: skip
_BRACKET = re.compile(r"[(\[]\s*([^)\]]*?)\s*[)\]]")


@dataclass(frozen=True)
class LabelMeaning:
    """Words of a label without its unit, the unit in it, and the fields and signals it may mean.

    Each meaning comes with its strength: 1 where the label is just that, less where it is among
    other words.
    """

    words: tuple[str, ...]
    unit: str | None
    fields: dict[str, float]
    signals: dict[str, float]


def read_label(label: str) -> LabelMeaning:
    """What a label says.

    >>> read_label("Gewicht (kg)").fields, read_label("Gewicht (kg)").unit
    ({'load': 1.0}, 'kg')
    >>> read_label("Wade, Umfang [cm]").signals
    {'girth_calf_cm': 1.0}
    """
    plain = unicodedata.normalize("NFKD", label.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    unit, plain = _take_unit(plain)
    words = tuple(re.findall(r"[^\W_]+|#", plain))
    return LabelMeaning(
        words=words,
        unit=unit,
        fields=_find_meanings(words, FIELD_LABELS),
        signals=_find_meanings(words, SIGNAL_LABELS) | _find_girth(words) | _find_rating(words),
    )


def is_sure_label(label: str) -> bool:
    """A label whose words all say one field or one signal."""
    meaning = read_label(label)
    return 1.0 in (*meaning.fields.values(), *meaning.signals.values())


def _take_unit(plain: str) -> tuple[str | None, str]:
    """The unit in brackets, or as the last word beside others: ``weight_kg``."""
    for found in _BRACKET.finditer(plain):
        if found[1] in UNITS:
            return UNITS[found[1]], plain.replace(found[0], " ")
    words = re.findall(r"[^\W_]+", plain)
    is_known = any(" ".join(words) in labels.split("|") for labels in SIGNAL_LABELS.values())
    if is_known and len(words) > 1:  # the last word of "resting hr" is no hour
        return None, plain
    if words and words[-1] in UNITS and (len(words) > 1 or words[-1] in ("kg", "lb", "lbs")):
        rest = plain if len(words) == 1 else plain[: plain.rindex(words[-1])]
        return UNITS[words[-1]], rest
    return None, plain


def _find_meanings(words: tuple[str, ...], table: dict[str, str]) -> dict[str, float]:
    text = " ".join(words)
    found: dict[str, float] = {}
    for meaning, labels in table.items():
        known = labels.split("|")
        if text in known:
            found[meaning] = 1.0
        elif any(f" {one} " in f" {text} " for one in known if len(one) > 3):
            found[meaning] = 0.5
    return found


def _find_girth(words: tuple[str, ...]) -> dict[str, float]:
    text = " ".join(word for word in words if word not in GIRTH_WORDS)
    says_girth = any(word in GIRTH_WORDS for word in words)
    for site, labels in GIRTH_SITES.items():
        if text in labels.split("|"):
            return {f"girth_{site}_cm": 1.0 if says_girth else 0.8}
    return {}


def _find_rating(words: tuple[str, ...]) -> dict[str, float]:
    rest = [word for word in words if word not in RATING_WORDS]
    if len(rest) == len(words) or not rest:
        return {}
    return {f"rating_{'_'.join(rest)}": 1.0}

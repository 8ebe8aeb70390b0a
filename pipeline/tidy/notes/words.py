"""Words of notes that are neither names nor sets, in the languages of the notation."""

import re
from typing import Final


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# A line that begins so speaks of something else than what was done.
ASIDE: Final = re.compile(
    r"(?:next(?: time| week| session| workout)?|last (?:time|week|session|workout)|"
    r"prev(?:ious)?(?:ly)?|plan(?:ned)?|goals?|target|todo|to do|notes?|"
    r"comments?|remarks?|rest(?:ed|ing)?(?: day| time| periods?)?|break|pause|time|start(?:ed)?|"
    r"end(?:ed)?|finish(?:ed)?|duration|length|sleep|slept|calories|kcal|protein|macros|diet|food|"
    r"weather|mood|energy|hr|heart rate|pulse|total(?: volume| time)?|volume|tonnage|e?1rm|"
    r"max(?:es)?|"
    r"location|gym|program(?:me)?|cycle|phase|block|nächstes mal|ziel|notiz(?:en)?|"
    r"bemerkung(?:en)?|dauer|pausen?|schlaf|prochaine fois|objectif|repos|durée|próxima vez|"
    r"objetivo|descanso|duración|prossima volta|riposo|durata|volgende keer|doel|rust|slaap|"
    r"nästa gång|mål|vila|sömn)\b\s*[:=\-–—.]?",
    re.IGNORECASE,
)
# Before the numbers of a set; says which it is, not what was lifted.
SET_LABEL: Final = re.compile(
    r"(?:(?:work(?:ing)?(?: sets?| weight)?|top(?: sets?)?|back-?offs?(?: sets?)?|main(?: sets?)?|"
    r"heavy|light|volume|then|also|and|plus|pr|pb|first|second|third|last|final|arbeitssätze|"
    r"hauptsätze)\b\s*[:\-–—=]?\s*|"
    r"(?:set|satz|série|serie|sett?)\s*#?\s*\d{1,2}\s*[:.)=\-–—]\s*|"
    r"(?:set|satz|série|serie)\s*#?\s*\d{1,2}\s+(?=\d+\D)|"
    r"#?\d{1,2}(?:st|nd|rd|th)?(?: set)?\s*[:)]\s+(?=\S))+",
    re.IGNORECASE,
)
WARM_UP: Final = re.compile(
    r"(?:warm[\s-]?ups?|aufwärmen|aufwärmsätze|échauffement|calentamiento|riscaldamento|"
    r"aquecimento|opwarmen|warming[\s-]?up|uppvärmning)(?: sets?)?\s*[:\-–—]?",
    re.IGNORECASE,
)
WORK: Final = re.compile(
    r"(?:work(?:ing)?|top|main|arbeits|hauptsätze)(?:[\s-]?(?:sets?|sätze))?\s*[:\-–—]?",
    re.IGNORECASE,
)
# A name that says that it is one.
NAMED: Final = re.compile(
    r"(?:exercise|lift|movement|übung|exercice|ejercicio|esercizio|exercício|oefening|övning)"
    r"\s*[:=]\s*",
    re.IGNORECASE,
)
# One part of a set on a line by itself; "set" may be its number, or how many there were.
PART: Final = re.compile(
    r"(?:(?P<load>weights?|loads?|gewicht|last|poids|charge|peso|carico|carga)|"
    r"(?P<reps>reps?|repetitions?|wdh|wh|wiederholungen|répétitions|repeticiones|ripetizioni|"
    r"repetições|herhalingen|repetitioner)|"
    r"(?P<sets>sets|sätze|saetze|séries|series)|(?P<set>set|satz|série|serie)|"
    r"(?P<rir>rir|reps in reserve)|(?P<rpe>rpe))"
    r"(?:\s*[:=]\s*|\s+[-–—]\s+)(?P<value>(?:bw\b|[+\-−]?\s?\d)[^x×*@:=()]{0,40})",
    re.IGNORECASE,
)
# A part of the day: two sessions of one date.
DAY_PART: Final = re.compile(
    r"(?:a\.?m\.?|p\.?m\.?|morning|afternoon|noon|lunch|evening|night|morgens?|vormittags?|mittags?|"
    r"nachmittags?|abends?|matin|midi|après-midi|soir|mañana|tarde|noche|mattina|sera|ochtend|"
    r"avond|morgon|kväll)\b",
    re.IGNORECASE,
)
BODY_WEIGHT: Final = re.compile(
    r"(?P<word>body\s?-?weight|bodyweight|b\.?w\.?|weigh(?:t|ed)(?:[\s-]in)?|weight today|"
    r"körpergewicht|kg körpergewicht|gewicht|poids(?: de corps)?|peso(?: corporal| corporeo)?|"
    r"lichaamsgewicht|kroppsvikt|vikt)\s*[:=\-–—@]?\s*(?P<number>\d{2,3}(?:[.,]\d{1,2})?)\s*"
    r"(?P<unit>kgs?|kilos?|lbs?|pounds?)?\.?",
    re.IGNORECASE,
)
# Said of a whole line: what it tells of was not done, or not as written.
UNDONE: Final = _words(
    "missed miss failed skipped skip cancelled canceled not didn't didnt couldn't couldnt no "
    "should would could planned plan next tomorrow instead nicht kein ausgelassen",
)
# Said between sets: what follows was done on another day, or is what was meant to be done.
COMPARES: Final = _words("vs versus was were from than last previous previously prev yesterday")
# Words of a remark between sets, never of an exercise.
REMARKS: Final = _words(
    "felt feel feeling good great bad easy hard tough heavy light ok okay fine tired sore pain "
    "hurt slow fast strong weak form pr pb best today was were is very really too bit knee "
    "shoulder elbow wrist gut leicht schwer müde super bien mal facile dur fatigué bueno fácil "
    "duro",
)
# What a session is called; no exercise.
TITLES: Final = _words(
    "push pull leg legs upper lower full body day workout session training week chest back arms "
    "shoulders abs core heavy light volume deload a b c d rest warm warmup up cardio conditioning "
    "accessories accessory assistance supplemental main part superset circuit finisher beine brust "
    "rücken arme schultern ganzkörper oberkörper unterkörper jambes dos bras pecs pierna pecho "
    "espalda brazos gambe petto schiena braccia tag jour día giorno dag",
)

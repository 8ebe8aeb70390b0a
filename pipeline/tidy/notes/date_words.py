"""Names of months and weekdays as whole words: beginnings would take "Set 1" for a September.

English, German, French, Spanish, Italian, Portuguese, Dutch and Swedish.
"""

from typing import Final

_MONTHS: Final[tuple[str, ...]] = (
    "january jan januar jänner jän janvier janv enero ene gennaio gen janeiro januari",
    "february feb februar février fevrier févr fevr fév febrero febbraio fevereiro fev februari",
    "march mar märz maerz mär mrz mars marzo março marco maart mrt",
    "april apr avril avr abril abr aprile",
    "may mai mayo maggio mag maio mei maj",
    "june jun juni juin junio giugno giu junho",
    "july jul juli juillet juil julio luglio lug julho",
    "august aug août aout agosto ago augustus augusti",
    "september sep sept septembre septiembre settembre setembro",
    "october oct oktober okt octobre octubre ottobre ott outubro",
    "november nov novembre noviembre novembro",
    "december dec dezember dez décembre decembre déc diciembre dic dicembre dezembro",
)
_WEEKDAYS: Final[tuple[str, ...]] = (
    "monday mon montag lundi lunes lunedì lunedi maandag måndag segunda lun",
    "tuesday tue tues dienstag mardi martes martedì martedi dinsdag tisdag terça terca",
    "wednesday wed weds mittwoch mercredi miércoles miercoles mercoledì mercoledi woensdag onsdag"
    " quarta mer mié mie",
    "thursday thu thur thurs donnerstag jeudi jueves giovedì giovedi donderdag torsdag quinta"
    " jeu jue gio",
    "friday fri freitag vendredi viernes venerdì venerdi vrijdag fredag sexta ven vie",
    "saturday sat samstag sonnabend samedi sábado sabado sabato zaterdag lördag sam sáb sab",
    "sunday sun sonntag dimanche domingo domenica zondag söndag dim dom",
)
# Two letters are a weekday only beside a number: "Mo 5.3." but not "do 20 reps".
_SHORT: Final[tuple[str, ...]] = ("mo", "di tu", "mi we wo", "do th", "fr vr", "sa za", "so su zo")


def _by_word(rows: tuple[str, ...], first: int) -> dict[str, int]:
    return {word: number for number, row in enumerate(rows, first) for word in row.split()}


MONTHS: Final = _by_word(_MONTHS, 1)
# Monday is 0, as in date.weekday().
WEEKDAYS: Final = _by_word(_WEEKDAYS, 0)
SHORT_WEEKDAYS: Final = _by_word(_SHORT, 0) | {"tu": 1, "th": 3, "su": 6, "we": 2}


def month_of(word: str) -> int | None:
    """Number of the month that ``word`` names, a full stop after it left out."""
    return MONTHS.get(word.casefold().rstrip("."))


def weekday_of(word: str, is_beside_number: bool = False) -> int | None:
    """Number of the weekday (Monday 0); two letters count only beside a number."""
    plain = word.casefold().rstrip(".")
    found = WEEKDAYS.get(plain)
    return SHORT_WEEKDAYS.get(plain) if found is None and is_beside_number else found

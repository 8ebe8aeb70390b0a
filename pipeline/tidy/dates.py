"""Dates as people write them, read only where one reading is possible in the map's order."""

import re
from datetime import UTC, date, datetime

from pipeline.core.calendar import EARLIEST_DAY, say_date
from pipeline.core.errors import InputError
from pipeline.core.source import LINE, RawFile, SourceFile, SourceMap
from pipeline.tidy.cells import CellError

_WORD = r"[^\W\d_]+"
_TIME = re.compile(r"(?<=\d)[T ,]+\d{1,2}:\d{2}\S*(?:\s*[ap]\.?m\.?)?$", re.IGNORECASE)
_PLAIN = re.compile(r"(\d{4})-(\d\d)-(\d\d)", re.ASCII)
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_NUMERIC = re.compile(r"(\d{1,4})\s*([./\-\s])\s*(\d{1,2})\s*\2\s*(\d{1,4})\.?")
# Seconds or milliseconds since 1970, as programs count them: from 2001 on ten or thirteen digits.
_MOMENT = re.compile(r"([1-9]\d{9})(?:\d{3})?(?:\.\d+)?", re.ASCII)
_NO_YEAR = re.compile(r"(\d{1,2})\s*[./\-]\s*(\d{1,2})\.?")
_DAY_WORD = re.compile(rf"(\d{{1,2}})(?:st|nd|rd|th|\.)?[\s\-/]*({_WORD})\.?,?[\s\-/]*(\d{{2,4}})?")
_WORD_DAY = re.compile(rf"({_WORD})\.?\s+(\d{{1,2}})(?:st|nd|rd|th)?(?:,?\s+(\d{{2,4}}))?")
_YEAR_WORD = re.compile(rf"(\d{{4}})[\s\-/]+({_WORD})\.?[\s\-/]+(\d{{1,2}})")
_WEEKDAY = re.compile(rf"({_WORD})\.?,?\s+(?=\d)")
_YEAR_IN_NAME = re.compile(r"(?<!\d)(19[5-9]\d|20\d\d)(?!\d)")

# Beginnings of the month's names in English, German, French, Spanish, Italian and Dutch.
MONTHS = (
    ("jan", "ene", "gen", "jän"),
    ("feb", "fév", "fev"),
    ("mar", "mär", "maa", "mrt", "mrz"),
    ("apr", "avr", "abr"),
    ("may", "mai", "mag", "mei"),
    ("jun", "juin", "giu"),
    ("jul", "juil", "lug"),
    ("aug", "aoû", "aou", "ago"),
    ("sep", "set"),
    ("oct", "okt", "ott"),
    ("nov",),
    ("dec", "dez", "déc", "dic"),
)
WEEKDAYS = (
    *("mon", "tue", "wed", "thu", "fri", "sat", "sun"),
    *("mo", "di", "mi", "do", "fr", "sa", "so"),
    *(
        "lun",
        "mar",
        "mer",
        "mié",
        "mie",
        "jeu",
        "jue",
        "ven",
        "vie",
        "sam",
        "sáb",
        "sab",
        "dim",
        "dom",
    ),
    *("gio", "ma", "wo", "vr", "za", "zo"),
)


def years_in_name(file: SourceFile) -> set[int]:
    """The years that the file's name carries, else its nearest folder's."""
    return _years_and_part(file)[0]


def _years_and_part(file: SourceFile) -> tuple[set[int], str]:
    for part in reversed(file.path.split("/")):
        if years := {int(found) for found in _YEAR_IN_NAME.findall(part)}:
            return years, part
    return set(), ""


def year_in_name(file: SourceFile) -> int:
    """The year that the file's name carries, else its nearest folder's.

    Raises
    ------
    InputError
        when there is none, or more than one.
    """
    years, part = _years_and_part(file)
    if len(years) == 1:
        return years.pop()
    if years:
        remedy = "name the file with the one year its dates belong to"
        raise InputError(file.shown, None, f"{len(years)} years in {part!r}", remedy)
    remedy = "put the year into the file's name, or write it in the dates"
    raise InputError(file.shown, None, "no year in the file's name", remedy)


def order_on(one: SourceMap, row_no: int) -> str:
    """The order of dates in a row of the file."""
    before = [change.order for change in one.order_changes if change.from_row <= row_no]
    return before[-1] if before else one.date_order


def check_order_changes(raw: RawFile) -> None:
    """The rows from which the map has another order of dates are those it was written for.

    Raises
    ------
    InputError
        when such a row is not there, or does not hold the date that the map expects: dates up to
        the twelfth would be read wrongly without a word.
    """
    named = raw.map.columns.get("date", LINE)
    label = named if named in raw.frame.columns else LINE
    for change in raw.map.order_changes:
        cells = raw.frame.filter(row_no=change.from_row)
        found = cells[label][0] if cells.height and label in cells.columns else None
        if found is None or change.expect not in found:
            told = f"dates.changes of maps/{raw.map.name}.toml expects {change.expect!r} here, " + (
                "where no date is written" if found is None else f"where {found[:60]!r} stands"
            )
            remedy = "write the row in which the order changes now, or give the file its own map"
            raise InputError(raw.file.shown, change.from_row, told, remedy)


def read_date(text: str, order: str, year: int | None, limit: date) -> date:
    """The date that ``text`` says.

    Parameters
    ----------
    order : "ymd", "dmy" or "mdy"; a year of four digits in front is always year, month, day, and
        ten or thirteen digits are seconds or milliseconds since 1970, whose day is that in UTC.
    year : the year of dates without one, or None.
    limit : the last day that can have been logged.

    Raises
    ------
    CellError
        when it cannot be read, is no day of the calendar, lies after ``limit`` or before 1950.
    """
    if plain := _PLAIN.fullmatch(text):
        return check_day(int(plain[1]), int(plain[2]), int(plain[3]), order, limit)
    parts = _find_parts(_TIME.sub("", text.strip()), order)
    if parts is None:
        raise CellError("date not understood", "write it like 2019-03-05, or correct dates.order")
    written, month, day = parts
    if written is None and year is None:
        raise CellError(
            "date without a year", 'write the year, or set dates.year_from = "file name"'
        )
    if written is None:
        full = year or 0
    else:
        full = int(written) if len(written) == 4 else full_year(int(written), limit)
    return check_day(full, month, day, order, limit)


def check_day(year: int, month: int, day: int, order: str, limit: date) -> date:
    """The day of these parts, read in ``order``.

    Raises
    ------
    CellError
        when the calendar has no such day, or it lies after ``limit`` or before 1950.
    """
    try:
        found = date(year, month, day)
    except ValueError:
        told = f"no day {day} in month {month} of {year}, read as {order}"
        raise CellError(
            "impossible date", f"{told}; correct it, or dates.order in the map"
        ) from None
    if found > limit:
        told = f"{say_date(found)} is after {say_date(limit)}"
        raise CellError("date to come", f"{told}; correct it in corrections.toml")
    if found < EARLIEST_DAY:
        told = f"{say_date(found)} is before {say_date(EARLIEST_DAY)}"
        raise CellError("date too early", f"{told}; correct it in corrections.toml")
    return found


def full_year(short: int, limit: date) -> int:
    """Four digits of a year written with two: the latest that has come."""
    year = 2000 + short
    return year if year <= limit.year or year - 100 < EARLIEST_DAY.year else year - 100


def _find_parts(text: str, order: str) -> tuple[str | None, int, int] | None:
    """Year as written (None: not written), month and day; None when nothing fits."""
    found = _numeric(text, order) or _named(text)
    if found is None and (word := _WEEKDAY.match(text)) and _is_weekday(word[1]):
        return _find_parts(text[word.end() :], order)
    return found


def _numeric(text: str, order: str) -> tuple[str | None, int, int] | None:
    if match := _COMPACT.fullmatch(text):
        return match[1], int(match[2]), int(match[3])
    if match := _MOMENT.fullmatch(text):
        moment = datetime.fromtimestamp(int(match[1]), UTC)
        return str(moment.year), moment.month, moment.day
    if match := _NO_YEAR.fullmatch(text):
        one, two = int(match[1]), int(match[2])
        return (None, two, one) if order == "dmy" else (None, one, two)
    if match := _NUMERIC.fullmatch(text):
        first, middle, last = match[1], match[3], match[4]
        if len(first) == 4 and len(last) <= 2:
            return first, int(middle), int(last)
        if len(first) > 2 or len(last) not in (2, 4) or (order == "ymd" and len(last) == 4):
            return None
        parts = dict(zip(order, (first, middle, last), strict=True))
        return parts["y"], int(parts["m"]), int(parts["d"])
    return None


def _named(text: str) -> tuple[str | None, int, int] | None:
    for pattern, places in (
        (_DAY_WORD, (3, 2, 1)),
        (_WORD_DAY, (3, 1, 2)),
        (_YEAR_WORD, (1, 2, 3)),
    ):
        match = pattern.fullmatch(text)
        if match and (month := _month(match[places[1]])):
            year = match[places[0]]
            if year is None or len(year) in (2, 4):
                return year, month, int(match[places[2]])
    return None


def _month(word: str) -> int | None:
    lower = word.lower()
    starts = ((start, number) for number, names in enumerate(MONTHS, 1) for start in names)
    return next((number for start, number in starts if lower.startswith(start)), None)


def _is_weekday(word: str) -> bool:
    return word.lower().startswith(WEEKDAYS)

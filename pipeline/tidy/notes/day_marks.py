"""Finding the date, month or year that a line of notes carries, if it carries one."""

import re
from dataclasses import dataclass, replace

from pipeline.tidy.notes.date_words import month_of, weekday_of
from pipeline.tidy.notes.day_patterns import (
    A_YEAR,
    BUILDERS,
    PAIR,
    WORD,
    DayMark,
    build_pair,
    build_slip,
)
from pipeline.tidy.notes.layout import NoteLine
from pipeline.tidy.notes.words import TITLES

_LABEL = re.compile(
    r"(?:(?:date|day|datum|fecha|data|dato|workout|session|training|entry|log|gym|journal|on)\b"
    r"\s*(?:#\s*)?(?:\d{1,4}(?!\s*[./]\s*\d|-\d|\d))?\s*[:.,\-–—|]*\s*)+",
    re.IGNORECASE,
)
_WEEK = re.compile(
    r"(?:week\s+(?:of|starting|beginning|commencing|from)|w/?c|woche\s+(?:vom|ab)|semaine\s+du|"
    r"semana\s+del?|settimana\s+del|week\s+van|vecka\s+från)\s*:?\s+",
    re.IGNORECASE,
)
_DAY_WORD = re.compile(rf"({WORD})\.?\s*[,:]?\s*(?:the\s+)?", re.IGNORECASE)
_DAY = re.compile(r"(?<!\d)(\d{1,2})(st|nd|rd|th|\.|:|$)(?=\s|$)")
_MONTH_HEAD = re.compile(rf"({WORD})\.?,?\s*({A_YEAR})?\s*[:.]?|({A_YEAR})[\s,./\-]*({WORD})")
_MONTH_DIGITS = re.compile(rf"({A_YEAR})[-/.](\d{{1,2}})|(\d{{1,2}})[-/.]({A_YEAR})")
_YEAR_HEAD = re.compile(rf"(?:({WORD}\s+){{0,3}})({A_YEAR})(?:\s*[:.]|(?:\s+{WORD}){{0,3}})?")
_RANGE = re.compile(r"\s*(?:-|–|—|to|bis|until)\s*")
_CLOCK = re.compile(
    r"\s*[T,@\-–]?\s*(?:[01]?\d|2[0-3])[:h]\d{2}(?::\d{2})?\s*(?:[ap]\.?m\.?|uhr)?"
    r"(?:\s*[-–]\s*\d{1,2}[:h]\d{2}\s*(?:[ap]\.?m\.?|uhr)?)?(?=[\s,;)\]>]|$)",
    re.IGNORECASE,
)
_SET_SIGN = re.compile(r"\s*(?:[x×*@%+]|kgs?\b|lbs?\b|reps?\b)|\s+\d+\s*(?:[,;>/w]|$)")
_AFTER = re.compile(rf"\s*[,(\[]?\s*({WORD})\.?\s*[)\]]?")
OPENING = "([<{ "
SIGNS_AROUND = " ()[]<>{}:.–—|,;-=_*"
MOST_WORDS_BEFORE = 6
MOST_LABEL = 24  # characters
COUNTING = frozenset(
    {"w", "wk", "wo", "s", "block", "cycle", "phase", "woche", "einheit", "no", "nr"}
)
# Words of sentences that speak of a date, and head no session.
SPEAKING = frozenset(
    {"best", "record", "previous", "last"}
    | {"on", "since", "until", "from", "by", "before", "after", "am", "seit", "bis", "started"}
)


@dataclass(frozen=True)
class _Core:
    """A date without what stands around it, and where it stands."""

    mark: DayMark
    start: int
    end: int
    is_within: bool = False


def find_mark(line: NoteLine) -> DayMark | None:
    """The date, month or year of a line; None where it has none."""
    text = line.text
    if not text or line.is_table:
        return None
    head = _find_heading(text, line)
    if head is not None:
        return head
    start, is_week, weekday = _skip_front(text)
    core = _core_at(text, start, weekday) or _core_of_slip(text, start)
    if core is None and weekday is not None and not is_week:
        return _weekday_only(text, start, weekday, line)
    if core is None and not is_week:
        core = _core_within(text, line)
    if core is None or _is_load(text, core):
        return None
    return _finish(text, core, is_week, weekday, line)


def _find_heading(text: str, line: NoteLine) -> DayMark | None:
    """A month or a year that stands alone as a heading."""
    bare = text.strip(" :.-–—*[]()")
    if match := _MONTH_DIGITS.fullmatch(bare):
        year, month = (match[1], match[2]) if match[1] else (match[4], match[3])
        if 1 <= int(month) <= 12:
            return DayMark("month", "month", year, int(month), written=bare)
    if match := _MONTH_HEAD.fullmatch(bare):
        month = month_of(match[1] or match[4])
        if month is not None and not (line.level == 0 and weekday_of(bare) is not None):
            return DayMark("month", "month", match[2] or match[3], month, written=bare)
    match = _YEAR_HEAD.fullmatch(bare)
    if match and (line.level or bare == match[2] or line.place < 10):
        return DayMark("year", "year", match[2], written=bare)
    return None


def _skip_front(text: str) -> tuple[int, bool, int | None]:
    """Where the date begins after labels, "week of", and a weekday."""
    at, is_week, weekday = 0, False, None
    if label := _LABEL.match(text):
        at = label.end()
    at = _skip(text, at, OPENING)
    if match := _WEEK.match(text, at):
        is_week, at = True, match.end()
    if match := _DAY_WORD.match(text, at):
        beside = text[match.end() : match.end() + 1].isdigit()
        found = weekday_of(match[1], beside)
        if found is not None and not (beside and month_of(match[1])):
            weekday, at = found, _skip(text, match.end(), OPENING + "-–—")
    return at, is_week, weekday


def _skip(text: str, at: int, signs: str) -> int:
    while text[at : at + 1] and text[at] in signs:
        at += 1
    return at


def _core_at(text: str, at: int, weekday: int | None) -> _Core | None:
    """A date that begins at ``at``."""
    for pattern, build in BUILDERS:
        match = pattern.match(text, at)
        if match and (mark := build(match)) is not None:
            return _Core(mark, match.start(), match.end())
    match = PAIR.match(text, at)
    if match and (mark := build_pair(match)) is not None:
        return _Core(mark, match.start(), match.end())
    match = _DAY.match(text, at)
    if match and 1 <= int(match[1]) <= 31:
        is_alone = not text[match.end() :].strip()
        if weekday is not None or match[2] in ("st", "nd", "rd", "th", ":") or is_alone:
            mark = DayMark("day", f"day{match[2]}", day=int(match[1]), is_weak=True)
            return _Core(mark, match.start(), match.end())
    return None


def _core_within(text: str, line: NoteLine) -> _Core | None:
    """A date with its year further on, behind a title; in a heading also one without."""
    is_heading = line.level > 0
    for pattern, build in BUILDERS:
        for match in pattern.finditer(text):
            mark = build(match)
            if mark is None or (mark.year is None and not is_heading):
                continue
            before = text[: match.start()]
            after = text[match.end() :]
            if is_heading or _is_title(before, after) or _is_label(before, after):
                return _Core(mark, match.start(), match.end(), is_within=True)
    pair = PAIR.search(text) if is_heading else None
    if pair and (mark := build_pair(pair)) is not None:
        return _Core(mark, pair.start(), pair.end(), is_within=True)
    return None


def _core_of_slip(text: str, at: int) -> _Core | None:
    slip = build_slip(text, at)
    return _Core(slip[0], at, slip[1]) if slip else None


def _is_title(before: str, after: str) -> bool:
    """A few words, then the date, then nothing much: no sentence that speaks of a date."""
    words = before.split()
    is_short = len(words) <= MOST_WORDS_BEFORE and len(after.strip(" .)]>:-–—").split()) <= 2
    has_sets = bool(re.search(r"\d\s*[x×*@]\s*\d|\d\s?(?:kg|lbs?)\b", before))
    return is_short and not has_sets and not SPEAKING & {word.casefold() for word in words}


def _is_label(before: str, after: str) -> bool:
    """``W1D1 2018-01-08: squat 3x5``: words that count or name sessions, the date, then a sign."""
    words = {word.casefold() for word in re.findall(WORD, before)}
    is_short = len(before) <= MOST_LABEL and words <= TITLES | COUNTING
    return is_short and bool(re.match(r"\s*[:|–—-]\s*\S", after))


def _is_load(text: str, core: _Core) -> bool:
    """``3/4 kg`` and ``12.5 x 8`` begin like dates and are sets."""
    return core.mark.is_weak and bool(_SET_SIGN.match(text, core.end))


def _finish(text: str, core: _Core, is_week: bool, weekday: int | None, line: NoteLine) -> DayMark:
    """The mark with its weekday and the rest of the line."""
    end = core.end
    behind = _AFTER.match(text, end)
    if behind and weekday is None and weekday_of(behind[1], True) is not None:
        weekday, end = weekday_of(behind[1], True), behind.end()
    to = _RANGE.match(text, end)
    is_range = bool(to and _core_at(text, _skip_front(text[to.end() :])[0] + to.end(), None))
    clock = _CLOCK.match(text, end)
    end = clock.end() if clock else end
    form = core.mark.form + (" weekday" if weekday is not None else "") + " #" * bool(line.level)
    is_weak = core.mark.is_weak and weekday is None and not is_week
    return replace(
        core.mark,
        kind="week" if is_week or is_range else core.mark.kind,
        form=form,
        weekday=weekday,
        is_weak=is_weak,
        written=text[core.start : core.end].strip(),
        before=text[: core.start].strip(SIGNS_AROUND) if core.is_within else "",
        after=_after(text[end:]),
    )


def _after(text: str) -> str:
    """What follows a date, without the bracket that it stood in."""
    rest = text.lstrip(SIGNS_AROUND.replace("(", "").replace("[", ""))
    if rest.endswith((")", "]", ">")) and not any(sign in rest for sign in "([<"):
        rest = rest.rstrip(")]>")
    return rest.strip(" :.–—|,;-=_*")


def _weekday_only(text: str, start: int, weekday: int, line: NoteLine) -> DayMark | None:
    """``Wed`` or ``Wed: squat 3x5``; a longer line only with a colon or dash."""
    first = text.split()[0]
    rest = text[start:].strip()
    is_label = first.endswith((":", ",")) or text[:start].rstrip().endswith((":", "-", "–", "—"))
    if rest and not is_label and not line.level:
        return None
    return DayMark("weekday", "weekday", weekday=weekday, written=first, after=rest)

"""From lines to sets: which exercise and which day each line of sets belongs to.

A name above lines of sets is a heading when somebody knows it, or when sets follow at once and it
is dressed as a heading (not as the sets); otherwise it is a remark. What is neither sets nor a
heading is a remark, kept beside the sets of its session.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from pipeline.tidy.notes.days import DayLine
from pipeline.tidy.notes.entries import Entry, Reading, Splitter
from pipeline.tidy.notes.keyed import KeyedSet, parts_in
from pipeline.tidy.notes.layout import NoteLine
from pipeline.tidy.notes.records import Above, Here, NoteEntry, Walked, Weighing
from pipeline.tidy.notes.words import (
    ASIDE,
    BODY_WEIGHT,
    DAY_PART,
    NAMED,
    REMARKS,
    TITLES,
    WARM_UP,
    WORK,
)

_WORD = re.compile(r"[^\W\d_]+")
_COUNTS = re.compile(r"\d{1,3}(?:\s*[,/;+\-–]\s*\d{1,3}|\s+\d{1,3})*")
_SLASHED = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})(?:\s*/\s*\d{1,2})?")
_PAIR = re.compile(r"(\d{1,2})\s*[x×*]\s*(\d{1,3})")
NO_NAME = "no name stands above these sets; write it before them"
ONE_LINE = "a part of a set by itself; write weight and reps beneath, or 100x8 on one line"
LOAD_OR_COUNTS = (
    "a load and its repetitions, or repetitions of each set? write '+10 x 8', or '10, 8'"
)
A_LOAD = 999  # more than are repetitions
NO_TICK = "the box before it is not ticked; tick it, or take the box away"
MOST_SETS = 6  # of a lift of the body weight, written as 3x10 beside its name
MOST_WORDS = 7  # of a heading
LIGHTEST, HEAVIEST = 35.0, 400.0  # a number by "weight" outside is no body weight


@dataclass
class Walk:
    """One pass over the lines of a file.

    ``splitter`` tells names from sets; ``counts_alone`` says of a name whether numbers alone are
    repetitions (lifts of the body weight); ``days`` holds the date of each line that has one.
    """

    splitter: Splitter
    days: dict[int, DayLine]
    headings: frozenset[int]
    counts_alone: Callable[[str], bool]
    start: DayLine | None
    has_ticks: bool
    _here: Here = field(default_factory=Here)
    _keyed: KeyedSet = field(default_factory=KeyedSet)
    _entries: list[NoteEntry] = field(default_factory=list)
    _weighings: list[Weighing] = field(default_factory=list)
    _remarks: list[tuple[int, str]] = field(default_factory=list)
    _above: dict[int, Above] = field(default_factory=dict)

    def run(self, lines: Sequence[NoteLine]) -> Walked:
        """Read every line that is no table."""
        self._here.day = self.start
        for at, line in enumerate(lines):
            if line.place in self.days:
                self._turn_page(line, self.days[line.place], lines, at)
            elif line.place in self.headings:
                self._close_keyed()
                self._here = Here(day=self.start)
            elif line.is_table:
                day, here = self._dated()[0], self._here
                written = here.day.mark.written if here.day and here.day.reason else None
                self._above[line.place] = Above(day, written, here.part, here.name)
            elif line.text:
                self._read(line, line.text, lines, at)
        self._close_keyed()
        return Walked(
            tuple(self._entries), tuple(self._weighings), tuple(self._remarks), self._above
        )

    def _turn_page(self, line: NoteLine, day: DayLine, lines: Sequence[NoteLine], at: int) -> None:
        mark = day.mark
        self._close_keyed()
        self._here = Here(day=day)
        for text in (mark.before, mark.after):
            part = DAY_PART.search(text)
            if part and len(text.split()) <= MOST_WORDS and self._here.part is None:
                self._here.part = part[0].casefold().strip(".")
                text = (text[: part.start()] + text[part.end() :]).strip(" -–—,:()")
            if text:
                self._read(line, text, lines, at, is_title=True)

    def _read(
        self, line: NoteLine, text: str, lines: Sequence[NoteLine], at: int, is_title: bool = False
    ) -> None:
        if line.is_struck:
            self._remark(line.place, text)
            return
        aside = ASIDE.match(text)
        if aside and (aside[0].rstrip()[-1:] in ":=-–—" or not self.splitter.read(text).entries):
            self._remark(line.place, text)
            return
        if self._weigh(line, text):
            return
        parts = parts_in(text) if self._here.name is not None else []
        if parts:
            self._gather(line, text, parts)
            return
        named = NAMED.match(text)
        text = text[named.end() :] if named else text
        reading = self._with_above(self.splitter.read(text), text)
        if reading.entries:
            self._keep(line, reading.entries, text)
        elif reading.is_load and reading.name and self._sets_follow(lines, at):
            self._open(line, reading.name, reading.rest)
        elif reading.fault:
            name = reading.name or self._here.name
            self._fault(line, text, name, "sets not understood", reading.fault)
        elif named and text.strip():
            self._open(line, text.strip(" :"), None)
        elif not is_title or self.splitter.is_known(text.strip(" :")):
            self._read_words(line, text, lines, at)
        else:
            self._remark(line.place, text)

    def _with_above(self, reading: Reading, text: str) -> Reading:
        """Numbers alone are repetitions: of a lift of the body weight, or at the load above."""
        name = reading.name or self._here.name
        numbers = (reading.rest or text).strip(" .:")
        if any(self._may_be_counts(entry) for entry in reading.entries):
            first = reading.entries[0]
            return Reading(fault=LOAD_OR_COUNTS, name=first.name, rest=first.sets)
        if reading.entries or not reading.fault or name is None:
            return reading
        if reading.name and _PAIR.fullmatch(numbers):
            sets = self._on_body(Entry(name, numbers))
            return reading if sets == numbers else Reading((Entry(name, sets),))
        if not _COUNTS.fullmatch(numbers):
            return reading
        counts = re.findall(r"\d+", numbers)
        if self.counts_alone(name):
            sets = "\n".join(f"{count} reps" for count in counts)
        elif self._here.load and reading.name is None:
            sets = "\n".join(f"{self._here.load} x {count}" for count in counts)
        else:
            return reading
        read = self.splitter.sets_in(sets)
        return Reading((Entry(reading.name, read),)) if read else reading

    def _may_be_counts(self, entry: Entry) -> bool:
        """``Pull-ups 10/8`` in a file that writes ``80/5``: sets of 10 and 8 as well as +10."""
        name = entry.name or self._here.name
        pair = _SLASHED.fullmatch(entry.sets)
        if pair is None or name is None or not self.counts_alone(name):
            return False
        behind = entry.sets[pair.end(1) :]
        tried = (f"{A_LOAD}{behind}", f"{pair[1]}/{A_LOAD}")
        return any(self.splitter.sets_in(text) is not None for text in tried)

    def _on_body(self, entry: Entry) -> str:
        """``Pull-ups 3x10``: three sets of a lift of the body weight, not three kilograms."""
        pair = _PAIR.fullmatch(entry.sets)
        if pair is None or entry.name is None or int(pair[1]) > MOST_SETS:
            return entry.sets
        told = f"{pair[1]} sets x {pair[2]} reps"
        is_read = self.counts_alone(entry.name) and self.splitter.sets_in(told)
        return told if is_read else entry.sets

    def _weigh(self, line: NoteLine, text: str) -> bool:
        """A line that says the body weight."""
        match = BODY_WEIGHT.fullmatch(text)
        is_clear = match and (match["word"][0] in "bB" or match["word"].lower().startswith("kör"))
        is_below_name = self._here.name is not None and self._here.set_dress is None
        if not match or (is_below_name and not is_clear):
            return False
        if not LIGHTEST <= float(match["number"].replace(",", ".")) <= HEAVIEST:
            return False
        day, reason, detail = self._dated()
        unit = {"k": "kg", "l": "lb", "p": "lb"}.get((match["unit"] or " ")[0].lower())
        self._weighings.append(
            Weighing(line.place, day, text, match["number"], unit, reason, detail)
        )
        return True

    def _gather(self, line: NoteLine, text: str, parts: Sequence[tuple[str, str]]) -> None:
        """A line that says one part of a set; the set is whole when a part comes again."""
        for name, value in parts:
            if self._keyed.has(name):
                self._close_keyed()
            self._keyed.add(line, text, name, value)

    def _close_keyed(self) -> None:
        """The set told by the lines gathered, or a fault on each of them."""
        keyed, self._keyed = self._keyed, KeyedSet(self._keyed.set_no)
        name = self._here.name
        is_whole = "load" in keyed.parts or (name is not None and self.counts_alone(name))
        told = keyed.as_sets() if is_whole else None
        sets = self.splitter.sets_in(told) if told else None
        for line, text in keyed.lines if sets is None else ():
            self._fault(line, text, name, "sets not understood", ONE_LINE)
        if sets is not None:
            self._add(self._entry(keyed.lines[0][0], sets))

    def _entry(self, line: NoteLine, sets: str) -> NoteEntry:
        """Sets on a line, with the exercise and the day that hold there."""
        here = self._here
        day, reason, detail = self._dated()
        if here.name is None and reason is None:
            reason, detail = "no exercise", NO_NAME
        superset = line.superset or here.superset
        return NoteEntry(
            line.place, here.name, sets, day, here.part, superset, here.is_warmup, reason, detail
        )

    def _keep(self, line: NoteLine, entries: Sequence[Entry], text: str) -> None:
        self._close_keyed()
        here = self._here
        if line.is_ticked is False and self.has_ticks:
            self._fault(line, text, entries[0].name or here.name, "not ticked", NO_TICK)
            return
        for entry in entries:
            if entry.name is not None:
                self._open(line, entry.name, None)
            self._here.set_dress = line.dress
            self._add(self._entry(line, self._on_body(entry)))

    def _add(self, entry: NoteEntry) -> None:
        """Sets of an exercise that stands twice on one line are one entry."""
        last = self._entries[-1] if self._entries else None
        if last is not None and replace(last, sets=entry.sets) == entry and not entry.reason:
            self._entries[-1] = replace(last, sets=f"{last.sets}\n{entry.sets}")
        else:
            self._entries.append(entry)

    def _fault(self, line: NoteLine, text: str, name: str | None, reason: str, detail: str) -> None:
        day, undated, why = self._dated()
        if undated is not None and reason != "not ticked":
            reason, detail = undated, why or ""
        self._entries.append(
            NoteEntry(line.place, name, text, day, reason=reason, detail=detail)
        )  # fmt: skip

    def _dated(self) -> tuple[date | None, str | None, str | None]:
        """The day that holds, or why there is none."""
        day = self._here.day
        if day is None:
            return None, "no date", "no date stands above it; write one before it"
        if day.mark.kind == "week":
            detail = f"{day.mark.written} is a week; write the day above the exercise"
            return None, "no date", detail
        return day.day, day.reason, day.detail and f"{day.mark.written}: {day.detail}"

    def _read_words(self, line: NoteLine, text: str, lines: Sequence[NoteLine], at: int) -> None:
        """A heading of an exercise or of warm-ups, else a remark."""
        name = text.strip(" :-–—=")
        if WARM_UP.fullmatch(name):
            self._close_keyed()
            self._here.is_warmup = True
        elif WORK.fullmatch(name):
            self._close_keyed()
            self._here.is_warmup = False
        elif self._is_heading(line, name, lines, at):
            self._open(line, name, None)
        else:
            self._remark(line.place, text)

    def _is_heading(self, line: NoteLine, name: str, lines: Sequence[NoteLine], at: int) -> bool:
        """A known name, or one that nobody knows right above sets and dressed unlike them."""
        if self.splitter.is_known(name) and len(name.split()) <= MOST_WORDS:
            return True
        words = {word.casefold() for word in _WORD.findall(name)}
        if not words or len(name.split()) > MOST_WORDS or name.endswith("."):
            return False
        if words <= TITLES or words & REMARKS or not self._sets_follow(lines, at):
            return False
        here = self._here
        if here.name is None or line.follows_blank or line.level:
            return True
        if self._keyed.lines:
            return False  # words between the parts of one set
        return line.dress == here.dress or line.dress != here.set_dress

    def _sets_follow(self, lines: Sequence[NoteLine], at: int) -> bool:
        """The next line that says something holds sets without a name."""
        for line in lines[at + 1 :]:
            if line.place in self.days or line.place in self.headings:
                return False
            if line.text:
                if parts_in(line.text):
                    return True
                read = self.splitter.read(line.text)
                is_bare = read.fault is not None and read.name is None
                return is_bare or any(entry.name is None for entry in read.entries)
        return False

    def _open(self, line: NoteLine, name: str, load: str | None) -> None:
        self._close_keyed()
        self._keyed = KeyedSet()
        here = self._here
        here.name, here.load, here.dress = name, load, line.dress
        here.superset, here.is_warmup, here.set_dress = line.superset, False, None

    def _remark(self, place: int, text: str) -> None:
        self._remarks.append((place, text))

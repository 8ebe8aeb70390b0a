"""The index of a record by what may be asked of it: each page with its questions, as links.

A question leads to the place that answers it: the muscle or the span of years that it names is
chosen there (``kept.js`` reads the choice from the address). What the record has nothing of, such
as injuries, is not asked.
"""

from collections.abc import Iterable, Iterator

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Chapter, Text
from dashboards.frame import PageId
from dashboards.prepare.annual.years import Year, years_of
from dashboards.prepare.easing import has_effects
from dashboards.prepare.priorities.balance import quarter_ratios
from dashboards.prepare.priorities.injuries import list_injuries
from dashboards.prepare.strips import StripFrames, strip_frames
from pipeline.core.page_book import LifterInfo, PageBook

# Questions of one answer, by page: the text's key and the place on the page, if not its head.
_PLACES = {
    "record": (("record", ""),),
    "nights": (("sleep", ""),),
    "next_phase": (("next", ""),),
    "state": (("aside", "aside"),),
}
# Weeks without which a year is too short to ask what rose since it began.
LEAST_WEEKS = 26


def chapters_of(book: PageBook, lifter: LifterInfo, pages: Iterable[PageId]) -> tuple[Chapter, ...]:
    """Every page of a lifter with its questions; of a record without a week what was not read."""
    strips = strip_frames(book, lifter)
    if strips is None:
        return tuple(
            Chapter(page.file, page.title, (_ask("index.ask_aside", page.file),))
            for page in pages
            if page.kind == "state"
        )
    return tuple(Chapter(one.file, one.title, _questions(book, one, strips)) for one in pages)


def _questions(book: PageBook, page: PageId, strips: StripFrames) -> tuple[Text, ...]:
    if page.kind == "volume":
        return (_ask_muscles(page.file, strips),)
    if page.kind == "lifts":
        return (_ask_since(page.file, strips),)
    if page.kind == "annual":
        years = _links((_year_link(page.file, year) for year in reversed(years_of(strips))), " ")
        return (words.say("index.ask_annual", years=years),)
    asked = _PLACES.get(page.kind) or _ask_of_record(book, page)
    return tuple(_ask(f"index.ask_{key}", page.file, place) for key, place in asked)


def _ask_of_record(book: PageBook, page: PageId) -> Iterator[tuple[str, str]]:
    """Questions, as in ``_PLACES``, of pages whose places depend on what the record has."""
    lifter_id = str(page.lifter_id)
    if page.kind == "easing":
        yield "deload", ""
        yield "layoff", "layoffs" if has_effects(book, lifter_id) else ""
    if page.kind == "priorities":
        yield "phases", ""
        if quarter_ratios(book, lifter_id).height:
            yield "balance", "balance"
        if list_injuries(book, lifter_id):
            yield "injuries", "injuries"


def _ask(key: str, file: str, place: str = "") -> Markup:
    """A question that is a link as a whole."""
    return _link(f"{file}#{place}" if place else file, words.plain(key))


def _ask_muscles(file: str, strips: StripFrames) -> Text:
    """Which weekly sets work best for each muscle; one link while no muscle has an answer."""
    if strips.muscles["low"].is_null().all():
        return _ask("index.ask_no_muscle", file)
    asked = strips.muscles.filter(pl.col("mean12").is_not_null()).select("muscle_id", "name")
    links = (_link(f"{file}#muscle={muscle}", name) for muscle, name in asked.iter_rows())
    return words.say("index.ask_muscles", muscles=_links(links, ", "))


def _ask_since(file: str, strips: StripFrames) -> Text:
    """Which lift rose most since each year began, up to the end of the record."""
    years = [
        year for year in reversed(years_of(strips)) if strips.count - max(0, year.w0) >= LEAST_WEEKS
    ]
    if not years:
        return _ask("index.ask_no_year", file)
    links = (_since_link(file, year, strips.count) for year in years)
    return words.say("index.ask_since", years=_links(links, " "))


def _since_link(file: str, year: Year, end: int) -> Markup:
    span = f"from_week={max(0, year.w0)}&to_week={end}&at=changes"
    return _link(f"{file}#{span}", str(year.number))


def _year_link(file: str, year: Year) -> Markup:
    return _link(f"{file}#y{year.number}", str(year.number))


def _link(target: str, text: str) -> Markup:
    return Markup('<a href="{}">{}</a>').format(target, text)


def _links(links: Iterable[Markup], between: str) -> Markup:
    return Markup(between).join(links)

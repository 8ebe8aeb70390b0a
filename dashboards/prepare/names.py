"""What muscles and lifts are called on a page, by their ids.

Reference names come in the language of the page (``in_style``). A lift that the reference does not
know is called as it was written.
"""

import unicodedata
from collections.abc import Mapping

from dashboards.direction import isolate
from pipeline.core.page_book import PageBook

UNMATCHED = "unmatched:"


def muscle_names(book: PageBook) -> dict[str, str]:
    """What each muscle is called."""
    return _names(book, "muscle")


def lift_names(book: PageBook) -> dict[str, str]:
    """What each exercise of the reference is called within a sentence."""
    return _names(book, "exercise")


def _names(book: PageBook, of_what: str) -> dict[str, str]:
    return dict(book.tables[f"ref_{of_what}"].select(f"{of_what}_id", "name").iter_rows())


def name_lift(names: Mapping[str, str], lift_id: str) -> str:
    """A lift's name; one that the reference does not know by its id."""
    return names.get(lift_id) or isolate(lift_id.removeprefix(UNMATCHED).replace("_", " "))


def title_of(name: str) -> str:
    """A lift's name with a capital, without the mark of a name that matched no exercise."""
    text = isolate(name.removeprefix(UNMATCHED))
    return text[:1].upper() + text[1:]


def sort_key(name: str) -> str:
    """Where a name stands among others: capitals and marked letters beside their plain ones."""
    letters = unicodedata.normalize("NFKD", name.casefold())
    return "".join(one for one in letters if not unicodedata.combining(one))

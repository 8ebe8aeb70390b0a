"""Loads told in plates, where nothing says whether on each side: how many, and what one weighs."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from pipeline.core.errors import SettingsError
from pipeline.sources.draft_records import Notebook, Question

_PLATES = re.compile(r"\bplates?\b", re.IGNORECASE)
_SIDE = re.compile(r"\b(?:sides?|seite|c[oô]t[eé]|lado|lato|kant|sida)\b", re.IGNORECASE)
_APART = re.compile(r"[,;\n]")
COUNTS = ("per side", "in all")
PLATE_KG, BAR_KG, MOST_KG = 20.0, 20.0, 50.0


@dataclass(frozen=True)
class PlatesFinding:
    """What ``[load]`` of the map says of plates; ``count`` is None until it is answered."""

    count: str | None
    plate_kg: float | None
    bar_kg: float | None


def find_plates(texts: Iterable[str], book: Notebook) -> PlatesFinding | None:
    """How plates count; asked where some text has plates and no side. None: there are none such."""
    found = [
        piece.strip()
        for text in texts
        for piece in _APART.split(text)
        if _PLATES.search(piece) and not _SIDE.search(piece)
    ]
    if not found:
        return None
    times = "once" if len(found) == 1 else f"{len(found)} times"
    why = (
        f"plates stand {times} without a side, as in {found[0]!r}; until then these sets are set "
        "aside"
    )
    text = "Are plates counted on each side of the bar, or in all?"
    count = book.ask("load.plates", text, COUNTS, why)
    return PlatesFinding(
        count if book.answer_to("load.plates") else None,
        _kilograms("load.plate_kg", "What does a plate weigh, in kg?", PLATE_KG, book),
        _kilograms("load.bar_kg", "What does the bar weigh, in kg?", BAR_KG, book),
    )


def _kilograms(key: str, text: str, usual: float, book: Notebook) -> float | None:
    """The kilograms answered; None, and a question, where there is no answer."""
    answer = book.answer_to(key)
    if answer is None:
        why = f"{usual:g} kg is usual, and taken until then" + (
            " (45 lb in pounds)" if key == "load.plate_kg" else ""
        )
        book.questions.append(Question(key, text, (), why))
        return None
    if not re.fullmatch(r"\d{1,2}(?:\.\d+)?", answer) or not 0 < float(answer) <= MOST_KG:
        raise SettingsError(f"answer {key} = {answer!r}: write kilograms, above 0 to {MOST_KG:g}")
    book.note(f"{key} = {answer}: as answered.")
    return float(answer)

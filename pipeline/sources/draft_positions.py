"""What the numbers of shorthand look like by their place: evidence for their order."""

import re
from collections.abc import Mapping

FEWEST = 3  # entries from which a sentence is worth while
STEP = 2.5  # loads mostly go up in steps of this, in kilograms as in pounds
PLACES = ("first", "second", "third")
_NUMBER = r"(\d+(?:[.,]\d+)?)"
_BETWEEN = r"\s*(?:kgs?|lbs?)?\s*(?:[x×*/@]|\s)\s*"
_AROUND = (r"(?<![\d.,x×*/@+-])", r"(?![\d.,]|\s*[x×*/@+-]\s*\d)")


def tell_places(texts: Mapping[str, int]) -> str | None:
    """A sentence on entries of three numbers, or of two where hardly any has three; None if few.

    Parameters
    ----------
    texts : how often each shorthand text stands in the file.
    """
    for size, word in ((3, "three"), (2, "two")):
        rows = _rows(texts, size)
        if len(rows) >= FEWEST:
            told = "; ".join(_tell_place(PLACES[i], [row[i] for row in rows]) for i in range(size))
            return f"Of {len(rows)} entries of {word} numbers {told}."
    return None


def _rows(texts: Mapping[str, int], size: int) -> list[tuple[float, ...]]:
    pattern = re.compile(_AROUND[0] + _BETWEEN.join([_NUMBER] * size) + _AROUND[1], re.IGNORECASE)
    return [
        tuple(float(number.replace(",", ".")) for number in match.groups())
        for text, count in texts.items()
        for match in pattern.finditer(text)
        for _ in range(count)
    ]


def _tell_place(name: str, numbers: list[float]) -> str:
    steps = sum(number % STEP == 0 for number in numbers)
    span = f"the {name} is {min(numbers):g} to {max(numbers):g}"
    return f"{span} (a multiple of {STEP:g} in {steps})" if 2 * steps > len(numbers) else span

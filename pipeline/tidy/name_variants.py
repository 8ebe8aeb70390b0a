"""A written name with and without the angle, the position and the side that stand in it."""

from dataclasses import dataclass

from pipeline.tidy.name_words import AFTER_POSITION, POSITIONS, SIDES

Words = tuple[str, ...]
STEEPEST_DEG = 90


@dataclass(frozen=True)
class Variant:
    """Words to look up, and what was taken out of the name to get them.

    ``stripped`` counts the kinds of words taken out. ``position_word`` is the word that gave
    ``position``.
    """

    words: Words
    stripped: int = 0
    angle_deg: float | None = None
    side: str | None = None
    position: str | None = None
    position_word: str | None = None


def list_variants(words: Words) -> list[Variant]:
    """The name whole, then without side and angle, then without its position too."""
    without_side, side = _take_side(words)
    without_angle, angle = _take_angle(without_side)
    bare, word = _take_position(without_angle)
    position = POSITIONS.get(word or "")
    variants = [Variant(words, position=position, position_word=word)]
    taken = (side is not None) + (angle is not None)
    if taken:
        variants.append(Variant(without_angle, taken, angle, side, position, word))
    if word is not None:
        variants.append(Variant(bare, taken + 1, angle, side, position, word))
    return variants


def _take_side(words: Words) -> tuple[Words, str | None]:
    """``left``, ``right`` and their letters, at either end of the name."""
    if len(words) > 1 and words[-1] in SIDES:
        return words[:-1], SIDES[words[-1]]
    if len(words) > 1 and words[0] in SIDES:
        return words[1:], SIDES[words[0]]
    return words, None


def _take_angle(words: Words) -> tuple[Words, float | None]:
    """One number that can be a bench angle, and ``flat``; below the level after ``decline``.

    A number without the word degrees is taken for an angle in steps of five.
    """
    numbers = [i for i, word in enumerate(words) if word[0].isdigit()]
    if not numbers and "flat" in words:
        return tuple(word for word in words if word != "flat"), 0.0
    if len(numbers) != 1:
        return words, None
    (at,) = numbers
    angle = float(words[at].replace(",", "."))
    says_degrees = words[at + 1 : at + 2] == ("degree",)
    if angle > STEEPEST_DEG or not (says_degrees or (angle % 5 == 0 and angle > 0)):
        return words, None
    rest = words[:at] + words[at + 1 + says_degrees :]
    return rest, -angle if "decline" in words else angle


def _take_position(words: Words) -> tuple[Words, str | None]:
    at = next((i for i, word in enumerate(words) if word in POSITIONS), None)
    if at is None:
        return words, None
    end = at + 1 + (words[at + 1 : at + 2] != () and words[at + 1] in AFTER_POSITION)
    return words[:at] + words[end:], words[at]

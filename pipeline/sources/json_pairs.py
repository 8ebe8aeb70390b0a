"""Names and values of a JSON object as a mapping; a name that stands twice is a fault."""

from typing import Any


class TwiceError(ValueError):
    """``key`` stands twice in one object: which of the two is meant cannot be known."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(f"the name {key[:60]!r} stands twice in one object")


def make_object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """The mapping of these pairs, for the decoder of the standard library.

    Raises
    ------
    TwiceError
        naming the first key that comes again.
    """
    found = dict(pairs)
    if len(found) < len(pairs):
        seen: set[str] = set()
        for key, _ in pairs:
            if key in seen:
                raise TwiceError(key)
            seen.add(key)
    return found

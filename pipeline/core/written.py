"""What stands in a cell or line and says nothing: signs of an empty cell, marks of direction."""

# A cell that holds only one of these says nothing.
NOTHING = ("", "-", "--", "---", "–", "—", "n/a", "N/A")
# Invisible marks of the direction of reading, which some keyboards and programs put before numbers.
DIRECTION_MARKS = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_GONE = dict.fromkeys(map(ord, DIRECTION_MARKS))


def without_marks(text: str) -> str:
    """``text`` without its marks of direction."""
    return text.translate(_GONE)


def one_spaced(label: str) -> str:
    """A label as the reader of tables gives it: without spare blanks."""
    return " ".join(label.split())

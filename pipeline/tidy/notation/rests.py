"""Set notation: rests between sets, which are told in seconds and minutes like work."""

import re

_WORDS = r"(?:rests?|pauses?|breaks?|between sets|pausen|repos|descanso|rust|vila)"
_NUMBER = r"\d+(?:[.,:]\d+)?(?:\s*[-–]\s*\d+)?\s*"
_UNIT = r"(?:seconds?|secs?|sek|s|minutes?|mins?|m|['\"′″])(?![^\W\d_])"
# "90s rest", "2 min of rest", "rest 90s", "rest: 2-3 min"; but "rest pause 3" is a set
REST = re.compile(
    rf"{_NUMBER}{_UNIT}\s*(?:of\s+)?{_WORDS}\b(?!\s*-?\s*pause)(?:\s+between\s+sets)?"
    rf"|\b(?:rest(?:ed|s)?|repos|descanso|rust|vila)\b\s*(?:of|for|:)?\s*{_NUMBER}(?:{_UNIT}|(?![^\W\d_]))(?!\s*[x×*@])",
    re.IGNORECASE,
)

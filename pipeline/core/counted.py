"""What is counted, as one is told: "1 trained week", "8 trained weeks".

Sentences name what they count in the plural ("weeks with this lift"); of one alone the noun stands
in the singular. Only the nouns listed here are known; other words stay as they are.
"""

import re

# The one home of what English sentences count.
_ONE = {
    "answers": "answer",
    "blocks": "block",
    "clusters": "cluster",
    "comparisons": "comparison",
    "days": "day",
    "deloads": "deload",
    "distances": "distance",
    "drops": "drop",
    "exercises": "exercise",
    "fits": "fit",
    "forecasts": "forecast",
    "expectations": "expectation",
    "half-years": "half-year",
    "layoffs": "layoff",
    "levels": "level",
    "lifters": "lifter",
    "lifts": "lift",
    "minutes": "minute",
    "months": "month",
    "muscles": "muscle",
    "people": "person",
    "periods": "period",
    "phases": "phase",
    "points": "point",
    "predictions": "prediction",
    "quarters": "quarter",
    "rests": "rest",
    "sessions": "session",
    "sets": "set",
    "tests": "test",
    "units": "unit",
    "values": "value",
    "variants": "variant",
    "weeks": "week",
    "years": "year",
}
_MANY = {one: many for many, one in _ONE.items()}
# The noun stands first or behind one or two words that describe it, never behind one of these:
# "with a level at two times" counts no times, nor "point between blocks" blocks.
_LEADS = r"(?:(?!(?:with|between|of|at|off|a|in|that|whose) )[\w-]+ ){0,2}"
_NOUNS = re.compile(rf"({_LEADS})({'|'.join(_ONE)})(?![\w'-])")
_NOUN = re.compile(rf"({_LEADS})({'|'.join(_MANY)})(?![\w'-])")


def say_count(number: float, of_what: str) -> str:
    """A number with what it counts (plural): 1 trained week, 8 trained weeks."""
    said = f"{number:g}"
    return f"{said} {as_counted(number, of_what)}"


def as_counted(number: float, of_what: str) -> str:
    """``of_what`` (plural) as it stands behind ``number``."""
    return _turned(of_what, _NOUNS, _ONE) if number == 1 else of_what


def as_many(of_what: str) -> str:
    """What was counted once, in the plural again; what is plural already stays."""
    if _NOUNS.match(of_what):
        return of_what
    return _turned(of_what, _NOUN, _MANY)


def _turned(text: str, noun: re.Pattern[str], other: dict[str, str]) -> str:
    found = noun.match(text)
    if found is None:
        return text
    return f"{found[1]}{other[found[2]]}{text[found.end() :]}"

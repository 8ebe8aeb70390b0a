"""Names and notes in scripts that are written from right to left, kept from turning a sentence.

Beside digits and brackets a name in Hebrew or Arabic draws these into its own order, so that the
ends of an interval change places. Between the marks of the Unicode bidirectional algorithm (UAX 9,
from memory) that isolate a stretch of text, it orders nothing but itself. The marks are text, so
they hold in sentences, attributes and drawings alike.
"""

import re

FIRST_STRONG, POP = "\u2068", "\u2069"
# Strong letters of right-to-left scripts: Hebrew to Arabic Extended, their presentation forms, and
# those beyond the basic plane.
_RIGHT = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
RIGHT = f"[{_RIGHT}]"
# From the first such letter to the last: between them no letter of another script, and brackets
# only in pairs around such letters.
_BETWEEN = rf"[^A-Za-z\u00aa-\u02af\u0370-\u058f\n(){FIRST_STRONG}{POP}]"
_PAIR = rf"\({_BETWEEN}*?{RIGHT}{_BETWEEN}*?\)"
_RUN = re.compile(rf"{RIGHT}(?:(?:{_BETWEEN}|{_PAIR})*(?:{RIGHT}|{_PAIR}))?")


def isolate(text: str) -> str:
    """``text`` with every stretch of right-to-left writing between marks that isolate it."""
    if FIRST_STRONG in text:
        return text
    return _RUN.sub(lambda found: f"{FIRST_STRONG}{found.group()}{POP}", text)

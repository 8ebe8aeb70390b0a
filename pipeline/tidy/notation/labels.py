"""Set notation: the numbers that only count the sets (``Set 1: 60x8``, ``S1 60x8 S2 65x6``)."""

import re

_WORDS = "set|satz|serie|série|s"
_FIRST = re.compile(rf"\s*(?:(?:{_WORDS})\s?#?|#)(\d{{1,2}})\s*[:.)\-]?\s+(?=\S)", re.IGNORECASE)
_FURTHER = re.compile(
    rf"(?<=[\s,;|/])(?:(?:{_WORDS})\s?#?|#)(\d{{1,2}})\s*[:.)\-]?\s+(?=\S)", re.IGNORECASE
)
_PLAIN_FIRST = re.compile(r"\s*(\d{1,2})\)\s*(?=\S)")
_PLAIN_FURTHER = re.compile(r"(?<=[\s,;|/])(\d{1,2})\)\s*(?=\S)")


def blank_labels(text: str) -> str:
    """``text`` with such numbers blanked, of the same length; a ``;`` parts entries.

    They count on by one from the label with which the text begins; any other number stays.
    """
    for first, further in ((_FIRST, _FURTHER), (_PLAIN_FIRST, _PLAIN_FURTHER)):
        found = first.match(text)
        if found is None:
            continue
        pieces, done = [_blank(found, "")], found.end()
        count = int(found[1])
        for label in further.finditer(text, done):
            if int(label[1]) != count + 1:
                continue
            count += 1
            between = text[done : label.start()]
            is_apart = between.rstrip(" ")[-1:] in (",", ";", "|", "\n")
            pieces += [between, _blank(label, "" if is_apart else ";")]
            done = label.end()
        return "".join([*pieces, text[done:]])
    return text


def _blank(label: re.Match[str], sign: str) -> str:
    return sign + "".join("\n" if char == "\n" else " " for char in label[0][len(sign) :])

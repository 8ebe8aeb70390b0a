"""Numbers, flags and sides as people write them. Each reader takes one text or raises CellError."""

import re

from pipeline.tidy.cells import CellError

MINUS = "-−–"
MOST_DIGITS = 12
_DECIMAL = re.compile(rf"([{MINUS}+]?)\s*(\d*)(?:([.,])(\d+))?")
_THOUSANDS = re.compile(r"\d{1,3}(?:[.,' ]\d{3})+")
_RANGE = re.compile(r"(\d+)\s*(?:[-–—]|to)\s*(\d+)")
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_MEASURE = re.compile(r"([\d.,]+)\s*([a-z\"']*)\.?")
_RESERVE = re.compile(r"(?:@|rpe|rir)?\s*([\d.,]+)")

YES = frozenset(
    ("x", "y", "yes", "true", "1", "j", "ja", "o", "oui", "s", "si", "sí", "f", "failure", "fail")
)
NO = frozenset(("n", "no", "false", "0", "nein", "non"))
WARM = frozenset(("w", "wu", "warm", "warmup", "warm-up", "warm-ups"))
WORKING = frozenset(("work", "working", "normal", "straight"))
SIDES = {
    **dict.fromkeys(("l", "left", "li", "links", "g", "gauche", "izq"), "left"),
    **dict.fromkeys(("r", "right", "re", "rechts", "d", "droite", "der"), "right"),
    **dict.fromkeys(("b", "both", "lr", "l+r", "l/r", "beide", "beidseitig"), "both"),
}
SECONDS = {
    "": 1.0,
    "s": 1.0,
    "sec": 1.0,
    "secs": 1.0,
    "seconds": 1.0,
    '"': 1.0,
    "min": 60.0,
    "mins": 60.0,
    "m": 60.0,
}
METRES = {"": 1.0, "m": 1.0, "metres": 1.0, "meters": 1.0, "km": 1000.0}


def read_decimal(text: str, decimal: str) -> float:
    """A number with the decimal sign of the map; the other sign where it cannot mean thousands.

    Raises
    ------
    CellError
        when it is no number, or "1.250" could be both.
    """
    match = _DECIMAL.fullmatch(text.strip())
    if not match or not (match[2] or match[4]):
        raise CellError("not a number", f"write a number with '{decimal}' as the decimal sign")
    sign, whole, point, part = match.groups()
    if len(whole) > MOST_DIGITS:
        raise CellError("number too long", f"{MOST_DIGITS} digits are read")
    if point and point != decimal and len(part) > 2:
        told = f"'{point}' may mean thousands where the decimal sign is '{decimal}'"
        raise CellError(
            "number that can be read in two ways", f"{told}; write it without '{point}'"
        )
    value = float(f"{whole or 0}.{part or 0}")
    return -value if sign and sign in MINUS else value


def read_large(text: str, decimal: str) -> float:
    """As ``read_decimal``, with groups of three digits allowed: 10,543."""
    if _THOUSANDS.fullmatch(text.strip()):
        text = re.sub(r"\D", "", text)
    return read_decimal(text, decimal)


def read_reps(text: str) -> dict[str, object]:
    """Repetitions done, or a planned range: ``reps`` and ``reps_target``."""
    plain = text.strip().lower().removesuffix("reps").removesuffix("x").strip()
    if match := _RANGE.fullmatch(plain):
        return {"reps_target": f"{match[1]}-{match[2]}"}
    value = _whole(plain, "repetitions")
    return {"reps": int(value)}


def read_count(text: str) -> dict[str, object]:
    """The number of a set or segment: ``count``."""
    value = _whole(text.strip().lstrip("#"), "set number")
    if not 1 <= value <= 200:
        raise CellError("set number not understood", "1 to 200 is read")
    return {"count": int(value)}


def read_rir(text: str, decimal: str) -> dict[str, object]:
    """Repetitions in reserve; of a range such as 1-2 the middle."""
    return {"rir": _reserve(text, decimal)}


def read_rpe(text: str, decimal: str) -> dict[str, object]:
    """Repetitions in reserve from RPE: 10 - RPE (Zourdos et al. 2016, read); of 7-8 the middle."""
    value = _reserve(text, decimal)
    if not 1 <= value <= 10:
        raise CellError("RPE out of range", "1 to 10 is read; correct it in corrections.toml")
    return {"rir_of_rpe": 10.0 - value}


def read_flag(text: str) -> dict[str, object]:
    """Yes or no: ``flag``."""
    word = text.strip().lower().rstrip(".")
    if word not in YES | NO:
        raise CellError("neither yes nor no", "write x or leave it empty")
    return {"flag": word in YES}


def read_warmup(text: str) -> dict[str, object]:
    """A warm-up mark: ``flag``."""
    word = text.strip().lower().rstrip(".")
    if word in WARM or word in WORKING:
        return {"flag": word in WARM}
    return read_flag(text)


def read_side(text: str) -> dict[str, object]:
    """left, right or both: ``side``."""
    side = SIDES.get(text.strip().lower().rstrip("."))
    if side is None:
        raise CellError("side not understood", "write left, right or both")
    return {"side": side}


def read_angle(text: str, decimal: str) -> dict[str, object]:
    """Bench angle in degrees: ``angle_deg``."""
    plain = re.sub(r"\s*(?:°|deg|degrees)\.?$", "", text.strip().lower())
    value = read_decimal(plain, decimal)
    return {"angle_deg": value}


def read_duration(text: str, decimal: str) -> dict[str, object]:
    """Seconds from 45, 45 s, 1:30 or 2 min: ``duration_s``."""
    if match := _CLOCK.fullmatch(text.strip()):
        value = int(match[1]) * 60.0 + int(match[2])
    else:
        value = _measure(text, decimal, SECONDS, "duration")
    return {"duration_s": value}


def read_distance(text: str, decimal: str) -> dict[str, object]:
    """Metres from 20, 20 m or 0.4 km: ``distance_m``."""
    value = _measure(text, decimal, METRES, "distance")
    return {"distance_m": value}


def _whole(text: str, what: str) -> float:
    try:
        value = read_decimal(text, ".")
    except CellError:
        raise CellError(f"{what} not understood", "write a whole number") from None
    if value != int(value):
        raise CellError(f"{what} not whole", "write a whole number")
    return value


def _reserve(text: str, decimal: str) -> float:
    if match := _RANGE.fullmatch(text.strip()):
        return (int(match[1]) + int(match[2])) / 2
    match = _RESERVE.fullmatch(text.strip().lower())
    if not match:
        raise CellError("reserve not understood", "write a number such as 2 or 8.5")
    return read_decimal(match[1], decimal)


def _measure(text: str, decimal: str, units: dict[str, float], what: str) -> float:
    match = _MEASURE.fullmatch(text.strip().lower())
    if not match:
        raise CellError(
            f"{what} not understood", f"write a number with {', '.join(filter(None, units))}"
        )
    factor = units.get(match[2])
    if factor is None:
        raise CellError("unknown unit", f"of {what}, {', '.join(filter(None, units))} are read")
    return read_decimal(match[1], decimal) * factor

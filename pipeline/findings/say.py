"""Numbers in sentences: one rounding for the finding and for what is said of it.

True minus, a sign on every change, two decimals where an end lies within 0.05 of zero.
"""

MINUS = "\u2212"


def say_number(value: float, decimals: int = 1) -> str:
    """A plain number with a true minus."""
    return f"{value:.{decimals}f}".replace("-", MINUS)


def say_change(value: float, decimals: int = 1) -> str:
    """A change, always with its sign."""
    return f"{value:+.{decimals}f}".replace("-", MINUS)


def say_interval(low: float, high: float, decimals: int = 1) -> str:
    """An interval of changes: (+0.6 to +2.0)."""
    if min(abs(low), abs(high)) < 0.05:
        decimals = max(decimals, 2)
    return f"({say_change(low, decimals)} to {say_change(high, decimals)})"


def say_range(low: float, high: float) -> str:
    """A range of counts: 15 to 22."""
    return f"{round(low)} to {round(high)}"


def say_share(share: float) -> str:
    """A share of one in whole per cent, with the space that pages write: 98 %."""
    return f"{100 * share:.0f} %"

"""Round values for axes."""

import math

import polars as pl

from dashboards.numbers import figure, signed

_STEPS = (1.0, 2.0, 5.0, 10.0)


def round_values(low: float, high: float, about: int = 5) -> list[float]:
    """Round values inside low..high, about that many: steps of 1, 2 or 5 times a power of ten."""
    raw = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    steps = [power * one for one in _STEPS]
    at = next(i for i, step in enumerate(steps) if raw <= step * 1.001)
    # A wide step may pass over a short span; the next smaller one is under half of it.
    return _multiples(low, high, steps[at]) or _multiples(low, high, steps[at - 1])


def _multiples(low: float, high: float, step: float) -> list[float]:
    """Whole multiples of a step inside low..high."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(i * step, 10) + 0.0 for i in range(first, last + 1)]


def value_ticks(low: float, high: float, about: int = 5) -> pl.DataFrame:
    """Ticks of a change: v, label with its sign; zero without."""
    values = round_values(low, high, about)
    decimals = max((_decimals(value) for value in values), default=0)
    labels = [signed(value, decimals) if value else "0" for value in values]
    return pl.DataFrame(
        {"v": values, "label": labels}, schema={"v": pl.Float64, "label": pl.String}
    )


def place_ticks(low: float, high: float, about: int = 7) -> pl.DataFrame:
    """Ticks of a count: v, label."""
    values = round_values(low, high, about)
    return pl.DataFrame(
        {"v": values, "label": [figure(value) for value in values]},
        schema={"v": pl.Float64, "label": pl.String},
    )


def _decimals(value: float) -> int:
    text = f"{value:.4f}".rstrip("0")
    return len(text.split(".")[1])

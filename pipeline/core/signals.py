"""The signals, each with its unit and plausible limits: one table for readers and checks."""

from dataclasses import dataclass

# Single intervals between heartbeats: no signal, a day's RMSSD and SDNN are made of them.
RR_INTERVAL = "rr_interval_ms"


@dataclass(frozen=True)
class SignalLimits:
    """Lowest and highest plausible value of a signal, both allowed, and its unit."""

    low: float
    high: float
    unit: str


# Outside these lies a slip, or a device that measured nothing. Common practice, no published
# source.
BODY_WEIGHT = "body_weight_kg"
_LIMITS = {
    "sleep_min": SignalLimits(60, 1200, "min"),
    "resting_hr_bpm": SignalLimits(25, 140, "bpm"),
    "hrv_rmssd_ms": SignalLimits(1, 400, "ms"),
    "hrv_sdnn_ms": SignalLimits(1, 500, "ms"),
    "steps": SignalLimits(0, 150_000, "steps"),
    BODY_WEIGHT: SignalLimits(25, 350, "kg"),
}
# Signals of any body site or muscle, by how their names start.
_FAMILIES = {
    "girth_": SignalLimits(10, 250, "cm"),
    "rating_": SignalLimits(0, 100, "points"),
}


def limits_of(signal: str) -> SignalLimits | None:
    """Limits of a signal such as ``sleep_min`` or ``girth_thigh_cm``; None for an unknown one."""
    family = (limits for start, limits in _FAMILIES.items() if signal.startswith(start))
    return _LIMITS.get(signal) or next(family, None)


def known_limits(signal: str) -> SignalLimits:
    """As ``limits_of``, for a signal whose name was checked.

    Raises
    ------
    KeyError
        when there is no such signal.
    """
    limits = limits_of(signal)
    if limits is None:
        raise KeyError(signal)
    return limits

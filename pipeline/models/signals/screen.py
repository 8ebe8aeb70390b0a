"""All signals of a record as one family of tests.

Question: which signals go with the next sessions' strength beyond what as many tries at nothing
would show? Every signal is tested twice, as the last night and as the mean of the last three
(published trials disagree on one night, and find more after several short ones: Knowles et al.
2018, read). All tests are one family: ``family.adjust_p_values``.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.core.errors import Refusal
from pipeline.models.family import adjust_p_values
from pipeline.models.signals.days import DailySignal
from pipeline.models.signals.effect import Bouts, SignalEffect, fit_signal_effect

NIGHTS = (1, 3)
FALSE_SHARE = 0.05
# What stress, illness or travel move for weeks shows in these two; their slow means are held still.
HELD = ("sleep_min", "resting_hr_bpm")


@dataclass(frozen=True)
class ScreenedSignal:
    """One test of the family: signal, nights averaged, effect or refusal, adjusted p-value (nan
    where refused) and whether it stands after the correction."""

    name: str
    nights: int
    effect: SignalEffect | Refusal
    p_adjusted: float

    @property
    def is_hit(self) -> bool:
        """It stands among all that were tested."""
        return bool(self.p_adjusted <= FALSE_SHARE)


def held_of(signals: Mapping[str, DailySignal]) -> tuple[DailySignal, ...]:
    """The signals whose slow means every fit holds still, as far as there are any."""
    return tuple(signals[name] for name in HELD if name in signals)


def screen_signals(bouts: Bouts, signals: Mapping[str, DailySignal]) -> tuple[ScreenedSignal, ...]:
    """Every signal over one night and over three, corrected for the whole family.

    Parameters
    ----------
    bouts : lift-days from sets with recorded reserve, easy weeks left out.
    signals : daily readings by name.
    """
    held = held_of(signals)
    tests = [(name, nights) for name in signals for nights in NIGHTS]
    effects = [fit_signal_effect(bouts, signals[name], held, nights) for name, nights in tests]
    adjusted = adjust_p_values([_p_of(effect) for effect in effects])
    return tuple(
        ScreenedSignal(name, nights, effect, float(p))
        for (name, nights), effect, p in zip(tests, effects, adjusted, strict=True)
    )


def _p_of(effect: SignalEffect | Refusal) -> float:
    return effect.p_value if isinstance(effect, SignalEffect) else float("nan")

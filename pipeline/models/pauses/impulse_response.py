"""What textbook constants say of training done: the two-component impulse response.

Question: what course of performance would the published constants draw after this training? It is
an outline to stand beside a lifter's own course, nothing more: the constants are fixed and never
fitted, because in practice they cannot be told apart (Hellard et al. 2006, read: 38 days (17 to
59) and 19 days (6 to 32) in nine swimmers, highly correlated, "interpretation worthless").

Formula: p(n) = p0 + k1 sum_{i<n} w_i exp(-(n-i)/t1) - k2 sum_{i<n} w_i exp(-(n-i)/t2), a load w_i
on day i, days counted from it (Banister, Calvert, Savage, Bach. Aust J Sports Med 1975;7:57-61;
Morton, Fitz-Clarke, Banister. J Appl Physiol 1990;69:1171-1177: form read, citations memory).
Constants: t1 = 45 and t2 = 15 days, k1 = 1, k2 = 2 (Morton et al. 1990, memory).
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats, Ints

DAYS_PER_WEEK = 7
# Loads further back count for less than a ten-thousandth.
SETTLED_DAYS = 450


@dataclass(frozen=True)
class ImpulseConstants:
    """Gains (no unit) and time constants (days) of the slow gain and of the fast loss."""

    gain: float = 1.0
    loss: float = 2.0
    gain_days: float = 45.0
    loss_days: float = 15.0

    @property
    def days_to_old_level(self) -> float:
        """Days after one load until performance is back where it was: t_n."""
        shared = self.gain_days * self.loss_days / (self.gain_days - self.loss_days)
        return shared * float(np.log(self.loss / self.gain))


TEXTBOOK = ImpulseConstants()


@dataclass(frozen=True)
class ImpulseResponse:
    """The course and its two parts, one element per day: performance = start + gain - loss."""

    performance: Floats
    gain: Floats
    loss: Floats


def respond_to_loads(
    loads: Floats, start: float = 0.0, constants: ImpulseConstants = TEXTBOOK
) -> ImpulseResponse:
    """The course after these loads.

    Parameters
    ----------
    loads : (n_days,) load of each day, any unit; a day's load speaks from the next day on.
    start : performance without any training, in the unit of loads.

    Returns
    -------
    ImpulseResponse with arrays (n_days,). ``gain`` and ``loss`` carry their factors k1 and k2.
    """
    gain, loss = (
        factor * _decay(np.asarray(loads, dtype=np.float64), days)
        for factor, days in (
            (constants.gain, constants.gain_days),
            (constants.loss, constants.loss_days),
        )
    )
    return ImpulseResponse(start + gain - loss, gain, loss)


def _decay(loads: Floats, days: float) -> Floats:
    """Sum over earlier days of load times exp(-distance / days)."""
    kept, total = float(np.exp(-1.0 / days)), 0.0
    course = np.empty(loads.size)
    for day, load in enumerate(loads):
        course[day] = total
        total = kept * (total + load)
    return course


def outline_deload(deload_days: int, week_offsets: Floats | Ints) -> Floats:
    """Shape of the textbook course around one deload in steady training; (k,), largest size 1.

    Parameters
    ----------
    deload_days : its length, days; by how much training was cut only scales the course, so it is
        taken out.
    week_offsets : (k,) weeks from the deload's week, each read in its middle.

    Returns
    -------
    Change against the same training without the deload, over its largest absolute value: an
    outline. Its height says nothing.
    """
    last = round(DAYS_PER_WEEK * float(np.max(week_offsets))) + 2 * DAYS_PER_WEEK
    loads = np.ones(SETTLED_DAYS + max(last, deload_days))
    eased = loads.copy()
    eased[SETTLED_DAYS : SETTLED_DAYS + deload_days] = 0.0
    whole, cut = (respond_to_loads(one).performance for one in (loads, eased))
    middle = SETTLED_DAYS + (np.asarray(week_offsets) * DAYS_PER_WEEK).astype(int) + 3
    change = (cut - whole)[middle]
    return change / max(float(np.max(np.abs(change))), 1e-12)

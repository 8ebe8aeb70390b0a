"""How a forecast is read once its day has come: against the level fitted then.

Question: how far may the level that will be fitted for the day ahead lie from the forecast?
In: ``Forecast`` and the standard error of its last level in logs. Out: the same forecast with the
interval of the later fit.

Model: log(level fitted later / forecast) is normal with variance (REVISED x se)^2 + WANDER^2 x
years: the last level is revised by what comes after it, and the course goes on. A later fit shares
most errors of the earlier one (habits of repetitions, the height of a lift's curve), so this
interval is narrower than that of the true level; the true one is never read.

Assumptions: both numbers were chosen on 124 simulated careers and held on 40 others
(``python -m tests.recovery.measure_predictions 40 1200``; which were which stands there); no
published source. Refuses nothing.
"""

from dataclasses import replace

import numpy as np

from pipeline.models.forecast.predict import Forecast
from pipeline.models.weeks import normal_quantile

REVISED = 0.8  # share of the last level's standard error
WANDER = 0.017  # log per root year


def expect_fitted(made: Forecast, se_log: float) -> Forecast:
    """The forecast with the interval of the level as it will be fitted for that day.

    ``se_log`` : standard error of the last level's course, in logs.
    """
    spread = refit_spread(se_log, made.years_ahead)
    reach = normal_quantile(made.coverage) * spread
    low, high = made.value * np.exp([-reach, reach])
    return replace(made, low=float(low), high=float(high), spread_log=spread)


def refit_spread(se_log: float, years_ahead: float) -> float:
    """Standard deviation, log, of the level fitted later about the forecast."""
    return float(np.hypot(REVISED * se_log, WANDER * np.sqrt(years_ahead)))

"""The planted truth of every finding on a simulated career: what the estimate should have been."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import polars as pl

from pipeline.models.arrays import Floats
from pipeline.models.simulate import Career
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.answered import THRESHOLDS
from tests.recovery.settled import Settled

Row = Mapping[str, Any]

# Planted sizes below which a sign says nothing, in each question's own unit (assumptions).
TRIFLES: dict[str, float] = {
    "lift_slope": 0.5,
    "muscle_slope": 0.5,
    "supported_sets": 0.5,
    "deload_effect": 0.2,
    "layoff_loss": 0.1,
    "signal_effect": 0.2,
    "sets_trend": 0.1,
    "forecast": 0.5,
}
WEEKS_BEFORE, WEEKS_BACK = 5, 2


@dataclass(frozen=True)
class Planted:
    """Truth of one career, asked for with the rows of table ``finding``."""

    career: Career
    settled: Settled

    def judge(self, row: Row) -> tuple[float, float, bool]:
        """(planted, found, interval holds): both less what the finding is held against: the
        published average of weekly sets, no change for a forecast (in %), else zero. Planted is
        nan where the simulator plants nothing to compare, found where the finding is a refusal."""
        if row["question"] == "forecast":
            return self._judge_forecast(row)
        truth, against = self._truth_of(row), 0.0
        if row["question"] == "supported_sets":
            known = row["prior_estimate"]
            against = prior_centre(self.settled, row["subject"]) if known is None else known
        if row["estimate"] is None or row["low"] is None:
            return truth - against, float("nan"), False
        return truth - against, row["estimate"] - against, row["low"] <= truth <= row["high"]

    def _truth_of(self, row: Row) -> float:
        ask = {
            "lift_slope": self._slope,
            "muscle_slope": self._slope,
            "supported_sets": self._best_sets,
            "deload_effect": self._deload_effect,
            "layoff_loss": self._layoff_loss,
            "signal_effect": self._signal_effect,
            "sets_trend": self._sets_trend,
        }
        return ask[row["question"]](row)

    def _judge_forecast(self, row: Row) -> tuple[float, float, bool]:
        """A year from the last training week on; lifts are told in kg, muscles in %."""
        if row["estimate"] is None:
            return float("nan"), float("nan"), False
        level = self._level_of(row["subject"])
        now, then = self.week_of(row["from_date"]), self.week_of(row["to_date"])
        change = 100.0 * float(np.expm1(level[then] - level[now]))
        if row["unit"] == "%":
            return change, row["estimate"], row["low"] <= change <= row["high"]
        found = 100.0 * (row["estimate"] / self._fitted_kg(row) - 1.0)
        return change, found, row["low"] <= float(np.exp(level[then])) <= row["high"]

    def _fitted_kg(self, row: Row) -> float:
        """The fitted level of a lift in the week that its forecast starts from."""
        levels = self.settled.tables["model_lift_level"]
        own = levels.filter(
            (pl.col("exercise_id") == row["subject"].split(":", 1)[1])
            & (pl.col("week_start") == row["from_date"])
        )
        return float(np.exp(own["level_log"].item()))

    def week_of(self, day: date) -> int:
        """Week of the career."""
        return (day - self.career.start).days // 7

    def _weeks_of(self, row: Row) -> tuple[int, int]:
        """First and last week of a span of time; of a refusal by its ages, else the last years."""
        if row["from_date"] is not None:
            return self.week_of(row["from_date"]), self.week_of(row["to_date"])
        last = self.week_of(self.settled.record.last_day)
        if row["age_from"] is not None:
            begun = self.career.training_age_at_start
            ages = np.array([row["age_from"], row["age_to"]])
            first, end = np.round((ages - begun) * WEEKS_PER_YEAR).astype(int)
            return max(int(first), 0), min(int(end), last)
        length = round(THRESHOLDS["slope_window_years"] * WEEKS_PER_YEAR)
        return (0, min(length, last)) if row["window"] == "first" else (max(last - length, 0), last)

    def _slope(self, row: Row) -> float:
        level = self._level_of(row["subject"])
        first, last = self._weeks_of(row)
        if last <= first:
            return float("nan")
        return float(100.0 * (level[last] - level[first]) / (last - first) * WEEKS_PER_YEAR)

    def _level_of(self, subject: str) -> Floats:
        kind, name = subject.split(":", 1)
        if kind == "muscle":
            return self.career.truth.muscle_index_log[self.career.muscles.index(name)]
        lifts = [one.exercise_id for one in self.career.exercises]
        return self.career.truth.lift_level_log[lifts.index(name)]

    def _best_sets(self, row: Row) -> float:
        best = self.career.truth.best_sets[self.career.muscles.index(row["subject"].split(":")[1])]
        first, last = self._weeks_of(row)
        return float(best[(first + last) // 2])

    def _deload_effect(self, row: Row) -> float:
        return self.career.truth.deload_effect_pct

    def _sets_trend(self, row: Row) -> float:
        best, n = self.career.truth.best_sets, self.career.n_weeks
        return float((best[:, -1] - best[:, 0]).mean() / n * WEEKS_PER_YEAR)

    def _signal_effect(self, row: Row) -> float:
        """Known for one night's sleep where no hidden stress moves nights and sessions alike."""
        is_sleep = row["subject"].startswith("signal:sleep_min@1")
        known = is_sleep and not self.career.truth.has_stress
        return self.career.truth.sleep_effect_pct_per_h if known else float("nan")

    def _layoff_loss(self, row: Row) -> float:
        """Planted change of shown strength by weeks off: a line through zero over the layoffs."""
        layoffs = self.settled.tables["model_layoff"]
        if layoffs.is_empty():
            return float("nan")
        weeks = layoffs["weeks_off"].to_numpy()
        change = np.array([self._change_over(one) for one in layoffs.iter_rows(named=True)])
        return float(np.sum(weeks * change) / np.sum(weeks**2))

    def _change_over(self, layoff: Row) -> float:
        status = self.career.truth.week_status
        start = self.week_of(layoff["start"])
        back = start + int(layoff["weeks_off"])
        shown = 100.0 * self.career.truth.shown_log.mean(axis=0)
        before = np.arange(max(start - WEEKS_BEFORE, 0), start)
        before = before[status[before] == "trained"]
        after = np.arange(back, min(back + WEEKS_BACK, self.career.n_weeks))
        return float(shown[after].mean() - shown[before].mean())


def prior_centre(settled: Settled, subject: str) -> float:
    """Centre of the prior of a muscle whose best sets were refused."""
    muscle = subject.split(":", 1)[1]
    own = settled.tables["ref_prior"].filter(pl.col("muscle_id") == muscle)
    return float(own["centre_sets"][0])

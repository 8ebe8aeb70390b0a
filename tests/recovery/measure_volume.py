"""Scores of the volume response over simulated careers, against METHODS section c.

``python -m tests.recovery.measure_volume 20 [first]``: about 3 s a career. One muscle at a time on
its own prior; pooling over muscles is not part of this model.
"""

import sys

import numpy as np

from pipeline.models.simulate import CareerOptions, simulate_career
from tests.recovery.careers import score_mean, score_rmse
from tests.recovery.volume_cases import VolumeScore, make_case, score_career

AGE_BANDS = ((0, 3), (3, 6), (6, 10), (10, 20))


def column(scores: list[VolumeScore], name: str) -> np.ndarray:
    """One figure of many scores as an array."""
    return np.array([getattr(score, name) for score in scores], dtype=float)


def print_bars(title: str, careers: list[list[VolumeScore]]) -> None:
    """RMSE against the prior alone, share of careers better than it, interval, bias."""
    own = [np.mean(column(one, "error") ** 2) for one in careers]
    prior = [np.mean(column(one, "prior_error") ** 2) for one in careers]
    print(f"{title}: {len(careers)} careers")
    print(" ", score_rmse("RMSE, sets", own))
    print(" ", score_rmse("RMSE of the prior alone", prior))
    ratio = np.sqrt(np.sum(own) / np.sum(prior))
    print(f"  ratio {ratio:.3f} (bar 0.90 right centre, 1.0 wrong centre)")
    print(" ", score_mean("careers better than the prior", np.less(own, prior)))
    print(
        " ", score_mean("90 % interval holds", [column(one, "is_held").mean() for one in careers])
    )
    print(" ", score_mean("bias, sets", [column(one, "error").mean() for one in careers]))
    print(
        " ", score_mean("width over the prior's", [column(one, "gain").mean() for one in careers])
    )


def print_bands(careers: list[list[VolumeScore]], trends: list[str]) -> None:
    """Interval and error by training-age band and by kind of trend."""
    every = [score for one in careers for score in one]
    age, held, error = (column(every, name) for name in ("age", "is_held", "error"))
    for low, high in AGE_BANDS:
        inside = (age >= low) & (age < high)
        if inside.any():
            rmse = np.sqrt(np.mean(error[inside] ** 2))
            print(f"  age {low} to {high}: holds {held[inside].mean():.2f}, RMSE {rmse:.2f}")
    for trend in sorted(set(trends)):
        own = [one for one, kind in zip(careers, trends, strict=True) if kind == trend]
        held = score_mean(f"holds, {trend} tolerance", [column(o, "is_held").mean() for o in own])
        print(" ", held)


def main(n_careers: int, first: int = 0) -> None:
    """Print the bars with right and wrong prior centres."""
    right, high, low, trends, n_asked, n_answered = [], [], [], [], 0, 0
    for seed in range(first, first + n_careers):
        career = simulate_career(seed, CareerOptions())
        cases = {muscle: make_case(career, muscle) for muscle in career.muscles}
        right.append(score_career(career, cases))
        high.append(score_career(career, cases, off_by=3.0))
        low.append(score_career(career, cases, off_by=-3.0))
        trends.append(career.truth.tolerance_trend)
        n_asked += len(cases)
        n_answered += len({score.muscle for score in right[-1]})
    print(f"answered {n_answered / n_asked:.3f} of {n_asked} muscles (bar 0.95)")
    print_bars("prior centre right", right)
    print_bands(right, trends)
    print_bars("prior centre 3 sets too high", high)
    print_bars("prior centre 3 sets too low", low)


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))

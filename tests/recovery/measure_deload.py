"""Scores of deload detection, deload effect and layoff loss, against METHODS section d.

``python -m tests.recovery.measure_deload 20``: about half a second a career.
"""

import sys

import numpy as np

from pipeline.models.simulate import DELOAD_KINDS, Career, CareerOptions, simulate_career
from tests.recovery.careers import score_mean, score_rmse
from tests.recovery.deload_cases import score_detection, score_effect, score_layoffs


def simulate_many(n_careers: int, first: int, **options) -> list[Career]:
    """Careers with consecutive seeds; nights are not needed here."""
    chosen = CareerOptions(with_nights=False, **options)
    return [simulate_career(first + number, chosen) for number in range(n_careers)]


def print_detection(n_careers: int) -> None:
    """Precision and recall over all weeks, by kind of deload."""
    for kind in DELOAD_KINDS:
        seen = [score_detection(one) for one in simulate_many(n_careers, 1000, deload_kind=kind)]
        both, found, true = np.sum(seen, axis=0)
        print(f"  {kind}: precision {both / found:.3f}, recall {both / true:.3f}, {true} deloads")


def print_effect(label: str, careers: list[Career]) -> None:
    """Error, interval, false calls and wrong signs of the effect."""
    scores = [score for score in map(score_effect, careers) if score is not None]
    none = [score.called != 0 for score in scores if score.true == 0]
    some = [score for score in scores if score.true != 0]
    print(f"{label}: answered {len(scores)} of {len(careers)} (bar 0.80)")
    print(" ", score_rmse("RMSE, points (bar 0.55)", [score.error**2 for score in scores]))
    print(" ", score_mean("bias, points (bar 0.15)", [score.error for score in scores]))
    print(" ", score_mean("90 % interval holds", [score.is_held_90 for score in scores]))
    if none:
        print(" ", score_mean("called where none is planted (bar 0.15)", none))
    if some:
        right = [score.called == np.sign(score.true) for score in some]
        wrong = [score.called == -np.sign(score.true) for score in some]
        print(" ", score_mean("called where planted", right))
        print(" ", score_mean("wrong sign (bar 0.02)", wrong))


def print_layoffs(careers: list[Career]) -> None:
    """Error and interval of the loss on return, by length."""
    scores = [score for one in careers for score in score_layoffs(one)]
    for low, high in ((2, 3), (4, 6), (7, 16)):
        own = [score for score in scores if low <= score.weeks_off <= high]
        if len(own) > 1:
            error = np.array([score.error for score in own])
            true, held = (
                np.mean([getattr(score, name) for score in own]) for name in ("true", "is_held_95")
            )
            print(
                f"  {low} to {high} weeks off, {len(own)} layoffs: planted {true:.2f} %, "
                f"bias {error.mean():.2f}, RMSE {np.sqrt(np.mean(error**2)):.2f}, "
                f"95 % interval holds {held:.2f}"
            )


def main(n_careers: int) -> None:
    """Print all bars."""
    print(f"detection, {n_careers} careers each")
    print_detection(n_careers)
    print_effect("effect, drawn careers", simulate_many(n_careers, 0))
    print_effect("no effect planted", simulate_many(n_careers, 300, has_deload_effect=False))
    after_bad = simulate_many(n_careers, 600, deload_kind="after_bad_weeks")
    print_effect("deloads after bad weeks", after_bad)
    print("layoffs")
    print_layoffs(simulate_many(n_careers, 900, n_layoffs=6))


if __name__ == "__main__":
    main(int(sys.argv[1]))

"""Figures that texts tell are those of the models and of the rules of support."""

import re
from math import ceil

import pytest

from dashboards import words
from dashboards.constants import CONSTANTS
from dashboards.numbers import in_words, number_word
from pipeline.core.page_style import CHOICES, PageStyle
from pipeline.findings import forecast, stability_rows, stability_variants, support
from pipeline.findings.next_phase import habits
from pipeline.findings.variants import units
from pipeline.models.effort import blocks as effort_blocks
from pipeline.models.forecast import group as drift
from pipeline.models.narrowing import blocks, plans
from pipeline.models.pauses import deload_detect, deload_regression, impulse_response, layoff_regain
from pipeline.models.planning import progress, week
from pipeline.models.priority import detect, gain, runs, windows
from pipeline.models.signals import days, effect
from pipeline.models.strength import e1rm, rep_curve, slopes, span_changes
from pipeline.models.variants import carry
from pipeline.models.volume import group, response_curve
from tests.unit.test_page_texts import ALL_SOURCE, TEXTS


def least_lifters_with_a_drift() -> int:
    """Fewest lifters of whom, the largest fold kept apart, enough are left to learn a drift."""
    n = drift.MIN_PEOPLE
    while n - ceil(n / forecast.FOLDS) < drift.MIN_PEOPLE:
        n += 1
    return n


@pytest.mark.parametrize("language", CHOICES["language"])
def test_each_figure_is_that_of_its_model(language: str) -> None:
    with words.written(PageStyle(language, decimal=".")):
        _check_figures()


def _check_figures() -> None:
    figures = {
        "fair_slope_weeks": support.FAIR_SLOPE_WEEKS,
        "fair_slope_width": support.FAIR_SLOPE_HALF_WIDTH,
        "firm_slope_width": support.FIRM_SLOPE_HALF_WIDTH,
        "firm_deloads": support.FIRM_DELOADS,
        "fair_sessions": support.FAIR_SESSIONS,
        "fair_off_average": support.FAIR_OFF_AVERAGE,
        "placebo_share": 100 * stability_rows.PLACEBO_SHARE,
        "search_coverage": 100 * slopes.SEARCH_COVERAGE,
        "change_grid": span_changes.GRID_WEEKS,
        "change_fine": span_changes.FINE_WEEKS / 52,
        "change_weeks": slopes.MIN_WEEKS,
        "more_left": rep_curve.MORE_LEFT,
        "most_reps": e1rm.MAX_REPS,
        "most_total_reps": rep_curve.MAX_TOTAL_REPS,
        "least_sessions": effect.LEAST_SESSIONS,
        "window_days": 2 * effect.HALF_WINDOW,
        "slow_days": days.SLOW_DAYS,
        "signal_widening": effect.WIDENING,
        "sleep_error": days.SLEEP_ERROR_MIN,
        "scale_error": 100 * effect.SCALE_SD,
        "sets_ratio": 100 * deload_detect.SETS_RATIO,
        "load_ratio": 100 * deload_detect.LOAD_RATIO,
        "gain_days": impulse_response.TEXTBOOK.gain_days,
        "loss_days": impulse_response.TEXTBOOK.loss_days,
        "deload_widening": deload_regression.WIDENING,
        "regain_widening": layoff_regain.WIDENING,
        "power": response_curve.POWER,
        "prior_off": stability_variants.PRIOR_OFF_SETS,
        "block_weeks": plans.WEEKS,
        "block_over": plans.MOST_OVER,
        "block_step": 100 * plans.STEP,
        "block_tells": 100 * blocks.LEAST_NARROWING,
        "years_tell": 100 * blocks.TELLING_NARROWING,
        "most_years": blocks.YEARS[-1],
        "plan_now": habits.NOW_WEEKS,
        "plan_recent": habits.RECENT_WEEKS,
        "plan_learnt": habits.LEARNT_WEEKS,
        "plan_cost": progress.SHORTFALL_COST,
        "plan_gap": 100 * week.GAP,
        "plan_moved": week.MOVED_SET,
        "plan_tolerated": 100 * progress.TOLERATED,
        "wander": 100 * drift.WANDER,
        "phase_around": windows.USUAL_WEEKS,
        "phase_least": gain.LEAST_WEEKS,
        "phase_usual": gain.LEAST_USUAL,
        "phase_widening": gain.WIDENING,
        "found_chance": 100 * detect.LEAST_CHANCE,
        "found_least": runs.SHORTEST,
        "found_most": runs.LONGEST,
        "effort_widening": effort_blocks.WIDENING,
        "rest_weeks": units.REST_WEEKS,
        "rests_needed": carry.LEAST_RESTS,
    }
    spelt = {
        "fair_record": in_words(support.FAIR_RECORD_WEEKS // 52, "year"),
        "level_from_reps": number_word(int(rep_curve.LEVEL_FROM_REPS)),
        "least_months": number_word(effect.LEAST_MONTHS),
        "cluster_weeks": number_word(effect.CLUSTER_DAYS // 7),
        "week_readings": number_word(days.LEAST_WEEK_DAYS),
        "group_lifters": number_word(group.LEAST_LIFTERS + 1),
        "drift_lifters": number_word(least_lifters_with_a_drift()),
    }
    assert {name: f"{value:g}" for name, value in figures.items()} | spelt == words.constants()


def test_every_figure_is_told_and_none_is_hidden_by_a_value_of_that_name() -> None:
    told = {name for texts in TEXTS.values() for one in texts.values() for name in _fields(one)}
    assert words.constants().keys() <= told
    assert [name for name in words.constants() if re.search(rf"\b{name}=", ALL_SOURCE)] == []


def _fields(text: str) -> list[str]:
    return re.findall(r"{([a-z_]+)}", text)


def test_a_text_is_filled_with_them() -> None:
    assert f"at least {CONSTANTS['fair_sessions']} sessions" in words.say("nights.method_support")
    assert words.plain("volume.years_more") == f"more than {CONSTANTS['most_years']}"

"""Figures of models and rules that texts tell: set there, told here.

Pages import no models, so each stands here once more, as it is printed;
``tests/unit/test_page_constants.py`` holds every one against its own. ``words`` fills them into any
text that names them. Those told in words stand in ``languages/<language>/constants.toml``.
"""

CONSTANTS: dict[str, str] = {
    # Rules of support.
    "fair_slope_weeks": "40",
    "fair_slope_width": "3",
    "firm_slope_width": "2",
    "firm_deloads": "8",
    "fair_sessions": "100",
    "fair_off_average": "0.3",
    "placebo_share": "5",
    "search_coverage": "99",
    # Changes over a chosen span, levels and repetition curves.
    "change_grid": "13",
    "change_fine": "8",
    "change_weeks": "8",
    "more_left": "0.95",
    "most_reps": "12",
    "most_total_reps": "20",
    # Signals.
    "least_sessions": "40",
    "window_days": "28",
    "slow_days": "15",
    "signal_widening": "1.3",
    "sleep_error": "20",
    "scale_error": "12",
    # Deloads and layoffs.
    "sets_ratio": "75",
    "load_ratio": "93",
    "gain_days": "45",
    "loss_days": "15",
    "deload_widening": "1.5",
    "regain_widening": "1.6",
    # Weekly sets, what would narrow them, forecasts.
    "power": "0.25",
    "prior_off": "3",
    "block_weeks": "16",
    "block_over": "1.3",
    "block_step": "20",
    "block_tells": "10",
    "years_tell": "25",
    "most_years": "20",
    "plan_now": "8",
    "plan_recent": "26",
    "plan_learnt": "6",
    "plan_cost": "10",
    "plan_gap": "2",
    "plan_moved": "0.5",
    "plan_tolerated": "10",
    "wander": "2.5",
    # Priority phases, effort, variants.
    "phase_around": "26",
    "phase_least": "4",
    "phase_usual": "8",
    "phase_widening": "1.3",
    "found_chance": "50",
    "found_least": "7",
    "found_most": "18",
    "effort_widening": "1.6",
    "rest_weeks": "8",
    "rests_needed": "3",
}

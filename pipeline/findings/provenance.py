"""Which tables each question is answered from, in one place, for ``liftstrata trace``.

``tables`` are what the code reads of the warehouse, or what the warehouse holds of it; SQL behind a
``mart_*`` is found by its name. ``rows`` says which rows of the lifter's record speak:

subject   sets that may speak of strength, of the subject's lift or of the lifts that train its
          muscle directly
reserve   sets of every lift that may speak of strength, those with recorded reserve
strength  sets of every lift that may speak of strength
counted   every working set
none      no sets

``signals`` : readings of ``tidy_signal`` too, those of the subject's signal.
"""

from dataclasses import dataclass

RECORD = ("tidy_set", "tidy_event", "ref_exercise", "ref_contribution")
INDEX = (*RECORD, "ref_muscle", "model_muscle_index")


@dataclass(frozen=True)
class Provenance:
    """What one question is answered from. ``code``: the module that answers."""

    code: str
    tables: tuple[str, ...]
    rows: str
    signals: bool = False


VOLUME_TABLES = (*INDEX, "ref_prior", "tidy_signal")
# Muscles are fitted together and share a shift: every set takes part in each answer.
VOLUME = Provenance("pipeline.findings.volume", VOLUME_TABLES, "counted")
EASING = Provenance("pipeline.findings.easing", (*RECORD, "model_rep_curve", "ref_fact"), "reserve")
PACE = Provenance(
    "pipeline.findings.easing_pace", ("tidy_event", "tidy_set", "ref_fact"), "counted"
)
LAYOFFS = Provenance(
    "pipeline.findings.easing_layoffs", (*RECORD, "model_rep_curve", "ref_fact"), "strength"
)
AHEAD = (
    *("model_lift_level", "model_muscle_index", "finding"),
    *("ref_lifter", "ref_exercise", "ref_muscle", "mart_week_lifter"),
)

PHASES = Provenance("pipeline.findings.priorities.answer", VOLUME_TABLES, "counted")

PROVENANCE: dict[str, Provenance] = {
    "lift_level": Provenance("pipeline.findings.lifts", RECORD, "subject"),
    "lift_slope": Provenance("pipeline.findings.slopes", RECORD, "subject"),
    "plateau": Provenance("pipeline.findings.slopes", RECORD, "subject"),
    "muscle_slope": Provenance("pipeline.findings.muscles", INDEX, "subject"),
    "measure_slope": Provenance("pipeline.findings.body", ("tidy_signal",), "none", signals=True),
    "supported_sets": VOLUME,
    "hold_sets": VOLUME,
    "sets_trend": VOLUME,
    "deload_effect": EASING,
    "rest_effect": EASING,
    "deload_pace": PACE,
    "deload_length": PACE,
    "layoff_loss": LAYOFFS,
    "layoff_regain": LAYOFFS,
    "signal_effect": Provenance(
        "pipeline.findings.nights",
        (*RECORD, "mart_day_signal", "model_rep_curve"),
        "strength",
        signals=True,
    ),
    "balance": Provenance(
        "pipeline.findings.balance", (*INDEX, "ref_balance", "mart_week_lifter"), "counted"
    ),
    "forecast": Provenance("pipeline.findings.forecast", AHEAD, "subject"),
    "injury": Provenance("pipeline.findings.injuries", (*INDEX, "model_lift_level"), "counted"),
    "variant": Provenance(
        "pipeline.findings.variants", (*RECORD, "ref_variant", "model_lift_level"), "strength"
    ),
    "priority_gain": PHASES,
    "priority_cost": PHASES,
    "effort": Provenance("pipeline.findings.effort", INDEX, "counted"),
    "plan_followed": Provenance(
        "pipeline.findings.plans.followed",
        ("tidy_plan", "model_plan_progress", "mart_week_muscle", "mart_week_lifter"),
        "counted",
    ),
    "prediction_score": Provenance(
        "pipeline.findings.predictions.score",
        ("model_prediction", "model_lift_level", "model_muscle_index", "source_file"),
        "none",
    ),
}

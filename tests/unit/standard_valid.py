"""Valid documents: those with a value of a day, and those that have to be named."""

from typing import Any

from pipeline.sources.standards import reading
from tests.unit.standard_documents import (
    DAY,
    GONE,
    MORNING,
    NIGHT,
    amount,
    at,
    bundle,
    changed,
    code,
    during,
    heart,
    observation,
    point,
    quantity,
    sleep,
    steps,
    walk,
    weight,
)

NAP = {"start_date_time": "2024-03-05T13:00:00Z", "duration": amount(30, "min")}
SLEEP_OLD = {
    "initial_sleep_onset_date_time": NIGHT["start_date_time"],
    "final_awakening_date_time": NIGHT["end_date_time"],
    "effective_time_frame": at(NIGHT["start_date_time"]),
    "total_sleep_time": amount(7, "h"),
}
EPISODE = sleep("omh:sleep-episode:1.1", "total_sleep_time", is_main_sleep=True)
SERIES = point("ieee:total-sleep-time:1.0", [sleep("a:b:1.0", "total_sleep_time")["body"]])

VALID: tuple[tuple[dict[str, Any], str, str, float], ...] = (
    (weight("omh:body-weight:1.0"), "2024-03-05", "body_weight_kg", 81.6),
    (weight("omh:body-weight:2.0"), "2024-03-05", "body_weight_kg", 81.6),
    (weight("omh:body-weight:3.0"), "2024-03-05", "body_weight_kg", 81.6),
    (weight(body_weight=amount(185, "lb")), "2024-03-05", "body_weight_kg", 83.91),
    (weight(body_weight=amount(81600, "g")), "2024-03-05", "body_weight_kg", 81.6),
    (weight(body_weight=amount(2880, "oz")), "2024-03-05", "body_weight_kg", 81.65),
    (weight(descriptive_statistic="average"), "2024-03-05", "body_weight_kg", 81.6),
    (weight(effective_time_frame=during()), "2024-03-05", "body_weight_kg", 81.6),
    (
        weight(effective_time_frame=during({"date": "2024-03-02", "part_of_day": "morning"})),
        *("2024-03-02", "body_weight_kg", 81.6),
    ),
    # the day is the one written, whatever the offset
    (
        weight(effective_time_frame=at("2024-03-05T00:10:00+09:00")),
        "2024-03-05",
        "body_weight_kg",
        81.6,
    ),
    (
        weight(effective_time_frame=at("2024-03-04T23:50:00.123-08:00")),
        "2024-03-04",
        "body_weight_kg",
        81.6,
    ),
    (weight(effective_time_frame=at("2024-02-29t06:00:00z")), "2024-02-29", "body_weight_kg", 81.6),
    (weight(user_notes="after coffee"), "2024-03-05", "body_weight_kg", 81.6),
    (heart("omh:heart-rate:1.0"), "2024-03-05", "resting_hr_bpm", 52.0),
    (heart("omh:heart-rate:1.1"), "2024-03-05", "resting_hr_bpm", 52.0),
    (heart("omh:heart-rate:2.0"), "2024-03-05", "resting_hr_bpm", 52.0),
    (heart(temporal_relationship_to_sleep="on waking"), "2024-03-05", "resting_hr_bpm", 52.0),
    (
        heart(descriptive_statistic="minimum", effective_time_frame=during()),
        "2024-03-05",
        "resting_hr_bpm",
        52.0,
    ),
    (heart(effective_time_frame=during(DAY)), "2024-03-05", "resting_hr_bpm", 52.0),
    (sleep("omh:sleep-duration:1.0", "sleep_duration"), "2024-03-05", "sleep_min", 420.0),
    (sleep("omh:sleep-duration:2.0", "sleep_duration"), "2024-03-05", "sleep_min", 420.0),
    (sleep("omh:total-sleep-time:1.0", "total_sleep_time"), "2024-03-05", "sleep_min", 420.0),
    (sleep("ieee:total-sleep-time:1.0", "total_sleep_time"), "2024-03-05", "sleep_min", 420.0),
    (SERIES, "2024-03-05", "sleep_min", 420.0),
    (point("omh:sleep-episode:1.0", SLEEP_OLD), "2024-03-05", "sleep_min", 420.0),
    (EPISODE, "2024-03-05", "sleep_min", 420.0),
    (sleep("ieee:sleep-episode:1.0", "total_sleep_time"), "2024-03-05", "sleep_min", 420.0),
    (
        changed(EPISODE, "body.total_sleep_time", amount(27000, "sec")),
        "2024-03-05",
        "sleep_min",
        450.0,
    ),
    (
        changed(EPISODE, "body.total_sleep_time", amount(430.5, "min")),
        "2024-03-05",
        "sleep_min",
        430.5,
    ),
    (
        changed(
            EPISODE,
            "body.effective_time_frame",
            during({"start_date_time": "2024-03-04T23:10:00+01:00", "duration": amount(8, "h")}),
        ),
        *("2024-03-05", "sleep_min", 420.0),
    ),
    (
        changed(
            EPISODE,
            "body.effective_time_frame",
            during({"end_date_time": "2024-03-05T07:00:00+01:00", "duration": amount(8, "h")}),
        ),
        *("2024-03-05", "sleep_min", 420.0),
    ),
    (steps("omh:step-count:1.0", "step_count", 9000), "2024-03-05", "steps", 9000.0),
    (steps("omh:step-count:2.0", "step_count", 9000), "2024-03-05", "steps", 9000.0),
    (
        steps("omh:step-count:3.0", "step_count", amount(9000, "steps")),
        "2024-03-05",
        "steps",
        9000.0,
    ),
    (walk(), "2024-03-05", "steps", 9000.0),
    (observation("29463-7", 81.6, "kg"), "2024-03-05", "body_weight_kg", 81.6),
    (observation("29463-7", 185, "[lb_av]"), "2024-03-05", "body_weight_kg", 83.91),
    (observation("29463-7", 81600, "g"), "2024-03-05", "body_weight_kg", 81.6),
    (observation("3141-9", 81.6, "kg"), "2024-03-05", "body_weight_kg", 81.6),
    (observation("29463-7", 81.6, "kg", status="amended"), "2024-03-05", "body_weight_kg", 81.6),
    (
        observation("29463-7", 81.6, "kg", effectiveDateTime="2024-03-03"),
        "2024-03-03",
        "body_weight_kg",
        81.6,
    ),
    (
        observation("29463-7", 81.6, "kg", effectiveDateTime=GONE, effectiveInstant=MORNING),
        "2024-03-05",
        "body_weight_kg",
        81.6,
    ),
    (observation("40443-4", 52, "/min"), "2024-03-05", "resting_hr_bpm", 52.0),
    (observation("40443-4", 52, "{beats}/min"), "2024-03-05", "resting_hr_bpm", 52.0),
    (
        observation(
            "93832-4",
            7.5,
            "h",
            effectiveDateTime=GONE,
            effectivePeriod={"start": NIGHT["start_date_time"], "end": NIGHT["end_date_time"]},
        ),
        *("2024-03-05", "sleep_min", 450.0),
    ),
    (observation("93832-4", 450, "min"), "2024-03-05", "sleep_min", 450.0),
    (
        observation("41950-7", 7267, "/d", effectiveDateTime="2024-03-05"),
        "2024-03-05",
        "steps",
        7267.0,
    ),
    (observation("55423-8", 7267, "{steps}"), "2024-03-05", "steps", 7267.0),
    (observation("55423-8", 7267, "1"), "2024-03-05", "steps", 7267.0),
    (observation("80404-7", 61.5, "ms"), "2024-03-05", "hrv_sdnn_ms", 61.5),
    (observation("80404-7", 0.0615, "s"), "2024-03-05", "hrv_sdnn_ms", 61.5),
    (bundle(observation("29463-7", 81.6, "kg")), "2024-03-05", "body_weight_kg", 81.6),
    (
        observation(
            "85353-1",
            0,
            None,
            valueQuantity=GONE,
            component=[{"code": code("29463-7"), "valueQuantity": quantity(81.6, "kg")}],
        ),
        *("2024-03-05", "body_weight_kg", 81.6),
    ),
)

# Valid by its standard, and no value of a day: what it is has to be said.
NAMED: tuple[tuple[dict[str, Any], str, str], ...] = (
    (point("omh:blood-glucose:4.0", {}), reading.UNSUPPORTED, "omh:blood-glucose:4.0"),
    (weight("omh:body-weight:9.0"), reading.UNSUPPORTED, "omh:body-weight:9.0"),
    (point("acme:body-weight:2.0", {}), reading.UNSUPPORTED, "acme:body-weight:2.0"),
    (observation("8310-5", 36.6, "Cel"), reading.UNSUPPORTED, "LOINC 8310-5"),
    (
        changed(observation("29463-7", 81.6, "kg"), "code.coding.0.system", "urn:own"),
        reading.UNSUPPORTED,
        "urn:own 29463-7",
    ),
    ({"resourceType": "Patient"}, reading.UNSUPPORTED, "FHIR Patient"),
    (bundle({"resourceType": "Device"}), reading.UNSUPPORTED, "FHIR Device"),
    (
        observation("29463-7", 81.6, "kg", status="entered-in-error"),
        reading.NO_VALUE,
        "entered-in-error",
    ),
    (observation("29463-7", 81.6, "kg", status="cancelled"), reading.NO_VALUE, "cancelled"),
    (observation("29463-7", 81.6, "kg", status="registered"), reading.NO_VALUE, "registered"),
    (observation("29463-7", 81.6, "kg", status="unknown"), reading.NO_VALUE, "unknown"),
    (
        observation(
            "29463-7", 0, None, valueQuantity=GONE, dataAbsentReason={"text": "not weighed"}
        ),
        reading.NO_VALUE,
        "not weighed",
    ),
    (observation("29463-7", 0, None, valueQuantity=GONE), reading.NO_VALUE, "no value is given"),
    (
        observation("29463-7", 81.6, "kg", valueQuantity=quantity(81.6, "kg", comparator="<")),
        reading.NO_VALUE,
        "< 81.6",
    ),
    (
        observation("29463-7", 81.6, "kg", effectiveDateTime="2024-03"),
        reading.NO_DAY,
        "day is not given",
    ),
    (
        observation("29463-7", 81.6, "kg", effectiveDateTime=GONE),
        reading.NO_DAY,
        "day is not given",
    ),
    (observation("8867-4", 52, "/min"), reading.NO_SIGNAL, "40443-4"),
    (
        observation("80404-7", 48, "ms", code=code("80404-7", text="HRV (RMSSD)")),
        reading.NO_SIGNAL,
        "RMSSD",
    ),
    (
        changed(heart(), "body.temporal_relationship_to_physical_activity", "active"),
        reading.NO_SIGNAL,
        "at rest",
    ),
    (
        changed(heart(), "body.temporal_relationship_to_physical_activity", GONE),
        reading.NO_SIGNAL,
        "at rest",
    ),
    (heart(descriptive_statistic="standard deviation"), reading.NO_SIGNAL, "standard deviation"),
    (weight(descriptive_statistic="variance"), reading.NO_SIGNAL, "variance"),
    (
        weight(
            effective_time_frame=during(
                {"start_date_time": "2024-03-01T00:00:00Z", "duration": amount(1, "wk")}
            ),
            descriptive_statistic="average",
        ),
        reading.NOT_A_DAY,
        "168 hours",
    ),
    (
        changed(weight("omh:body-weight:1.0"), "body.effective_time_frame", GONE),
        reading.NO_DAY,
        "day is not given",
    ),
    (changed(EPISODE, "body.is_main_sleep", False), reading.NO_SIGNAL, "nap"),
    (changed(EPISODE, "body.total_sleep_time", GONE), reading.NO_VALUE, "total_sleep_time"),
    (changed(walk(), "body.base_movement_quantity", amount(40, "laps")), reading.NO_SIGNAL, "laps"),
    (
        changed(walk(), "body.base_movement_quantity", GONE),
        reading.NO_VALUE,
        "base_movement_quantity",
    ),
    (point("ieee:total-sleep-time:1.0", []), reading.NO_VALUE, "data series"),
)

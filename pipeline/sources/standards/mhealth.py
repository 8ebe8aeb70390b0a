"""Data points of Open mHealth and IEEE 1752.1: what a header names and a body holds.

Source: the published schemas of Open mHealth (github.com/openmhealth/schemas) and IEEE 1752.1-2021
(w3id.org/ieee/ieee-1752-schema). Shapes that these have deprecated are read as well.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from pipeline.core.signals import RR_INTERVAL
from pipeline.sources.standards import reading
from pipeline.sources.standards.reading import Reading, add_span
from pipeline.sources.standards.shapes import definitions, first_fault
from pipeline.sources.standards.times import Span, span_of_frame

SCHEMAS = "open_mhealth.schema.json"


@dataclass(frozen=True)
class Measure:
    """The part of a body that holds the value, and the signal it gives.

    ``statistics`` are those under which the value still is the day's.
    """

    part: str
    signal: str
    statistics: tuple[str, ...] = ("average", "median")
    superseded_by: str | None = None


_SLEEP = ("average", "median", "sum")
_ACTIVITY = "ieee:physical-activity"
MEASURES = {
    "omh:body-weight": Measure("body_weight", "body_weight_kg"),
    "omh:heart-rate": Measure("heart_rate", "resting_hr_bpm", ("average", "median", "minimum")),
    "omh:rr-interval": Measure("rr_interval", RR_INTERVAL, ()),
    "omh:step-count": Measure("step_count", "steps", ("sum",), _ACTIVITY),
    "omh:sleep-duration": Measure("sleep_duration", "sleep_min", _SLEEP, "omh:total-sleep-time"),
    "omh:total-sleep-time": Measure("total_sleep_time", "sleep_min", _SLEEP),
    "omh:sleep-episode": Measure("total_sleep_time", "sleep_min"),
    "ieee:total-sleep-time": Measure("total_sleep_time", "sleep_min", _SLEEP),
    "ieee:sleep-episode": Measure("total_sleep_time", "sleep_min"),
    "ieee:physical-activity": Measure("base_movement_quantity", "steps", ("sum",)),
}


def is_data_point(content: dict[str, Any]) -> bool:
    """Whether the object sets out to be a data point."""
    return "header" in content or "body" in content


def read_data_point(content: dict[str, Any]) -> Iterator[Reading]:
    """The reading of a data point, or the readings of a data series (a list as body)."""
    fault = first_fault(content, SCHEMAS, "data_point")
    if fault:
        why = f"{fault}; export it again"
        yield Reading(schema=_try_name(content), fault=reading.BROKEN, why=why)
        return
    header, body = content["header"], content["body"]
    schema = _name_of(header["schema_id"])
    device = header.get("acquisition_provenance", {}).get("source_name")
    bodies = body if isinstance(body, list) else [body]
    for number, one in enumerate(bodies):
        place = f"body[{number}]" if isinstance(body, list) else ""
        yield _read_body(one, Reading(place=place, schema=schema, device=device))
    if not bodies:
        told = "a data series without a value; leave it out"
        yield Reading(schema=schema, fault=reading.NO_VALUE, why=told)


def deprecated_of(schema: str) -> str | None:
    """What took the place of a deprecated schema; None for others."""
    measure = MEASURES.get(schema.rpartition(":")[0])
    return measure.superseded_by if measure else None


def _name_of(schema_id: dict[str, str]) -> str:
    return ":".join(schema_id[part] for part in ("namespace", "name", "version"))


def _try_name(content: dict[str, Any]) -> str | None:
    header = content.get("header")
    schema_id = header.get("schema_id") if isinstance(header, dict) else None
    if not isinstance(schema_id, dict):
        return None
    return ":".join(str(schema_id.get(part, "?")) for part in ("namespace", "name", "version"))


def _read_body(body: Any, found: Reading) -> Reading:
    schema = found.schema or ""
    measure = MEASURES.get(schema.rpartition(":")[0])
    if measure is None or schema not in definitions(SCHEMAS):
        told = f"{schema} is not read; of Open mHealth and IEEE 1752.1: {', '.join(_known(schema))}"
        return found.with_fault(reading.UNSUPPORTED, told)
    fault = first_fault(body, SCHEMAS, schema)
    if fault:
        return found.with_fault(reading.BROKEN, f"{schema}: {fault}; export it again")
    return _read_value(body, measure, found)


def _read_value(body: dict[str, Any], measure: Measure, found: Reading) -> Reading:
    quantity = body.get(measure.part)
    if quantity is None:
        told = f"{measure.part} is not given, from which {measure.signal} is made"
        return found.with_fault(reading.NO_VALUE, told)
    value, unit = (
        (quantity["value"], quantity["unit"]) if isinstance(quantity, dict) else (quantity, "steps")
    )
    found = replace(found, signal=measure.signal, value=str(value), unit=unit)
    refusal = _why_not(body, measure, unit)
    if refusal:
        return found.with_fault(reading.NO_SIGNAL, refusal)
    return add_span(found, _span_of(body))


def _span_of(body: dict[str, Any]) -> Span:
    frame = body.get("effective_time_frame")
    if frame is None:
        return Span(None, None)
    span = span_of_frame(frame)
    awake = body.get("final_awakening_date_time")  # sleep-episode 1.0 has it beside the frame
    return Span(span.start, awake or span.end)


def _why_not(body: dict[str, Any], measure: Measure, unit: str) -> str | None:
    """Why a valid value is none of the day's signals."""
    statistic = body.get("descriptive_statistic")
    if statistic is not None and statistic not in measure.statistics:
        return f"its statistic is {statistic!r}; {measure.signal} is not made of it"
    if measure.signal == "resting_hr_bpm":
        relation = body.get("temporal_relationship_to_physical_activity")
        if relation != "at rest":
            return "a heart rate that is not marked 'at rest' is no resting heart rate"
    if body.get("is_main_sleep") is False:
        return "a nap (is_main_sleep is false) is not the night's sleep"
    if measure.signal == "steps" and unit != "steps":
        return f"{unit} are no steps"
    return None


def _known(schema: str) -> list[str]:
    """Known versions of the schema's name; where there are none, all known names."""
    name = schema.rpartition(":")[0]
    versions = [one for one in definitions(SCHEMAS) if one.startswith(f"{name}:")]
    return versions or list(MEASURES)

"""A small builder of standard documents, valid ones and ones broken in a single place."""

import copy
import json
from typing import Any

NIGHT = {
    "start_date_time": "2024-03-04T23:10:00+01:00",
    "end_date_time": "2024-03-05T06:40:00+01:00",
}
MORNING = "2024-03-05T06:45:00+01:00"
DAY = {
    "start_date_time": "2024-03-05T00:00:00+01:00",
    "end_date_time": "2024-03-06T00:00:00+01:00",
}
LOINC, UCUM = "http://loinc.org", "http://unitsofmeasure.org"
# A part to be taken away.
GONE = object()


def amount(value: float, unit: str) -> dict[str, Any]:
    """A value with its unit."""
    return {"value": value, "unit": unit}


def at(moment: str = MORNING) -> dict[str, Any]:
    """A time frame that is a point in time."""
    return {"date_time": moment}


def during(interval: dict[str, Any] = NIGHT) -> dict[str, Any]:
    """A time frame that is an interval."""
    return {"time_interval": interval}


def point(schema: str, body: Any, **header: Any) -> dict[str, Any]:
    """A data point: ``schema`` as namespace:name:version."""
    namespace, name, version = schema.split(":")
    schema_id = {"namespace": namespace, "name": name, "version": version}
    own = (
        {"uuid": "6f2e", "source_creation_date_time": MORNING, "modality": "sensed"}
        if namespace == "ieee"
        else {"id": "6f2e", "creation_date_time": MORNING}
    )
    return {"header": {**own, "schema_id": schema_id, **header}, "body": body}


def weight(schema: str = "omh:body-weight:2.0", **more: Any) -> dict[str, Any]:
    """A body weight of 81.6 kg."""
    body = {"body_weight": amount(81.6, "kg"), "effective_time_frame": at(), **more}
    return point(schema, body)


def heart(schema: str = "omh:heart-rate:2.0", **more: Any) -> dict[str, Any]:
    """A heart rate of 52 at rest."""
    rest = {"temporal_relationship_to_physical_activity": "at rest"}
    rate = {"heart_rate": amount(52, "beats/min"), "effective_time_frame": at()}
    return point(schema, {**rate, **rest, **more})


def sleep(schema: str, part: str, **more: Any) -> dict[str, Any]:
    """A night of seven hours."""
    return point(schema, {part: amount(7, "h"), "effective_time_frame": during(), **more})


def steps(schema: str, part: str, quantity: Any, **more: Any) -> dict[str, Any]:
    """The steps of a day."""
    return point(schema, {part: quantity, "effective_time_frame": during(DAY), **more})


def walk(**more: Any) -> dict[str, Any]:
    """Steps by IEEE 1752.1."""
    return steps(
        "ieee:physical-activity:1.0",
        "base_movement_quantity",
        amount(9000, "steps"),
        **{"activity_name": "walking", **more},
    )


def quantity(value: float, code: str | None, **more: Any) -> dict[str, Any]:
    """A Quantity in UCUM."""
    coded = {"system": UCUM, "code": code} if code is not None else {}
    return {"value": value, **coded, **more}


def code(loinc: str, **more: Any) -> dict[str, Any]:
    """A concept of LOINC."""
    return {"coding": [{"system": LOINC, "code": loinc}], **more}


def observation(loinc: str, value: float, unit: str | None, **more: Any) -> dict[str, Any]:
    """An Observation; a part given as ``GONE`` is left out."""
    whole = {
        "resourceType": "Observation",
        "status": "final",
        "code": code(loinc),
        "effectiveDateTime": MORNING,
        "valueQuantity": quantity(value, unit),
        **more,
    }
    return {name: part for name, part in whole.items() if part is not GONE}


def bundle(*resources: Any, **more: Any) -> dict[str, Any]:
    """A Bundle of resources."""
    entries = [{"resource": one} for one in resources]
    whole = {"resourceType": "Bundle", "type": "searchset", "entry": entries, **more}
    return {name: part for name, part in whole.items() if part is not GONE}


def changed(document: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """The document with one part replaced, or taken away by ``GONE``; path like ``body.unit``."""
    found = copy.deepcopy(document)
    *way, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    part: Any = found
    for step in way:
        part = part[step]
    if value is GONE:
        del part[last]
    else:
        part[last] = value
    return found


def as_lines(*documents: Any) -> str:
    """One document a line."""
    return "".join(json.dumps(one) + "\n" for one in documents)

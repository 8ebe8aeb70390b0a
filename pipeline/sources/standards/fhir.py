"""Observations of HL7 FHIR R4: codes of LOINC, units of UCUM, one reading a value or component."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from pipeline.sources.standards import reading
from pipeline.sources.standards.reading import Reading, add_span
from pipeline.sources.standards.shapes import first_fault
from pipeline.sources.standards.times import Span

SCHEMAS = "fhir.schema.json"
LOINC, UCUM = "http://loinc.org", "http://unitsofmeasure.org"
# LOINC code: the signal. Where each was read:
#   29463-7, 8867-4       the body weight and heart rate profiles of FHIR R4 itself
#   40443-4, 41950-7      value set of time-related codes, HL7 physical activity guide 1.0.0
#   93832-4               value set of sleep codes, HL7 personal health records guide
#   55423-8               reference of Open mHealth's step-count schema
#   3141-9, 80404-7       second-hand (public records agree; LOINC's own page was not read)
# No code was found for RMSSD.
SIGNALS = {
    "29463-7": "body_weight_kg",
    "3141-9": "body_weight_kg",
    "40443-4": "resting_hr_bpm",
    "93832-4": "sleep_min",
    "41950-7": "steps",
    "55423-8": "steps",
    "80404-7": "hrv_sdnn_ms",
}
HEART_RATE = "8867-4"
# UCUM units of each signal, annotations such as {steps} left out. Body weight and heart rate as the
# profiles of R4 bind them.
UNITS = {
    "body_weight_kg": ("kg", "g", "[lb_av]"),
    "resting_hr_bpm": ("/min",),
    "sleep_min": ("h", "min", "s"),
    "steps": ("", "1", "/d", "1/d", "/(24.h)", "1/(24.h)"),
    "hrv_sdnn_ms": ("ms", "s"),
}
# A value that stands, though it may be looked at again; the others are none, or may be none.
STANDING = ("final", "amended", "corrected", "preliminary")
_ANNOTATION = re.compile(r"\{[^{}]*\}")


def read_resource(content: dict[str, Any]) -> Iterator[Reading]:
    """The readings of an Observation; one that says "unsupported" for any other resource.

    A Bundle, its entries taken out, gives a reading only when it is broken.
    """
    kind = content.get("resourceType")
    if kind == "Bundle":
        fault = first_fault(content, SCHEMAS, "Bundle")
        if fault:
            yield _broken("FHIR Bundle", fault)
        return
    if kind != "Observation":
        schema = f"FHIR {kind}" if isinstance(kind, str) else "FHIR"
        told = f"{schema} is not read; Observation is"
        yield Reading(schema=schema, fault=reading.UNSUPPORTED, why=told)
        return
    fault = first_fault(content, SCHEMAS, "Observation")
    if fault:
        yield _broken("FHIR Observation", fault)
        return
    yield from _read_observation(content)


def read_entry(content: Any) -> Iterator[Reading]:
    """The readings of one entry of a Bundle."""
    fault = first_fault(content, SCHEMAS, "entry")
    if fault:
        yield _broken("FHIR Bundle", f"entry: {fault}")
    elif "resource" in content:
        yield from read_resource(content["resource"])
    else:
        told = "an entry without a resource; nothing to read"
        yield Reading(schema="FHIR Bundle", fault=reading.NO_VALUE, why=told)


def _broken(schema: str, fault: str) -> Reading:
    return Reading(schema=schema, fault=reading.BROKEN, why=f"{fault}; export it again")


def _read_observation(content: dict[str, Any]) -> Iterator[Reading]:
    device = content.get("device", {})
    start = Reading(device=device.get("display") or device.get("reference"))
    components = content.get("component", [])
    if not components or _has_value(content):
        yield _finish(content, content, start)
    for number, one in enumerate(components):
        yield _finish(one, content, replace(start, place=f"component[{number}]"))


def _has_value(part: dict[str, Any]) -> bool:
    return any(name.startswith("value") or name == "dataAbsentReason" for name in part)


def _finish(part: dict[str, Any], whole: dict[str, Any], found: Reading) -> Reading:
    """The reading of one value: ``part`` has code and value, ``whole`` status and time."""
    found = _read_code(part["code"], found)
    if found.fault is None:
        found = _read_quantity(part, found)
    if found.fault is None and whole["status"] not in STANDING:
        told = f"its status is {whole['status']}: no value stands there"
        found = found.with_fault(reading.NO_VALUE, told)
    return add_span(found, _span_of(whole)) if found.fault is None else found


def _read_code(concept: dict[str, Any], found: Reading) -> Reading:
    codings = concept.get("coding", [])
    codes = [one.get("code") for one in codings if one.get("system") == LOINC]
    signals = {SIGNALS[code] for code in codes if code in SIGNALS}
    named = next((code for code in codes if code in SIGNALS), codes[0] if codes else None)
    found = replace(found, schema=f"LOINC {named}" if named else _say_code(concept))
    if HEART_RATE in codes and not signals:
        told = "a heart rate (8867-4) is not a resting heart rate (40443-4)"
        return found.with_fault(reading.NO_SIGNAL, told)
    if not signals:
        told = f"{found.schema} is not read; known: LOINC {', '.join(SIGNALS)}"
        return found.with_fault(reading.UNSUPPORTED, told)
    words = " ".join([concept.get("text", ""), *(one.get("display", "") for one in codings)])
    if len(signals) > 1 or ("hrv_sdnn_ms" in signals and "rmssd" in words.casefold()):
        told = "its codes and words mean different measures; RMSSD has no code of its own"
        return found.with_fault(reading.NO_SIGNAL, told)
    return replace(found, signal=signals.pop())


def _say_code(concept: dict[str, Any]) -> str:
    """A code that is not of LOINC, by its system and code, else its text."""
    for one in concept.get("coding", []):
        if one.get("code"):
            return f"{one.get('system', 'no system')} {one['code']}"
    return f"code {concept.get('text', 'without a name')!r}"


def _read_quantity(part: dict[str, Any], found: Reading) -> Reading:
    if "dataAbsentReason" in part or not _has_value(part):
        absent = part.get("dataAbsentReason", {})
        reason = next((one.get("code") for one in absent.get("coding", [])), absent.get("text"))
        told = f"the value is absent ({reason})" if reason else "no value is given"
        return found.with_fault(reading.NO_VALUE, f"{told}; nothing to read")
    quantity = part.get("valueQuantity")
    if found.signal == "steps" and "valueInteger" in part:
        return replace(found, value=str(part["valueInteger"]), unit="")
    if quantity is None or "value" not in quantity:
        told = f"{found.schema} needs valueQuantity with a number"
        return found.with_fault(reading.BROKEN, told)
    if "comparator" in quantity:
        told = f"{quantity['comparator']} {quantity['value']} is a limit, not a value"
        return found.with_fault(reading.NO_VALUE, told)
    code = quantity.get("code")
    unit = _ANNOTATION.sub("", code) if code is not None else None
    allowed = UNITS[found.signal or ""]
    if quantity.get("system") != UCUM or unit not in allowed:
        shown = code if code is not None else quantity.get("unit")
        known = ", ".join(one or "{steps}" for one in allowed)
        told = f"unit {shown!r} is no UCUM code of {found.signal}: {known}"
        return found.with_fault(reading.BROKEN, told)
    return replace(found, value=str(quantity["value"]), unit=unit)


def _span_of(whole: dict[str, Any]) -> Span:
    """Span of ``effective[x]``; a year or a month alone is no day."""
    if "effectivePeriod" in whole:
        start, end = (_day_or_none(whole["effectivePeriod"].get(one)) for one in ("start", "end"))
        return Span(start, end)
    moment = _day_or_none(whole.get("effectiveDateTime") or whole.get("effectiveInstant"))
    return Span(moment, moment)


def _day_or_none(text: str | None) -> str | None:
    return text if text is not None and len(text) >= len("2024-03-05") else None

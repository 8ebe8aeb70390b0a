"""Exact unit conversions and the names they go by. Everything inside is kg, m, s, degrees."""

import re

# International avoirdupois pound, exact by definition (1959 agreement); UCUM code [lb_av].
KG_PER_LB = 0.45359237
# International inch, exact by definition; UCUM code [in_i].
CM_PER_INCH = 2.54

MASS_UNITS = {
    "kg": 1.0,
    "kgs": 1.0,
    "kilo": 1.0,
    "kilos": 1.0,
    "g": 0.001,
    "lb": KG_PER_LB,
    "lbs": KG_PER_LB,
    "pound": KG_PER_LB,
    "pounds": KG_PER_LB,
    "[lb_av]": KG_PER_LB,
}

# What stands where a load would, when nothing but the body is lifted; lower case.
BODY_WEIGHT_WORDS = (
    *("bw", "bodyweight", "body weight", "body"),
    *("eg", "eigengewicht", "körpergewicht"),
    *("lg", "lichaamsgewicht"),
    *("pdc", "poids du corps", "poids de corps"),
    *("peso corporal", "peso corporeo", "peso do corpo", "corpo libero", "a corpo libero"),
    *("kv", "kroppsvikt"),
)
# The same as one pattern, longest first.
BODY_WEIGHT_PATTERN = "|".join(map(re.escape, sorted(BODY_WEIGHT_WORDS, key=len, reverse=True)))


def kg_to_lb(mass_kg: float) -> float:
    """Pounds in ``mass_kg`` kilograms."""
    return mass_kg / KG_PER_LB

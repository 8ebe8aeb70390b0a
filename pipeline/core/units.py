"""Exact unit conversions and the names they go by. Everything inside is kg, m, s, degrees."""

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


def mass_factor(unit: str) -> float:
    """Kilograms in one ``unit``.

    Raises
    ------
    KeyError
        with the known names, when the unit is not a unit of mass known here.
    """
    try:
        return MASS_UNITS[unit.strip().lower()]
    except KeyError:
        known = ", ".join(sorted(MASS_UNITS))
        raise KeyError(f"unknown unit {unit!r}; known: {known}") from None


def kg_to_lb(mass_kg: float) -> float:
    """Pounds in ``mass_kg`` kilograms."""
    return mass_kg / KG_PER_LB

"""Reference data: muscles, exercises, contributions, aliases, priors, published facts, and the
figures that the models reached on simulated careers.

The CSV files beside this module are the source and are reviewed like code. The lifter's own
``exercises.csv`` is merged in by ``load_reference``.
"""

from pipeline.reference.load import (
    expand_contributions,
    load_aliases,
    load_balance,
    load_contributions,
    load_exercises,
    load_facts,
    load_muscles,
    load_priors,
    load_recovery,
    load_variants,
    reference_checksum,
)
from pipeline.reference.merge import Reference, load_reference
from pipeline.reference.own import read_own_exercises

__all__ = [
    "Reference",
    "expand_contributions",
    "load_aliases",
    "load_balance",
    "load_contributions",
    "load_exercises",
    "load_facts",
    "load_muscles",
    "load_priors",
    "load_recovery",
    "load_reference",
    "load_variants",
    "read_own_exercises",
    "reference_checksum",
]

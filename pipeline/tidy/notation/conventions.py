"""Set notation: the orders of numbers that are common in any logbook."""

from dataclasses import dataclass

from pipeline.tidy.notation.records import Form, read_form


@dataclass(frozen=True)
class Convention:
    """A common order of numbers; ``explicit`` is a field that the text itself has to mark."""

    form: Form
    explicit: str | None = None


def _conventions() -> tuple[Convention, ...]:
    table = (
        ("sets x reps", None),
        ("load x reps", None),
        ("reps x load", None),
        ("reps x sets", "reps"),
        ("load x reps x sets", None),
        ("load x sets x reps", None),
        ("sets x reps x load", None),
        ("sets x load x reps", "load"),
        ("reps x load x sets", "load"),
        ("hands x load x reps", "load"),
        ("hands x load reps", "load"),
        ("sets x load reps", "load"),
        ("reps x sets @ load", "reps"),
        ("sets x reps @ load", None),
        ("load x reps @ rpe", None),
        ("sets x reps @ load @ rpe", None),
        ("reps @ load x sets", "sets"),
        ("sets @ load x reps", "sets"),
        ("reps @ load", None),
        ("reps @ rpe", None),
        ("load : reps", None),
        ("sets : reps", "sets"),
        ("load reps", "load"),
        ("reps load", "load"),
        ("load reps sets", "load"),
        ("load sets reps", "load"),
        ("load sets x reps", "load"),
        ("sets x reps load", "load"),
        ("reps", "reps"),
    )
    return tuple(Convention(read_form(form, form), explicit) for form, explicit in table)


CONVENTIONS = _conventions()

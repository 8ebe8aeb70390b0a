"""Sets printed in the notation of a file; ``parse_sets`` reads them back unchanged."""

from itertools import groupby

from pipeline.tidy.notation.fitting import CONVENTIONAL
from pipeline.tidy.notation.grammar import opens_entry
from pipeline.tidy.notation.numbers import say_number
from pipeline.tidy.notation.readings import (
    LOAD_X_REPS,
    LOW_REPS,
    SURE_SETS,
    is_few,
    says_reps,
)
from pipeline.tidy.notation.records import Form, Notation, ParsedSet
from pipeline.tidy.notation.tokens import is_read_as_marks

BASIS_WORDS = {"per_hand": " per hand", "per_side": " per side"}
SIDE_MARKS = {"left": "L", "right": "R", "both": "both"}


def print_sets(sets: tuple[ParsedSet, ...], notation: Notation) -> str:
    """``sets`` as text in the stated orders of ``notation``, with words where those do not do.

    ``sets`` are as ``parse_sets`` gives them: something done or planned in each, numbers not
    negative, a drop cluster's segments together and numbered from 1.
    """
    entries: list[str] = []
    for cluster, group in groupby(sets, key=lambda s: s.cluster):
        members = list(group)
        if cluster is not None:
            entries.append(" > ".join(_print_one(s, notation, True) for s in members))
        else:
            entries.extend(_print_straight(members, notation))
    return "".join(_separate(entry, notation, i) + entry for i, entry in enumerate(entries))


def _separate(entry: str, notation: Notation, place: int) -> str:
    """What stands before an entry: a new line where after a comma it might continue a list."""
    if place == 0:
        return ""
    if not opens_entry(entry, notation):
        return "\n"
    return "; " if notation.decimal == "," else ", "


def _print_straight(sets: list[ParsedSet], notation: Notation) -> list[str]:
    """Straight sets; equal ones in a row are counted where a stated order counts sets."""
    entries: list[str] = []
    for one, run in groupby(sets):
        left = len(list(run))
        while left > 0:
            form = _stated_form(one, notation, counts_sets=True)
            n = min(left, SURE_SETS) if form else 1
            body = _fill(form, one, n, notation) if form else _print_body(one, notation, False)
            entries.append(body + _print_marks(one, notation))
            left -= n
    return entries


def _print_one(one: ParsedSet, notation: Notation, in_cluster: bool) -> str:
    return _print_body(one, notation, in_cluster) + _print_marks(one, notation)


def _stated_form(one: ParsedSet, notation: Notation, counts_sets: bool) -> Form | None:
    """The first stated order made of just what this set has."""
    wanted = {"reps"} | ({"load"} if one.load is not None else set())
    wanted |= {"sets"} if counts_sets else set()
    form = next((form for form in notation.forms if set(form.fields) == wanted), None)
    is_range = one.reps is None and "-" in (one.reps_target or "")
    if form == LOAD_X_REPS and is_range and is_few(one.load):
        return None  # "3x8-10" is a plan of three sets
    if form is not None and " " in form.links:
        # numbers side by side must be bare ones: "8 +10" would be misread
        texts = _print_work(one, notation) + _print_load(one, notation)
        return form if set(texts) <= set("0123456789" + notation.decimal) else None
    return form


def _print_body(one: ParsedSet, notation: Notation, in_cluster: bool) -> str:
    """Load and work of one set, in a stated order or in words that cannot be misread."""
    form = _stated_form(one, notation, counts_sets=False)
    if form is not None and (len(form.fields) > 1 or in_cluster):
        return _fill(form, one, 1, notation)
    work, load = _print_work(one, notation), _print_load(one, notation)
    words = f"{work} reps" if one.reps is not None or _is_bare_plan(one) else work
    if one.load is None:
        return words if in_cluster else f"1 set x {words}"
    if one.unit is not None or one.basis is not None:
        return f"{load} x {words}"
    if in_cluster and one.reps is not None and _is_drop_clear(one.reps, notation):
        return f"{load}x{work}"
    return f"{words} with {load}"


def _is_drop_clear(reps: int, notation: Notation) -> bool:
    """Whether ``50x10`` in a drop cluster can only be load x reps."""
    has_other_pair = any(f.links == ("x",) and "sets" not in f.fields for f in notation.forms)
    return reps <= LOW_REPS and not has_other_pair


def _fill(form: Form, one: ParsedSet, n: int, notation: Notation) -> str:
    parts = {
        "sets": str(n),
        "reps": _print_work(one, notation),
        "load": _print_load(one, notation),
    }
    count = int(one.reps_target or 0) if _is_bare_plan(one) else one.reps or 0
    if count > CONVENTIONAL.reps and says_reps(form):
        parts["reps"] += " reps"  # before a small load they might be taken for the load
    text = parts[form.fields[0]]
    for link, field in zip(form.links, form.fields[1:], strict=True):
        has_letter = text[-1].isalpha() or parts[field][0].isalpha()
        wide = {" ": " ", ":": ": "}.get(link, f" {link} " if has_letter else link)
        text += wide + parts[field]
    return text


def _print_load(one: ParsedSet, notation: Notation) -> str:
    if one.load is None:
        return ""
    if one.basis == "added" and one.load == 0 and one.unit is None:
        return "bw"
    sign = {"added": "+", "assisted": "-"}.get(one.basis or "", "")
    number = f"{say_number(one.load, notation.decimal)}{one.unit or ''}"
    if one.basis in ("on_bar", "per_side"):
        return _print_beside_bar(one, number, notation)
    return f"{sign}{number}{BASIS_WORDS.get(one.basis or '', '')}"


def _print_beside_bar(one: ParsedSet, number: str, notation: Notation) -> str:
    """``bar``, ``ez bar + 10``, ``bar + 2 plates + 5 per side``."""
    parts = [one.bar] if one.bar is not None else []
    if one.plates is not None:
        parts.append(f"{say_number(one.plates, notation.decimal)} plates")
    is_nothing = one.load == 0 and one.unit is None
    if not is_nothing or (one.basis == "per_side" and one.plates is None):
        parts.append(number)
    return " + ".join(parts) + BASIS_WORDS.get(one.basis or "", "")


def _print_work(one: ParsedSet, notation: Notation) -> str:
    if one.reps is not None:
        return str(one.reps)
    if one.distance_m is not None:
        return say_number(one.distance_m, notation.decimal) + "m"
    if one.duration_s is not None:
        return say_number(one.duration_s, notation.decimal) + "s"
    return (one.reps_target or "").replace(".", notation.decimal)


def _is_bare_plan(one: ParsedSet) -> bool:
    """A plan that would be read as a result if it stood alone: a plain number."""
    has_work = (one.reps, one.distance_m, one.duration_s) != (None, None, None)
    return not has_work and (one.reps_target or "").isdigit()


def _print_marks(one: ParsedSet, notation: Notation) -> str:
    decimal = notation.decimal
    has_other_work = one.reps is not None or one.distance_m is not None
    marks: list[str] = []
    if one.duration_s is not None and has_other_work:
        marks.append(f"in {say_number(one.duration_s, decimal)}s")
    if one.reps_target is not None and (has_other_work or one.duration_s is not None):
        marks.append("target " + one.reps_target.replace(".", decimal))
    if _is_bare_plan(one):
        marks.append("target")
    if one.rir is not None:
        marks.append("RIR " + say_number(one.rir, decimal))
    if one.to_failure is not None:
        marks.append("to failure" if one.to_failure else "not to failure")
    if one.side is not None:
        marks.append(SIDE_MARKS[one.side])
    if one.is_warmup:
        marks.append("w")
    if one.bar is not None and one.basis not in ("on_bar", "per_side"):
        marks.append(one.bar)
    if one.note is not None:
        marks.append(_print_note(one.note, notation))
    return "".join(f" {mark}" for mark in marks)


def _print_note(note: str, notation: Notation) -> str:
    is_plain = note == note.strip() and not set(note) & set('()[]"\n')
    if is_plain and not is_read_as_marks(note, notation):
        return f"({note})"
    return '"' + note.replace('"', '""') + '"'

"""Ways of writing sets that notes know and the set notation does not, said in its own words."""

import re

_WARM_UP = re.compile(
    r"\s*[(\[]\s*(?:warm[\s-]?ups?|aufwärmen|aufgewärmt|échauffement|calentamiento|riscaldamento|"
    r"aquecimento|opwarmen|warming[\s-]?up|uppvärmning)\s*[:\-]?\s*(?P<sets>[^()\[\]]*\d[^()\[\]]*)"
    r"[)\]]\s*",
    re.IGNORECASE,
)
_PLAN = re.compile(
    r"(?P<plan>\d{1,2}\s*[x×*]\s*\d{1,3}(?:\s*[-–]\s*\d{1,3})?)\s*[:=]\s*"
    r"(?P<reps>\d{1,3}(?:\s*[,/]\s*\d{1,3})+)\s*(?:@|at|à|a|bei|mit|med|con|x)\s*"
    r"(?P<load>\d+(?:[.,]\d+)?\s*(?:kgs?|lbs?)?)(?P<rest>\s.*|$)",
    re.IGNORECASE,
)
_DASHES = re.compile(
    r"(?P<reps>\d{1,3}(?:\s*[-–]\s*\d{1,3})+)\s*(?:@|at|à|a|bei|mit|med|con|x)?\s*"
    r"(?P<load>\d+(?:[.,]\d+)?\s*(?:kgs?|lbs?))(?P<rest>\s.*|$)",
    re.IGNORECASE,
)


def rewrite_sets(text: str) -> str:
    """``text`` in the set notation.

    Warm-ups in brackets are sets; a plan before its results is a remark; repetitions joined by
    dashes that do not rise are a list, not a range.

    >>> rewrite_sets("80 x 9/8/6 (warm up 40 x 10, 60 x 5)").split(chr(10))
    ['w 40 x 10', 'w 60 x 5', '80 x 9/8/6']
    >>> rewrite_sets("3x8-10: 5, 4, 3 @ 90 kg")
    '90 kg x 5/4/3 "3x8-10"'
    >>> rewrite_sets("8-6-5 65kg"), rewrite_sets("8-10 65kg")
    ('65kg x 8/6/5', '8-10 65kg')
    """
    warm_up = _WARM_UP.search(text)
    if warm_up:
        rest = (text[: warm_up.start()] + " " + text[warm_up.end() :]).strip(" ,;")
        parts = [part.strip() for part in re.split(r"[,;]\s+|\s\+\s", warm_up["sets"])]
        return "\n".join([*(f"w {part}" for part in parts if part), rewrite_sets(rest)])
    if plan := _PLAN.fullmatch(text):
        return f'{plan["load"]} x {_list(plan["reps"])} "{plan["plan"]}"{plan["rest"]}'
    dashes = _DASHES.fullmatch(text)
    if dashes:
        counts = [int(count) for count in re.findall(r"\d+", dashes["reps"])]
        if len(counts) > 2 or counts[1] <= counts[0]:
            return f"{dashes['load']} x {_list(dashes['reps'])}{dashes['rest']}"
    return text


def _list(reps: str) -> str:
    return "/".join(re.findall(r"\d+", reps))

"""How far a finding is supported: one stated rule a question, from interval, data and checks.

First what interval and amount of data allow (``support_*``). Then the checks on the person's own
record (``stability``): what would be fair or firm is thin until it was checked, thin when a placebo
shows as much, and one word less when it hangs on a choice (``settle``). Firm needs a side: an
interval that leaves out zero, or the published average of weekly sets. A plain count needs no
inference and is firm; a level takes no side, so that nothing could flip it, and is fair at most.
"""

from collections.abc import Iterable
from typing import NamedTuple

from pipeline.core.counted import say_count
from pipeline.findings.say import say_share
from pipeline.models.signals.screen import FALSE_SHARE

REFUSED = "not enough"

# Limits of the rules below: common practice, no published source, where a rule gives no figure.
# That the words mean what they say is measured on simulated careers (``tests/recovery``,
# ``measure_support``; figures of seeds 0 to 199 on the page Methods).
FAIR_SLOPE_WEEKS = 40
FAIR_SLOPE_HALF_WIDTH = 3.0
FIRM_SLOPE_HALF_WIDTH = 2.0
FAIR_RECORD_WEEKS = 156
FAIR_LEVEL_SE_PCT = 3.0
FAIR_WIDTH_OF_PRIOR = 0.95
FAIR_BLOCKS = 8
FAIR_OFF_AVERAGE = 0.3
FIRM_DELOADS = 8
FAIR_LAYOFFS = 4
FAIR_SPANS = 8  # half-years with predictions whose day has come
FAIR_LIFTERS = 10
FAIR_TAPINGS = 12
FAIR_SESSIONS = 100
FAIR_PLACEBOS = 0.1

# Questions whose findings are checked on the person's own record.
CHECKED = (
    "lift_slope",
    "muscle_slope",
    "measure_slope",
    "supported_sets",
    "sets_trend",
    "deload_effect",
    "layoff_loss",
    "signal_effect",
)
CHECK_WORDS = {
    "shuffled_weeks": "shuffled weeks",
    "left_out_year": "each year left out",
    "left_out_quarter": "each quarter left out",
    "left_out_layoff": "each layoff left out",
    "drop_rule": "drops counted half",
    "direct_only": "direct sets only",
    "prior": "another prior",
    "negative_control": "another muscle's sets",
    "fake_dates": "fake dates",
    "shuffled_nights": "nights moved by months",
}

# Checks of a record, or of sets, that hold nothing: whatever shows there is no finding.
PLACEBOS = frozenset(["shuffled_weeks", "shuffled_nights", "negative_control", "fake_dates"])


class Support(NamedTuple):
    """The word on the page and what decided it."""

    word: str
    why: str


COUNTED = Support("firm", "a count, nothing is inferred")


def settle(support: Support, checks: Iterable[tuple[str, bool]]) -> Support:
    """What is left of a fair or firm ``support`` after its checks, (check_name, is_flipped) each.

    Thin without any check, and where a record with nothing in it shows as much (``PLACEBOS``); one
    word less where another choice makes it read otherwise. The reason says on what it hangs.
    """
    flipped: dict[str, bool] = {}
    for name, is_flipped in checks:
        flipped[name] = flipped.get(name, False) or is_flipped
    if not flipped:
        return Support("thin", f"{support.why}; not yet checked on its own record")
    hangs = [name for name, is_so in flipped.items() if is_so]
    said = ", ".join(CHECK_WORDS[name] for name in hangs or flipped)
    if not hangs:
        return Support(support.word, f"{support.why}; holds under: {said}")
    is_firm = support.word == "firm" and not PLACEBOS.intersection(hangs)
    return Support("fair" if is_firm else "thin", f"{support.why}; does not hold under: {said}")


def support_slope(weeks: int, low: float, high: float, record_weeks: int) -> Support:
    """A slope: fair from 40 trained weeks, zero outside the interval and that within 3 % a year
    either way, in a record of three years; firm within 2 %.

    Shorter records hardly tell a change of habit (reserve written down or not, new lifts) from
    strength: on simulated ones of two years, 95 % intervals held about 80 % of true slopes (read
    off by us once; seeds not recorded, no command repeats it).
    """
    half_width = (high - low) / 2
    if record_weeks < FAIR_RECORD_WEEKS:
        return Support("thin", f"{record_weeks} weeks of record, {FAIR_RECORD_WEEKS} for fair")
    if weeks < FAIR_SLOPE_WEEKS:
        return Support("thin", f"{weeks} trained weeks, {FAIR_SLOPE_WEEKS} for fair")
    if half_width > FAIR_SLOPE_HALF_WIDTH:
        limit = FAIR_SLOPE_HALF_WIDTH
        return Support("thin", f"interval of ±{half_width:.1f} % a year, ±{limit:g} for fair")
    if low <= 0.0 <= high:
        return Support("thin", f"{weeks} trained weeks, the interval holds zero")
    word = "firm" if half_width <= FIRM_SLOPE_HALF_WIDTH else "fair"
    return Support(word, f"{weeks} trained weeks, interval of ±{half_width:.1f} % a year")


def support_search(found: int, what: str) -> Support:
    """The best of many looked at (a plateau, the least that held): thin, whatever its interval.

    On simulated careers 7 % of plateaus by the 95 % interval were moving by more than the limit,
    where 2.5 % were due; ``slopes.SEARCH_COVERAGE`` says what is asked instead. Read off by us
    (seeds not recorded), not measured since.
    """
    said = say_count(found, what)
    return Support("thin", f"{said}; picked from many, so its interval says too much")


def support_level(se_pct: float) -> Support:
    """A level: fair when its standard error is within 3 %."""
    word = "fair" if se_pct <= FAIR_LEVEL_SE_PCT else "thin"
    return Support(word, f"standard error {se_pct:.1f} %, {FAIR_LEVEL_SE_PCT:g} for fair")


def is_no_better(width_of_prior: float) -> bool:
    """Best-supported sets are known no better than before the record was read; ``width_of_prior``:
    width of their interval as a share of that before."""
    return width_of_prior > FAIR_WIDTH_OF_PRIOR


def support_sets(
    blocks: int, width_of_prior: float, separated: bool, off_average: float
) -> Support:
    """Best-supported sets: fair when narrower than before the record was read (the published prior,
    moved by other lifters where there are enough), leaning to a side of the published average, and
    not mixed with diet; firm when the interval leaves that average out.

    ``blocks`` are those of the band of training age itself: with few of them the answer is drawn
    from other ages along a straight line. ``off_average`` is the distance from the published
    average in half widths of the interval. On 200 simulated careers (seeds 0 to 199,
    ``python -m tests.recovery.measure_support 200``) the side was right in 91 % of what is fair by
    this rule, in 72 % of the thin; 15 blocks in place of 8 (a year of them) had made neither better
    on 60 careers (seeds not recorded).
    """
    if not separated:
        return Support("thin", "not separated from dieting: no body weight, no phase declared")
    if is_no_better(width_of_prior):
        share = say_share(width_of_prior)
        return Support("thin", f"interval {share} as wide as without this record")
    if blocks < FAIR_BLOCKS:
        return Support("thin", f"{say_count(blocks, 'blocks')}, {FAIR_BLOCKS} for fair")
    if off_average < FAIR_OFF_AVERAGE:
        return Support("thin", f"{blocks} blocks, too near the published average to take a side")
    word = "firm" if off_average >= 1.0 else "fair"
    width = f"{say_share(width_of_prior)} of that without this record"
    return Support(word, f"{blocks} blocks, interval {width}")


def support_trend(separated: bool, is_sided: bool) -> Support:
    """Whether the best sets moved with training age: fair with zero outside the interval, dieting
    told apart; never firm, since regain and a skewed response can look like a moving optimum."""
    if not separated:
        return Support("thin", "not separated from dieting: no body weight, no phase declared")
    if not is_sided:
        return Support("thin", "the interval holds no change")
    return Support("fair", "the interval leaves no change out")


def support_deloads(n: int, excludes_zero: bool) -> Support:
    """An effect of deloads: firm from eight deloads with zero outside the interval, fair with
    fewer. Fake dates and years left out are its checks."""
    if not excludes_zero:
        return Support("thin", "the interval holds zero")
    word = "firm" if n >= FIRM_DELOADS else "fair"
    return Support(word, f"{n} deloads, {FIRM_DELOADS} needed for firm")


def support_rests(n: int) -> Support:
    """What followed weeks of complete rest: thin, since no check on the own record repeats it."""
    return Support("thin", f"{n} weeks of complete rest, not checked")


def support_layoffs(n: int, excludes_zero: bool) -> Support:
    """Loss against weeks off: fair from four layoffs on with zero outside the interval; with fewer
    none of them could be left out."""
    if not excludes_zero:
        return Support("thin", f"{n} layoffs, the interval holds zero")
    word = "fair" if n >= FAIR_LAYOFFS else "thin"
    return Support(word, f"{n} layoffs, {FAIR_LAYOFFS} for fair")


def support_regain(n: int) -> Support:
    """Weeks to regain: thin, since few layoffs cost enough to tell and each took its own time."""
    return Support("thin", f"{n} layoffs whose return could be followed")


def support_measure(tapings: int, excludes_zero: bool) -> Support:
    """A girth: fair from twelve tapings on with zero outside. With four no 95 % interval can leave
    zero out (two-sided p is 0.08 at best), and short series are under-powered up to twelve."""
    if tapings < FAIR_TAPINGS:
        return Support("thin", f"{tapings} tapings, {FAIR_TAPINGS} for fair")
    word, where = ("fair", "without") if excludes_zero else ("thin", "with")
    return Support(word, f"{tapings} tapings, interval {where} zero")


def support_signal(sessions: int, is_standing: bool, p_adjusted: float, tests: int) -> Support:
    """A signal: not enough unless it stands among all that were tested, fair from 100 sessions on.

    Never firm: what moves both the signal and strength cannot be told from the signal.
    """
    if not is_standing:
        limit = f"{p_adjusted:.2f} by chance among {tests} tests, at most {FALSE_SHARE:g} to stand"
        return Support(REFUSED, limit)
    word = "fair" if sessions >= FAIR_SESSIONS else "thin"
    return Support(
        word, f"stands among {tests} tests; {sessions} sessions, {FAIR_SESSIONS} for fair"
    )


def support_screen(sessions: int) -> Support:
    """How many signals stand: thin, since each alone is at most fair and may fall with a check."""
    return Support("thin", f"{sessions} sessions at most behind one test")


def support_forecast(record_weeks: int, se_pct: float, is_sided: bool) -> Support:
    """A forecast: fair from three years of record with a last level known to 3 % and "no change"
    outside the interval; never firm: what comes next also hangs on what nobody has written down."""
    if record_weeks < FAIR_RECORD_WEEKS:
        return Support("thin", f"{record_weeks} weeks of record, {FAIR_RECORD_WEEKS} for fair")
    if se_pct > FAIR_LEVEL_SE_PCT:
        return Support(
            "thin", f"last level known to {se_pct:.1f} %, {FAIR_LEVEL_SE_PCT:g} for fair"
        )
    if not is_sided:
        return Support("thin", f"{record_weeks} weeks of record, the interval holds no change")
    return Support("fair", f"{record_weeks} weeks of record, last level known to {se_pct:.1f} %")


def support_score(n: int, spans: int) -> Support:
    """How predictions held: fair from eight half-years on; never firm, since predictions of one
    person go wrong together."""
    word = "fair" if spans >= FAIR_SPANS else "thin"
    return Support(word, f"{n} predictions of {spans} half-years, {FAIR_SPANS} for fair")


def support_phases(
    n: int, *, is_sided: bool, separated: bool, placebos_called: float | None
) -> Support:
    """What priority phases bought or cost: fair with zero outside the interval, dieting told apart
    and at most a tenth of the matched ordinary stretches read as much; never firm, since a phase is
    read off the response to weekly sets, which has to hold in its weeks too."""
    counted = f"{n} phase{'s' if n > 1 else ''}"
    if not separated:
        return Support("thin", "not separated from dieting: no body weight, no phase declared")
    if not is_sided:
        return Support("thin", f"{counted}, the interval holds zero")
    if placebos_called is None:
        return Support("thin", f"{counted}, no ordinary stretch to hold against")
    shown = f"{say_share(placebos_called)} of ordinary stretches show as much"
    word = "fair" if placebos_called <= FAIR_PLACEBOS else "thin"
    return Support(word, f"{counted}, {shown}, {say_share(FAIR_PLACEBOS)} for fair")


def support_group(lifters: int) -> Support:
    """A mean over lifters: fair from ten of them on."""
    word = "fair" if lifters >= FAIR_LIFTERS else "thin"
    return Support(word, f"{lifters} lifters, {FAIR_LIFTERS} for fair")

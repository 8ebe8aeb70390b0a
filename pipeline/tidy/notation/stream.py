"""A reading head over tokens, shared by the rules of the grammar."""

from pipeline.tidy.notation.records import Notation, NotationError, Token
from pipeline.tidy.notation.words import PLAIN_BAR

MEASURES = ("unit", "basis", "plates", "sets", "reps", "seconds", "minutes", "metres")
LINKS = {"x": "x", "at": "@", "with": "@", "of_or_at": "@", "colon": ":"}
IN_NUMBER = ("plus", "dash", "bw", "bar", "number", "time", "to", *MEASURES)
LONGEST_LOOK = 20  # tokens
PAST_END = 8
MOST_TIMES = 4.0  # "30s x 10, 10": repetitions, more than sets of that time
MOST_LISTED = 30.0  # repetitions that a falling pair may begin with
LEAST_ADDED, PLATE_STEP = 5.0, 2.5  # what a bare "+10" adds: plates, not repetitions
PAIRS_AT = {"reps @ load", "sets reps @ load"}
SAYS = {"unit": "load", "basis": "load", "sets": "sets", "reps": "reps"}


def is_plate_load(number: float) -> bool:
    """Whether a bare number behind a sign is one of plates, not of repetitions."""
    return number != int(number) or (number >= LEAST_ADDED and number % PLATE_STEP == 0)


class Stream:
    """Tokens of one text and the place reached in them; the last token has the kind ``end``."""

    def __init__(self, text: str, tokens: list[Token], notation: Notation) -> None:
        self.text, self.notation = text, notation
        # rules that look ahead stop at the end or at most this far behind it
        self._tokens, self._place = [*tokens, *tokens[-1:] * PAST_END], 0
        self._kinds = [token.kind for token in self._tokens]

    def peek(self, ahead: int = 0) -> Token:
        """The token ``ahead`` places further on."""
        return self._tokens[self._place + ahead]

    def at(self, *kinds: str, ahead: int = 0) -> bool:
        """Whether that token is one of ``kinds``."""
        return self._kinds[self._place + ahead] in kinds

    def take(self) -> Token:
        """The next token, consumed."""
        token = self._tokens[self._place]
        if token.kind != "end":
            self._place += 1
        return token

    def take_if(self, kind: str) -> bool:
        """Consume the next token if it is of this kind."""
        if not self.at(kind):
            return False
        self.take()
        return True

    def error(self, remedy: str) -> NotationError:
        """An error at the next token."""
        return NotationError(self.text, self.peek().start, remedy)

    def is_glued(self, ahead: int = 0) -> bool:
        """Whether that token touches the one before it."""
        place = self._place + ahead
        return place > 0 and self._tokens[place - 1].end == self.peek(ahead).start

    def is_sign_even(self) -> bool:
        """Whether the sign that is next has space on both sides or on neither: 8-10, 8 - 10."""
        return self.is_glued(0) == self.is_glued(1)

    def is_list_sign(self) -> bool:
        """Whether the next token may continue a list of repetitions."""
        return self.at("comma") or (self.notation.decimal == "," and self.at("semicolon"))

    def is_effort(self, ahead: int) -> bool:
        """Whether ``RPE`` or ``RIR`` begins there, an ``@`` before it left out."""
        return self.at("rpe", "rir", ahead=ahead + self.at("at", ahead=ahead))

    def is_rating(self, ahead: int) -> bool:
        """Whether an ``@`` there is no link: ``@ RPE 8``, ``@ 2 RIR``."""
        return self.is_effort(ahead) or (self.at("at", ahead=ahead) and self.is_reserve(ahead + 1))

    def is_reserve(self, ahead: int) -> bool:
        """Whether ``2 RIR``, ``8 RPE``, ``2 left`` or ``2 in reserve`` begins there."""
        is_number = self.at("number", ahead=ahead)
        named = self.at("reserve", "left", ahead=ahead + 1)
        behind = self.at("rir", "rpe", ahead=ahead + 1) and not self.at("number", ahead=ahead + 2)
        return is_number and (named or behind)

    def is_slash_apart(self) -> bool:
        """Whether a slash with space around it is next."""
        return self.at("slash") and not self.is_glued(0) and not self.is_glued(1)

    def is_dash_apart(self) -> bool:
        """Whether a dash with space around it is next."""
        return self.at("dash") and not self.is_glued(0) and not self.is_glued(1)

    def is_added(self) -> bool:
        """Whether ``+10`` or ``+10kg`` is next as a load: apart from what stands before it.

        A small number or an odd one without a unit may count repetitions.
        """
        if not self.at("plus") or self.is_glued(0):
            return False
        if not self.is_glued(1):  # "3x8 + 10kg"
            return self.at("number", ahead=1) and self.at("unit", ahead=2) and self.ends_entry(2)
        is_load = self.at("unit", ahead=2) or is_plate_load(self.peek(1).number)
        return self.at("number", ahead=1) and is_load and self.ends_entry(2)

    def is_bare(self, ahead: int) -> bool:
        """Whether a number that says nothing and is linked to nothing stands there."""
        if not self.at("number", ahead=ahead) or self.is_reserve(ahead):
            return False
        return not self.at(*LINKS, *MEASURES, "plus", "dash", "slash", "to", ahead=ahead + 1)

    def is_dash_run(self) -> bool:
        """Whether three numbers or more are joined by dashes, or two that fall: a list, where two
        that rise are a range."""
        if self._is_falling_pair():
            return True
        is_run = all(self.at(("number", "dash")[i % 2], ahead=i) for i in range(5))
        return is_run and all(self.is_glued(i) == self.is_glued(1) for i in range(1, 5))

    def _is_falling_pair(self) -> bool:
        """``8-6``; but after ``3x`` that would be a slip, and ``100-5`` is none of repetitions."""
        kinds = [self.peek(i).kind for i in range(4)]
        if kinds[:3] != ["number", "dash", "number"] or kinds[3] in ("dash", "x"):
            return False
        first, second = self.peek(0).number, self.peek(2).number
        place = self._place
        is_counted = place > 1 and self.at("x", ahead=-1) and self.at("number", ahead=-2)
        is_even = self.is_glued(1) == self.is_glued(2)
        return second <= first <= MOST_LISTED and is_even and not is_counted

    def is_list_after_dash(self) -> bool:
        """``bw - 12, 10, 8``: a dash apart, then repetitions; ``bw - 12 x 8`` is assisted."""
        kinds = [self.peek(i).kind for i in range(1, 5)]
        is_list = kinds[:3] == ["number", "comma", "number"] and kinds[3] not in LINKS
        return self.is_dash_apart() and is_list

    def is_short_fail(self, ahead: int) -> bool:
        """Whether the letter ``f`` stands there for a failed repetition or set."""
        return self.at("fail", ahead=ahead) and self.peek(ahead).word == "f"

    def is_weight(self, ahead: int) -> bool:
        """Whether a number or plates stand there."""
        return self.at("number", "plates", ahead=ahead)

    def is_bar_apart(self) -> bool:
        """Whether the name of a bar is next that is no load by itself: ``trap bar 100x5``."""
        if not self.at("bar") or self.peek().word == PLAIN_BAR:
            return False
        named = self.at("colon", ahead=1) and self.opens_with_link(2)
        return named or self.at("number", "plates", "bw", ahead=1)

    def is_bar_mark(self) -> bool:
        """Whether the name of a bar is next that only says what was used: ``100x5 trap bar``."""
        is_named = self.at("bar") and self.peek().word != PLAIN_BAR
        return is_named and not self.is_bar_apart() and self.ends_entry(1)

    def is_load(self, ahead: int) -> bool:
        """Whether a load that says so begins there: ``60kg``, ``20 per hand``, ``bw``, ``bar``."""
        if self.at("bw", "bar", "plates", ahead=ahead):
            return True
        is_number = self.at("number", ahead=ahead)
        return is_number and self.at("unit", "basis", "plates", ahead=ahead + 1)

    def says_other(self, ahead: int, *said: str | None) -> bool:
        """Whether a number begins there that says what it is, and is none of ``said``."""
        if None in said or not self.at("number", ahead=ahead):
            return False
        return SAYS.get(self.peek(ahead + 1).kind, said[0]) not in said

    def ends_entry(self, ahead: int) -> bool:
        """Whether, after the words that belong to the number before, no link follows there."""
        while self.at(*MEASURES, ahead=ahead):
            ahead += 1
        goes_on = self.at(*LINKS, "number", "time", "plus", "dash", ahead=ahead)
        goes_on = goes_on or (self.has_slashes and self.at("slash", ahead=ahead))
        return not goes_on or self.is_rating(ahead)

    @property
    def has_slashes(self) -> bool:
        """Whether the file writes sets, repetitions and load with ``/`` between them."""
        return any("/" in form.links for form in self.notation.forms)

    @property
    def has_pairs(self) -> bool:
        """Whether the file writes numbers side by side."""
        return any(" " in form.links or len(form.fields) == 1 for form in self.notation.forms)

    @property
    def states_pairs_at(self) -> bool:
        """Whether the file says what two numbers before ``@`` are, as in ``5 4 @ 80``."""
        return any(str(form) in PAIRS_AT for form in self.notation.forms)

    def is_short_count(self, ahead: int) -> bool:
        """Whether a whole number that can be one of repetitions, and says nothing, stands there."""
        one = self.peek(ahead)
        is_plain = one.kind == "number" and not self.at(*MEASURES, "x", ahead=ahead + 1)
        return is_plain and one.number == int(one.number) and one.number <= MOST_LISTED

    def is_pair_of_weights(self) -> bool:
        """Whether ``30s x 10, 10, 9`` is next: the thirties, not half a minute at 10, 10 and 9.

        One number behind it, or small ones, may be sets of so many seconds.
        """
        unit = self.peek(1)
        is_one = self.at("number") and unit.kind == "seconds" and self.is_glued(1)
        if not is_one or unit.end - unit.start != 1 or not self.at("x", ahead=2):
            return False
        second = 4 + self.at("comma", "slash", "dash", ahead=4)
        counts = [self.peek(ahead) for ahead in (3, second)]
        is_list = all(one.kind == "number" and one.number > MOST_TIMES for one in counts)
        return is_list and not self.at(*LINKS, *MEASURES, ahead=second + 1)

    def starts_slashes(self, ahead: int) -> bool:
        """Whether ``80/5`` or ``80kg/5`` begins there, where the file writes its sets so."""
        after = ahead + 1 + self.at("unit", ahead=ahead + 1)
        is_joined = self.at("slash", ahead=after) and self.at("number", ahead=after + 1)
        return self.has_slashes and self.at("number", ahead=ahead) and is_joined

    def starts_pair(self, ahead: int) -> bool:
        """Whether two numbers begin there: ``65 6``, ``65kg 6``, ``65x6``."""
        after = ahead + 1 + self.at("unit", ahead=ahead + 1)
        return self.at("number", ahead=ahead) and self.at("number", "time", "x", ahead=after)

    def starts_number(self, ahead: int) -> bool:
        """Whether a number begins there, a sign, body weight or a bar included."""
        ahead += self.at("plus", "dash", ahead=ahead)
        return self.at("number", "time", "bw", "bar", "plates", ahead=ahead)

    def starts_work(self, ahead: int) -> bool:
        """Whether a number or ``max`` begins there, its side included."""
        ahead += self.at("side", "left", ahead=ahead)
        return self.starts_number(ahead) or self.at("max", ahead=ahead)

    def starts_chain(self, ahead: int) -> bool:
        """Whether an entry of its own begins there: a load that says so, or a linked number."""
        if self.opens_with_link(ahead) or self.at("bw", "plus", "dash", ahead=ahead):
            return True
        return self.is_load(ahead)

    def opens_with_link(self, ahead: int) -> bool:
        """Whether a number, with the words that belong to it, and a link follow there."""
        while self.at("side", "left", "warmup", "target", "kit", "colon", ahead=ahead):
            ahead += 1
        if not self.starts_number(ahead):
            return False
        last = ahead + LONGEST_LOOK  # a longer run is a list of numbers
        while ahead < last and self.at(*IN_NUMBER, ahead=ahead):
            ahead += 1
        return self.at(*LINKS, ahead=ahead) and not self.is_rating(ahead)

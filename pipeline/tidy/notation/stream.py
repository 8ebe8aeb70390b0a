"""A reading head over tokens, shared by the rules of the grammar."""

from pipeline.tidy.notation.records import Notation, NotationError
from pipeline.tidy.notation.tokens import Token

MEASURES = ("unit", "basis", "sets", "reps", "seconds", "minutes", "metres")
LINKS = {"x": "x", "at": "@", "with": "@", "colon": ":"}


class Stream:
    """Tokens of one text and the place reached in them; the last token has the kind ``end``."""

    def __init__(self, text: str, tokens: list[Token], notation: Notation) -> None:
        self.text, self.notation = text, notation
        # no rule looks further than this past the end
        self._tokens, self._place = [*tokens, *tokens[-1:] * 4], 0

    def peek(self, ahead: int = 0) -> Token:
        """The token ``ahead`` places further on."""
        return self._tokens[self._place + ahead]

    def at(self, *kinds: str, ahead: int = 0) -> bool:
        """Whether that token is one of ``kinds``."""
        return self._tokens[self._place + ahead].kind in kinds

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

    def is_reserve(self, ahead: int) -> bool:
        """Whether ``2 RIR``, ``2 left`` or ``2 in reserve`` begins there."""
        is_number = self.at("number", ahead=ahead)
        named = self.at("reserve", "left", ahead=ahead + 1)
        behind = self.at("rir", ahead=ahead + 1) and not self.at("number", ahead=ahead + 2)
        return is_number and (named or behind)

    def starts_number(self, ahead: int) -> bool:
        """Whether a number begins there, a sign or body weight included."""
        ahead += self.at("plus", "dash", ahead=ahead)
        return self.at("number", "time", "bw", ahead=ahead)

    def starts_chain(self, ahead: int) -> bool:
        """Whether an entry of its own begins there: a load that says so, or a linked number."""
        if self.opens_with_link(ahead) or self.at("bw", "plus", "dash", ahead=ahead):
            return True
        return self.at("number", ahead=ahead) and self.at("unit", "basis", ahead=ahead + 1)

    def opens_with_link(self, ahead: int) -> bool:
        """Whether a number, with the words that belong to it, and a link follow there."""
        while self.at("side", "left", "warmup", "colon", ahead=ahead):
            ahead += 1
        if not self.starts_number(ahead):
            return False
        while self.at("plus", "dash", "bw", "number", "time", "to", *MEASURES, ahead=ahead):
            ahead += 1
        return self.at(*LINKS, ahead=ahead) and not self.is_effort(ahead)

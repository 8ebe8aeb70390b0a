"""Exercise names as written to exercises: exact, abbreviated, misspelt, or honestly unmatched.

A name is matched, in this order, by

1. the lifter's own decision (``names.toml``);
2. a name or alias: the same words, however spaced, accented, abbreviated or ordered; the angle,
   the position and the side are taken out of the name where the rest needs it;
3. words that only repeat what the exercise is (its equipment, its stance) or describe the day;
4. spelling: words that occur in no name are replaced by near ones; known words never are.

Below ``LIMIT``, or where two exercises are equally near, the name is unmatched: it is listed with
the three nearest exercises and keeps its sets. Nothing is dropped and nothing is guessed.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

import polars as pl

from pipeline.core.errors import SettingsError, nearest
from pipeline.core.json_schema import check_entries, load_schema
from pipeline.core.settings import is_there, read_toml
from pipeline.tidy import name_spelling
from pipeline.tidy.name_variants import Variant, list_variants
from pipeline.tidy.name_words import EQUIPMENT, OCCASIONS, STANCES, split_name

LIMIT = 0.8  # certainty below which a name stays unmatched
SURE = {"exact": 1.0, "compact": 0.98, "order": 0.95, "stripped": -0.02, "repeats": 0.9}
N_CANDIDATES = 3

How = Literal["decision", "name", "alias", "spelling", "words", "unmatched"]
Words = tuple[str, ...]


@dataclass(frozen=True)
class NameMatch:
    """What a written name stands for.

    ``certainty`` runs from 0 to 1; ``candidates`` are the three nearest exercises of an unmatched
    name, nearest first; ``angle_deg`` is the bench angle written in the name, ``position`` and
    ``side`` the set-up and side written in it.
    """

    exercise_id: str | None
    certainty: float
    candidates: tuple[str, ...] = ()
    how: How = "unmatched"
    angle_deg: float | None = None
    position: str | None = None
    side: str | None = None


@dataclass(frozen=True, eq=False)
class NameIndex:
    """Every known name, ready to be looked up; see ``from_reference``."""

    decisions: Mapping[Words, str]
    as_written: Mapping[Words, frozenset[str]]
    in_order: Mapping[Words, frozenset[str]]
    compact: Mapping[str, frozenset[str]]
    any_order: Mapping[Words, frozenset[str]]
    own_words: Mapping[str, Words]
    traits: Mapping[str, frozenset[str]]
    speller: name_spelling.Speller
    _known: dict[str, NameMatch] = field(default_factory=dict, repr=False)

    @classmethod
    def from_reference(
        cls, aliases: pl.DataFrame, exercises: pl.DataFrame, decisions: Mapping[str, str]
    ) -> "NameIndex":
        """Index the tables ``ref_alias`` and ``ref_exercise`` and the lifter's decisions.

        Raises
        ------
        SettingsError
            when a decision names an exercise that does not exist.
        """
        own = {row["exercise_id"]: split_name(row["name"]) for row in exercises.to_dicts()}
        named = list(exercises.select("name", "exercise_id").iter_rows())
        named += list(aliases.select("alias", "exercise_id").iter_rows())
        pairs = list(_written_out(named))
        in_order = _collect(pairs)
        return cls(
            decisions=_check_decisions(decisions, own),
            as_written=_collect((split_name(text, expand=False), key) for text, key in named),
            in_order=in_order,
            compact=_collect(("".join(words), key) for words, key in pairs),
            any_order=_collect((tuple(sorted(words)), key) for words, key in pairs),
            own_words=own,
            traits={row["exercise_id"]: _traits(row) for row in exercises.to_dicts()},
            speller=name_spelling.Speller.from_names(in_order),
        )

    def resolve(self, text: str) -> NameMatch:
        """The exercise that ``text`` names, or an unmatched result with the nearest ones."""
        if text not in self._known:
            self._known[text] = self._resolve(text)
        return self._known[text]

    def _resolve(self, text: str) -> NameMatch:
        words = split_name(text)
        variants = list_variants(words)
        if words in self.decisions:
            decided = NameMatch(self.decisions[words], 1.0, how="decision")
            return self._add_set_up(decided, variants[-1])
        ids = self.as_written.get(split_name(text, expand=False), frozenset())
        if len(ids) == 1:  # "sl deadlift", whatever sl stands for elsewhere
            how: How = "name" if words in (self.own_words[one] for one in ids) else "alias"
            return self._add_set_up(NameMatch(next(iter(ids)), 1.0, how=how), variants[0])
        for stage in (self._by_name, self._by_repeated_words, self._by_spelling):
            for variant in variants:
                found = stage(variant)
                if found is not None:
                    return self._add_set_up(found, variant if found.exercise_id else variants[-1])
        return self._unmatched(words, variants[-1])

    def _by_name(self, variant: Variant) -> NameMatch | None:
        ids, certainty, how = self._look_up(variant.words)
        return self._decide(ids, certainty, how, variant)

    def _look_up(self, words: Words) -> tuple[frozenset[str], float, How]:
        tables: tuple[tuple[Mapping, Words | str, str], ...] = (
            (self.in_order, words, "exact"),
            (self.compact, "".join(words), "compact"),
            (self.any_order, tuple(sorted(words)), "order"),
        )
        for table, key, kind in tables:
            if key in table and words:
                ids = table[key]
                is_name = any(self.own_words[one] == words for one in ids)
                how: How = "words" if kind == "order" else "name" if is_name else "alias"
                return ids, SURE[kind], how
        return frozenset(), 0.0, "unmatched"

    def _by_repeated_words(self, variant: Variant) -> NameMatch | None:
        """``barbell bench press`` where the bench press is a barbell lift anyway."""
        extras = [w for w in variant.words if w in EQUIPMENT or w in STANCES or w in OCCASIONS]
        for dropped in [*([word] for word in extras), extras]:
            rest = tuple(w for w in variant.words if w not in dropped)
            ids = self._look_up(rest)[0]
            fitting = frozenset(one for one in ids if self._repeats(dropped, one))
            if fitting:
                return self._decide(fitting, SURE["repeats"], "words", variant)
        return None

    def _repeats(self, dropped: Iterable[str], exercise_id: str) -> bool:
        traits = self.traits[exercise_id]
        return all(w in OCCASIONS or w in traits for w in dropped)

    def _by_spelling(self, variant: Variant) -> NameMatch | None:
        """Unknown words corrected; where that gives no name, the whole name with its spaces out."""
        for readings in (self.speller.corrections, self.speller.near_names):
            hits: dict[float, set[str]] = {}
            for words, certainty in readings(variant.words):
                ids = self._look_up(words)[0]
                if ids:
                    hits.setdefault(certainty, set()).update(ids)
            if hits:
                best = max(hits)
                near = [ids for value, ids in hits.items() if value > best - name_spelling.MARGIN]
                return self._decide(frozenset().union(*near), best, "spelling", variant)
        return None

    def _decide(
        self, ids: frozenset[str], certainty: float, how: How, variant: Variant
    ) -> NameMatch | None:
        """One exercise is a match; several are a tie, listed and not chosen from."""
        if not ids:
            return None
        if len(ids) > 1:
            return self._unmatched(variant.words, variant, first=sorted(ids))
        certainty += SURE["stripped"] * variant.stripped
        if certainty < LIMIT:
            return None
        return NameMatch(next(iter(ids)), round(certainty, 2), how=how)

    def _add_set_up(self, found: NameMatch, variant: Variant) -> NameMatch:
        """Angle, position and side, except where the word is part of the exercise's own name."""
        own = self.own_words.get(found.exercise_id or "", ())
        is_own = variant.position_word in own or (
            variant.position_word == "front" and not variant.stripped
        )  # "front plank": a known name in which front is no set-up
        position = None if is_own else variant.position
        return replace(found, angle_deg=variant.angle_deg, position=position, side=variant.side)

    def _unmatched(self, words: Words, variant: Variant, first: Iterable[str] = ()) -> NameMatch:
        ranked = self.speller.nearest(words)
        ids = tuple(first)
        for names, _ in ranked:
            ids += tuple(one for one in sorted(self.in_order[names]) if one not in ids)
        best = max((score for _, score in ranked), default=0.0)
        found = NameMatch(None, round(min(best, LIMIT - 0.01), 2), ids[:N_CANDIDATES])
        return self._add_set_up(found, variant)


def read_name_decisions(path: Path) -> dict[str, str]:
    """The lifter's decisions: name as written -> exercise id; none when there is no such file.

    ::

        [names]
        "Bench (gym B)" = "machine_chest_press"

    Raises
    ------
    SettingsError
        when the file is not TOML or holds something else.
    """
    if not is_there(path):
        return {}
    entries = read_toml(path)
    check_entries(path.name, entries, load_schema("pipeline.tidy", "names.schema.json"))
    names = entries.get("names", {})
    return dict(names) if isinstance(names, dict) else {}


def _check_decisions(decisions: Mapping[str, str], own: Mapping[str, Words]) -> dict[Words, str]:
    checked: dict[Words, str] = {}
    for text, exercise_id in decisions.items():
        if exercise_id not in own:
            near = own and f"did you mean {nearest(exercise_id, own)}?"
            hint = near or "the reference has no exercises"
            raise SettingsError(f"names.toml: {text!r} = {exercise_id!r}: no such exercise: {hint}")
        checked[split_name(text)] = exercise_id
    return checked


def _written_out(named: Iterable[tuple[str, str]]) -> Iterator[tuple[Words, str]]:
    """Names with abbreviations written out; what stands so somewhere itself goes before."""
    plain: dict[Words, list[str]] = {}
    short: dict[Words, list[str]] = {}
    for text, exercise_id in named:
        words = split_name(text)
        is_plain = words == split_name(text, expand=False)
        (plain if is_plain else short).setdefault(words, []).append(exercise_id)
    for words, ids in (short | plain).items():
        yield from ((words, exercise_id) for exercise_id in ids)


def _collect(pairs: Iterable[tuple]) -> dict:
    found: dict = {}
    for key, exercise_id in pairs:
        found.setdefault(key, set()).add(exercise_id)
    return {key: frozenset(ids) for key, ids in found.items()}


def _traits(row: Mapping[str, object]) -> frozenset[str]:
    """Words that say nothing new of an exercise: its equipment and its stance."""

    def words() -> Iterator[str]:
        yield from (word for word, value in EQUIPMENT.items() if row.get("equipment") == value)
        yield from (word for word, value in STANCES.items() if row.get("stance") == value)

    return frozenset(words())

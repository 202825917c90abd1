"""The vocabulary: the words of a clause, and the phrases that mean a step or a way of working.

Words are compared by their stem, and a word that is nearly one of the vocabulary's counts as a slip of spelling. A
pronoun counts as the thing it stands for as well.
"""

from __future__ import annotations

import marshal
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import chain, product
from pathlib import Path
from typing import Any, Literal, NamedTuple, TypeVar

from listel.core.contract.tables import Row, load_table
from listel.core.files import keep_made, read_made, shipped
from listel.core.quick import dataclass
from listel.plugins.sequence.wording import mended, plain_words, stem, words_of, written_out

ADJOINING = "+"
"""A choice of words that begins with it must stand right behind the word before."""

Kind = Literal["phrases", "ways", "denied", "verbs", "deeds", "alone"]
KINDS: tuple[Kind, ...] = ("phrases", "ways", "denied", "verbs", "deeds", "alone")
TURNS = {"off": ("off", "kept"), "kept": ("kept",), "back": ("back",)}
"""By the columns that hold things the turns of phrase that these stand in."""

Made = TypeVar("Made")

State = Literal["told", "mentioned", "denied"]

ANOTHER_MATTER = "another-matter"
"""What the vocabulary calls a matter of another trade, or of the office."""

Named = tuple[tuple[str, str], ...]
"""Steps and ways of working with phrases that plugins gave for them."""


@dataclass(frozen=True)
class Word:
    """A word of a clause: as ``written``, its stem, whether it is told, only mentioned, or denied, and of a pronoun the
    stem of the thing it stands for (``meant``)."""

    written: str
    root: str
    state: State = "told"
    meant: str = ""

    @property
    def small(self) -> bool:
        return self.written in plain_words("fillers")

    def fits(self, choice: frozenset[str]) -> bool:
        return self.root in choice or f"={self.written}" in choice or self.meant in choice


class Phrase(NamedTuple):
    """One phrase: the step it means ("" for a name that means none), and for each of its words what may stand there,
    as stems, or after an equals sign as the word itself.

    ``ways`` are one way of doing it, which a "no" forbids without leaving the step out; ``denied`` phrases mean that
    the step is left out. ``verbs`` mean their step where they stand as a verb, ``deeds`` unless they stand as a thing
    ("over the nails"); ``alone``: they mean it only where the line names no other step, or as the one word of their
    part. ``turns``: it holds a "before" or a "no" of its own. ``given``: by a plugin, which knows what it means.
    """

    step: str
    words: tuple[frozenset[str], ...]
    kind: Kind
    turned: bool = False
    turns: bool = False
    given: bool = False


@dataclass(frozen=True, eq=False)
class Phrases:
    """Phrases; of each the numbers of the choices of words it ``needs``; by each word the choices it ``fits``; by the
    choice that they begin with the places of the phrases."""

    phrases: tuple[Phrase, ...]
    needs: Sequence[frozenset[int]]
    fits: Mapping[str, Sequence[int]]
    firsts: Mapping[int, Sequence[int]]

    def within(self, words: Sequence[Word]) -> list[Phrase]:
        """The phrases of which every word stands among some, in their order."""
        keys = {key for word in words for key in (word.root, f"={word.written}", word.meant)}
        met = {number for key in keys for number in self.fits.get(key, ())}
        begun = (place for number in met for place in self.firsts.get(number, ()))
        return [self.phrases[place] for place in sorted(begun) if self.needs[place] <= met]


@cache
def vocabulary(named: Named = ()) -> Phrases:
    """Every phrase, and every phrase of verb and thing turned about ("scan walls", "walls scanned"); and the phrases
    that plugins gave.
    """
    return _sorted((*_given(named, methods=False), *_phrases("vocabulary")))


@cache
def own_phrases(named: Named) -> Phrases:
    """The phrases that plugins gave for steps."""
    return _sorted(tuple(_given(named, methods=False)))


@cache
def method_phrases(named: Named = ()) -> Phrases:
    """Every phrase for a way of working, with those that plugins gave."""
    return _sorted((*_given(named, methods=True), *_phrases("method_words")))


def _given(named: Named, *, methods: bool) -> Iterator[Phrase]:
    for step, phrase in named:
        if words_of(phrase) and methods == (step in known_methods()):
            yield from (
                Phrase(step, words, "phrases", given=True) for each in _each(phrase) for words in _as_given(each)
            )


@cache
def phrases_of(table: str) -> Phrases:
    """The phrases of a table in the form of the vocabulary."""
    return _sorted(_phrases(table))


def _sorted(phrases: tuple[Phrase, ...]) -> Phrases:
    numbers: dict[frozenset[str], int] = {}
    needs: list[frozenset[int]] = []
    firsts: dict[int, list[int]] = {}
    for place, phrase in enumerate(phrases):
        needed = [numbers.setdefault(choice, len(numbers)) for choice in phrase.words]
        needs.append(frozenset(needed))
        firsts.setdefault(needed[0], []).append(place)
    fits: dict[str, list[int]] = {}
    for choice, number in numbers.items():
        for word in choice:
            fits.setdefault(word, []).append(number)
    return Phrases(phrases=phrases, needs=needs, fits=fits, firsts=firsts)


def _kept(make: Callable[..., Made]) -> Callable[..., Made]:
    """What takes long to make of the words beside this file, kept there in plain values until a file there changes."""

    @cache
    def made(*of: str) -> Made:
        here, name = Path(__file__), "-".join((make.__name__, *of))
        made_of = [shipped(path) for path in sorted(here.parent.iterdir()) if path.suffix in (".py", ".yaml")]
        kept = read_made(here, name, *made_of)
        if kept is None:
            fresh: Any = make(*of)
            kept = marshal.dumps(fresh)
            keep_made(here, name, kept, *made_of)
        found: Made = marshal.loads(kept)
        return found

    return made


@cache
def _phrases(table: str) -> tuple[Phrase, ...]:
    return tuple(map(Phrase._make, _written_phrases(table)))


@_kept
def _written_phrases(table: str) -> list[tuple[Any, ...]]:
    return [tuple(phrase) for phrase in _all_phrases(table)]


def _all_phrases(table: str) -> Iterator[Phrase]:
    for row in load_table(__package__, table):
        step = row["step"]
        for kind, phrase in _written(row):
            words, turns = tuple(map(_stems_of, phrase)), any(map(_turns, phrase))
            yield Phrase(step, words, kind, turns=turns)
            if step and kind in ("phrases", "ways") and len(words) == 2 and not words[1] & _not_turned():
                yield Phrase(step, words[::-1], kind, turned=True, turns=turns)


@cache
def _stems_of(choice: str) -> frozenset[str]:
    """What may stand in one place of a phrase, as stems or as the word itself."""
    return frozenset(map(_as_compared, choices_of(choice)))


@cache
def _as_compared(word: str) -> str:
    return word if word[0] in "=+" else stem(word)


@cache
def _turns(choice: str) -> bool:
    return not _turning().isdisjoint(choices_of(choice))


@cache
def _turning() -> frozenset[str]:
    return plain_words("mentions") | plain_words("denials")


@cache
def _not_turned() -> frozenset[str]:
    return plain_stems("particles") | {ADJOINING}


def _written(row: Row) -> Iterator[tuple[Kind, tuple[str, ...]]]:
    """Every phrase of a row as the choices of its words, the words left out written out."""
    for kind, choices in _with_turns(row):
        for each in _with_and_without(choices):
            yield kind, each


def _with_turns(row: Row) -> Iterator[tuple[Kind, list[str]]]:
    """Every phrase of a row, the turns of phrase written out."""
    for kind in KINDS:
        for phrase in row.get(kind, ()):
            yield kind, phrase.split()
    for column, turns in TURNS.items():
        for thing, turn in product(row.get(column, ()), turns):
            read_as: Kind = "denied" if turn == "kept" else "phrases"
            for phrase in load_table(__package__, "turns").row(turn)["phrases"]:
                yield read_as, [choice.replace("X", thing) for choice in phrase.split()]


def _with_and_without(choices: Sequence[str]) -> Iterable[tuple[str, ...]]:
    """A phrase with and without each of its words that may be left out."""
    ways = [("", choice[:-1]) if choice[-1] == "?" else (choice,) for choice in choices]
    if all(len(way) == 1 for way in ways):
        return [tuple(choices)]
    return [tuple(filter(None, way)) for way in product(*ways)]


def _each(phrase: str) -> Iterator[str]:
    """A plugin's phrase, one for each choice of its words: "make/frame the panels" is two."""
    return map(" ".join, product(*(word.split("/") for word in phrase.split())))


def _as_given(phrase: str) -> Iterator[tuple[frozenset[str], ...]]:
    """The words of a plugin's phrase: all but the small ones, and those that are more than everyday English, where they
    are several."""
    words = [word for word in words_of(written_out(phrase.replace("-", " "))) if word not in plain_words("fillers")]
    telling = [word for word in words if word not in plain_words("common")]
    for chosen in [words, telling] if 1 < len(telling) < len(words) else [words]:
        if chosen:
            yield tuple(frozenset({stem(mended_word(word))}) for word in chosen)


@cache
def choices_of(choice: str) -> tuple[str, ...]:
    """The words that may stand in one place of a phrase, its classes of words written out."""
    plain = choice.removeprefix(ADJOINING)
    words = chain.from_iterable(map(_class_or_word, plain.split("/")))
    return (*((ADJOINING,) if plain != choice else ()), *words)


@cache
def _class_or_word(word: str) -> tuple[str, ...]:
    if not word.startswith("<"):
        return (word,)
    written = load_table(__package__, "word_classes").row(word[1:-1])["words"].split()
    return tuple(chain.from_iterable(map(_class_or_word, written)))


@cache
def class_stems(name: str) -> frozenset[str]:
    """The stems of a class of words."""
    return frozenset(stem(word.removeprefix("=")) for word in choices_of(f"<{name}>"))


@cache
def plain_stems(row: str) -> frozenset[str]:
    """The stems of one row of the plain words."""
    return frozenset(stem(word) for word in plain_words(row))


@cache
def words_that_mean(column: str) -> dict[str, str]:
    """By the stem of each word in a column of the vocabulary, its step."""
    rows = load_table(__package__, "vocabulary")
    return {stem(word): row["step"] for row in rows for each in row.get(column, ()) for word in choices_of(each)}


@cache
def stages() -> dict[str, frozenset[str]]:
    """By step the stages of the work that it belongs to."""
    return {row["step"]: frozenset(row.get("stage", ())) for row in load_table(__package__, "vocabulary")}


@cache
def outranked() -> dict[str, tuple[str, ...]]:
    """By step those that a clause which tells it does not mean as well."""
    return {row["step"]: tuple(row.get("over", ())) for row in load_table(__package__, "vocabulary")}


@cache
def known_methods() -> frozenset[str]:
    """Every way of working that the audit has words for."""
    return frozenset(row["step"] for row in load_table(__package__, "method_words") if row["step"])


@cache
def known_steps() -> frozenset[str]:
    """Every step that the vocabulary has words for."""
    return frozenset(
        row["step"] for row in load_table(__package__, "vocabulary") if row["step"] not in ("", ANOTHER_MATTER)
    )


def _words_in(row: Row) -> Iterable[str]:
    """Every word of a row's phrases, in order."""
    choices = dict.fromkeys(choice.removesuffix("?") for _, phrase in _with_turns(row) for choice in phrase)
    words = dict.fromkeys(chain.from_iterable(map(choices_of, choices)))
    return dict.fromkeys(word.removeprefix("=") for word in words if word != ADJOINING)


@_kept
def _known() -> list[str]:
    """The words that a slip of spelling may have been meant for."""
    rows = (row for table in ("vocabulary", "method_words") for row in load_table(__package__, table))
    return sorted(set().union(*map(_words_in, rows)))


@_kept
def _roots() -> frozenset[str]:
    """The stems of all words that are known."""
    rows = ("common", "looks-like", "mentions", "denials", "particles", "before-things")
    phrases = chain(_phrases("vocabulary"), _phrases("method_words"))
    words = frozenset().union(*{choice for phrase in phrases for choice in phrase.words}) - {ADJOINING}
    stems = (stem(word[1:]) if word[0] == "=" else word for word in words)
    return frozenset(stems).union(*(plain_stems(row) for row in rows))


@cache
def mended_word(word: str) -> str:
    """The word, or the one of the vocabulary that it is a slip for, or "gluing" for "gluin"."""
    if stem(word) in _roots():
        return word
    if word.endswith("in") and stem(f"{word}g") in _roots():
        return f"{word}g"
    return mended(word, _known())


def nearest_step(text: str) -> str:
    """The step one of whose words is nearest to a word of a line that was not recognised, or "" if none is near."""
    from rapidfuzz import fuzz, process

    best, likeness = "", 60.0
    for word in words_of(text):
        if len(word) < 3 or word in plain_words("common"):
            continue
        found = process.extractOne(word, _steps_by_word().keys(), scorer=fuzz.ratio, score_cutoff=likeness + 1e-9)
        if found:
            best, likeness = _steps_by_word()[found[0]], found[1]
    return best


@_kept
def _steps_by_word() -> dict[str, str]:
    """The step that first uses each word of the vocabulary that is more than everyday English."""
    steps: dict[str, str] = {}
    for row in load_table(__package__, "vocabulary"):
        for word in _words_in(row) if row["step"] in known_steps() else ():
            if len(word) > 3 and word not in plain_words("common"):
                steps.setdefault(word, row["step"])
    return steps

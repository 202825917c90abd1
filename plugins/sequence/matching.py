"""Where the phrases of the vocabulary stand in the words of a clause.

The longest phrase wins, of those of one length the one whose words stand closest; its words are used up, and the search
goes on, so that one clause may hold several steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from listel.core.quick import dataclass
from listel.plugins.sequence.phrases import ADJOINING, Phrase, Phrases, Word, class_stems, plain_stems
from listel.plugins.sequence.wording import plain_words

MOST_BETWEEN = 4
"""So many other words may stand between two words of a phrase, the small ones not counted."""


@dataclass(frozen=True)
class Match:
    """A phrase, and the places of its words in a part of a clause."""

    phrase: Phrase
    places: tuple[int, ...]

    def spans_and(self, words: Sequence[Word]) -> bool:
        return any(words[place].root in ("and", "or") for place in range(self.places[0], self.places[-1]))

    def is_whole(self, words: Sequence[Word]) -> bool:
        """Whether only small words stand beside its own."""
        return all(word.small or place in self.places for place, word in enumerate(words))

    def between(self, words: Sequence[Word]) -> int:
        """How many words that are not small stand between its own."""
        own = set(self.places)
        return sum(not words[p].small for p in range(self.places[0], self.places[-1]) if p not in own)

    def by_meaning(self, words: Sequence[Word]) -> int:
        """How many pronouns it takes for the thing they stand for."""
        return sum(words[p].meant in choice for p, choice in zip(self.places, self.phrase.words, strict=True))

    def uses(self, words: Sequence[Word]) -> Sequence[int]:
        """The words it uses up: its own and those between; where "and" parts them its own alone, and of these not the
        thing, which both deeds share.
        """
        if not self.spans_and(words):
            return range(self.places[0], self.places[-1] + 1)
        return [place for place in self.places if words[place].root not in things()]


@cache
def things() -> frozenset[str]:
    """The stems of the things that a deed may be done to."""
    classes = ("trim", "stock", "wall", "floor", "paint", "knot", "hole", "head", "fastener", "cover", "service")
    return class_stems("removed").union(*(class_stems(name) for name in classes))


def matches_in(words: Sequence[Word], vocabulary: Phrases) -> list[Match]:
    """The phrases in one part of a clause that use no word twice: one that a plugin gave and that is the whole part
    alone, else the longest first, then the closest, then the foremost."""
    used = [False] * len(words)
    found: list[Match] = []
    phrases = vocabulary.within(words)
    for match in (match for phrase in phrases if phrase.given for match in _matches(phrase, words, used)):
        if match.is_whole(words):
            return [match]
    for length in sorted({len(phrase.words) for phrase in phrases}, reverse=True):
        matches = [
            match for phrase in phrases if len(phrase.words) == length for match in _matches(phrase, words, used)
        ]
        matches.sort(
            key=lambda match: (
                match.spans_and(words),
                match.between(words),
                -match.by_meaning(words),
                match.phrase.turned,
                match.places,
            )
        )
        for match in matches:
            if any(used[place] for place in match.places):
                continue
            found.append(match)
            for place in match.uses(words):
                used[place] = True
    return found


def _matches(phrase: Phrase, words: Sequence[Word], used: Sequence[bool]) -> Iterator[Match]:
    for first, word in enumerate(words):
        if used[first] or not word.fits(phrase.words[0]):
            continue
        if phrase.kind == "deeds" and _stands_as_thing(words, first):
            continue
        if phrase.kind == "verbs" and not _stands_as_verb(words, first):
            continue
        places = [first]
        for choice in phrase.words[1:]:
            window = _window(words, places[-1] + 1, MOST_BETWEEN if phrase.step and ADJOINING not in choice else 0)
            after = next((place for place in window if not used[place] and words[place].fits(choice)), None)
            if after is None:
                break
            places.append(after)
        else:
            match = Match(phrase, tuple(places))
            whole = phrase.step or not match.spans_and(words) or "and" in set().union(*phrase.words)
            if whole and (phrase.turns or phrase.kind == "denied" or _alike([words[place] for place in places])):
                yield match


def _alike(words: Sequence[Word]) -> bool:
    """Whether words are all told, mentioned or denied, or the first denied and what it is not done to mentioned."""
    states = {word.state for word in words}
    return len(states) == 1 or (states == {"denied", "mentioned"} and words[0].state == "denied")


def _window(words: Sequence[Word], start: int, most: int) -> Iterator[int]:
    """The places from ``start`` on with at most so many other words before them; small words go free."""
    between = 0
    for place in range(start, len(words)):
        yield place
        between += not words[place].small
        if between > most:
            return


def _stands_as_thing(words: Sequence[Word], place: int) -> bool:
    """Whether a word stands behind "the" or "over", or behind "the" and one word more ("the door paint"), or before
    "holes"."""
    if place + 1 < len(words) and words[place + 1].root in plain_stems("of-fasteners"):
        return True
    if place and words[place - 1].written in plain_words("before-things"):
        return words[place].state != "denied"
    return place > 1 and words[place - 2].written in ("the", "old", "existing") and words[place - 1].state == "told"


def _stands_as_verb(words: Sequence[Word], place: int) -> bool:
    """Whether a word stands first, or behind "we", "to", "will" or another word that a verb stands behind."""
    if place + 1 < len(words) and words[place + 1].root in plain_stems("of-fasteners") | plain_stems("of-paint"):
        return False
    before = next((w for w in reversed(words[:place]) if w.written not in plain_words("adverbs")), None)
    return before is None or before.written in plain_words("before-verbs") or before.state != words[place].state

"""What a clause of a plan means, in the words people use: its steps, what it leaves out, its ways of working and waits.

The vocabulary finds what it has words for; what the words weigh decides where it finds nothing, or too much.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, replace
from functools import cache
from itertools import chain, takewhile

from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.plugins.sequence.clauses import dated, parts_of, spot
from listel.plugins.sequence.phrases import Named, Word, nearest_step, plain_stems
from listel.plugins.sequence.recognise import Told, methods_told, steps_told
from listel.plugins.sequence.weighing import (
    PERHAPS,
    SURE,
    Found,
    Mark,
    Weighing,
    kind_of,
    tail_of,
    weights,
)
from listel.plugins.sequence.wording import plain_words, stem, waits_told, words_of, written_out

SCRIBE = "scribe"
COPE = "cope"
BURN_OFF = "!burn-off"
HOT_AIR = "!hot-air"

Titles = Sequence[tuple[str, str]]
"""Names of steps, each with its title."""

_DRYING = re.compile(
    r"\b(?:once|when|after|until|till|while|let|leave|allow|wait(?:ing)?(?: for)?|give)\s+(?:[a-z0-9']+\s+){0,6}?"
    r"(?:dry|dries|dried|drying|sets?(?! (?:aside|out|up|down|in)\b)|cure|cured|cures|harden(?:s|ed)?|hard"
    r"|gone off|goes off|go off|going off)\b"
)
"""Words that only say something is to dry or set: no step of their own."""

_WAIT_FIRST = re.compile(
    r"^\W*(?:then\s+)?(?:after|wait|leave|allow|give|next|following|overnight|\d|an? |one |two |three )"
)
_IN_HAND = re.compile(
    r"\b(?:in hand|received|on file|on site|back from|back|came|clear|granted|discharged|displayed|done)\b"
)
_AFTER_THAT = re.compile(r"^\W*(?:and )?after (?:that|which)\b")
_AFTER_DOING = re.compile(r"\bafter\s+((?:[a-z]+\s+)?[a-z]{2,}ing\b[^,;.:()!?]*)")
_BETWEEN = re.compile(r"\s*(?:in\s+|let\s+)?(?:between|apart|each|per)\b")
_LEFT_OUT = re.compile(
    r"\b(?:leave|left|leaving|miss|keep)\s+((?:(?!dry|set|go|air)\w+\s+){1,4}?)(?:out\b(?! of)|off altogether\b)"
)
_ONCE = re.compile(
    r"\b(?:(?:i|we|he|she|they|people|folk|everyone) used to|(?:would|might|could) have|wanted to"
    r"|(?:last|previous) (?:decorator|owner|builder|joiner|painter|man|chap|lot|people)|suggest(?:ed|s)|proposed|i read"
    r"|asked (?:re|about|if|whether))\b"
)
"""Words behind which stands what was done once, or would have been."""

_INSTEAD = re.compile(r"\binstead of ((?:(?!use|we|i|do|try)[\w-]+ ){1,5}?)(?=(?:use|we|i|do|try)\b)")
_BEFORE_ALL = re.compile(
    r"\bbefore (?:anything|(?:any |the )?works?\b(?: (?:starts?|begins?|proper))?"
    r"|(?:any(?:body|one)|we|you|they|i) (?:starts?|begins?))"
)
"""Words that only say that what follows comes first."""


@dataclass(frozen=True)
class Pause:
    """Hours to wait, ``after`` so many of the line's own steps; ``between``: between any two of them as well. ``of``:
    the step of another line that it is the wait of ("the lime needs eight weeks"), "" where it is of this line.
    """

    hours: float
    after: int
    between: bool = False
    of: str = ""


@dataclass(frozen=True)
class Reading:
    """A line read: the ``steps`` it holds, in the order it names them, the ``pauses`` it says to keep, the ``day`` it
    names (counted from the first, or a ``weekday``, 0 for Monday). ``in_hand``: it says that an answer has come.

    ``implied``: steps it says it comes after ("after drilling"); ``driven``: what it drives, nails or screws.
    ``denied``: steps it leaves out on purpose; ``methods``: ways of working it names; ``parts``: of each step the part
    of the clause that it stands in; ``lost``: it means something and was not
    recognised; ``nearest``: the step it is nearest to; ``members``: it names nothing but members of the trim, as a line
    does that goes on from the one before; ``thing``: the stem of the thing that "it" would stand for behind it;
    ``tail``: the last words up to its end, which the next one is weighed by; ``last``: the step told last in it or
    before it; ``doubts``: readings that are not sure, each with whether it counts; ``scribed``: what its scribes are in
    a job that copes its corners, scribes or copes.
    """

    steps: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    methods: tuple[str, ...] = ()
    parts: tuple[int, ...] = ()
    pauses: tuple[Pause, ...] = ()
    _: KW_ONLY
    day: float | None = None
    weekday: int | None = None
    in_hand: bool = False
    implied: tuple[str, ...] = ()
    driven: frozenset[str] = frozenset()
    lost: bool = False
    nearest: str = ""
    members: bool = False
    thing: str = ""
    tail: tuple[Word, ...] = ()
    last: str = ""
    doubts: tuple[tuple[Mark, bool], ...] = ()
    scribed: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Heard:
    """A clause as the vocabulary finds it: its ``parts``, its text less what only says that something is to dry
    (``told``), and what is ``found`` in that."""

    parts: Sequence[Sequence[Word]]
    told: str
    found: Told
    methods: Mapping[str, bool]

    def weighed(self, tail: Sequence[Word], *, settled: bool = False) -> Weighing:
        """What its words weigh, behind the words ``tail``; nothing where it is settled."""
        found = Found(
            told=frozenset(self.found.steps),
            denied=frozenset(self.found.denied),
            methods=frozenset(self.methods),
            other=self.found.known,
        )
        return Weighing(parts=() if settled else self.parts, found=found, tail=tail)


def heard(text: str, named: Named = (), before: Reading | None = None) -> Heard:
    """A clause in plain words, without its day, behind the one that was read as ``before``."""
    told = _BEFORE_ALL.sub(" ", _DRYING.sub(_until, text))
    found = steps_told(told, named, before.thing if before else "")
    return Heard(parts=tuple(parts_of(text)), told=told, found=found, methods=methods_told(told, named))


def read_line(
    text: str, settled: tuple[str, ...] = (), named: Named = (), titles: Titles = (), before: Reading | None = None
) -> Reading:
    """One clause of a plan, behind the one that was read as ``before``.

    ``settled`` are step names that the person gave for it, which outrank its words; ``named`` are phrases that plugins
    gave for steps: of the words of one, those that are more than everyday English must stand in it; ``titles`` are
    the titles of steps, each of which is its step whatever else its words say.
    """
    plain = plainly(text)
    day, weekday, rest = dated(plain)
    settled = settled or titled_by(text, titles)
    clause = heard(rest, named, before)
    weighing = clause.weighed(before.tail if before else (), settled=bool(settled))
    never = never_read(clause.methods)
    members = not settled and _only_members(clause.told)
    if settled:
        marks = [Mark(step, 0, place, 1.0) for place, step in enumerate((*settled, *(f"!{m}" for m in clause.methods)))]
    else:
        marks = [] if members else [mark for mark in marks_of(clause, weighing) if mark.mark not in never]
    marks = _without_flame(marks, clause.parts)
    told = [mark for mark in marks if mark.mark[0] not in "-!"]
    last = before.last if before else ""
    steps = tuple(mark.mark for mark in told)
    reading = Reading(
        steps=steps,
        denied=tuple(mark.mark[1:] for mark in marks if mark.mark[0] == "-"),
        methods=tuple(mark.mark[1:] for mark in marks if mark.mark[0] == "!"),
        parts=tuple(mark.part for mark in told),
        pauses=tuple(_pauses(rest, weighing, told, last, settled=bool(settled))),
        day=day,
        weekday=weekday,
        in_hand=bool(_IN_HAND.search(rest)),
        implied=_implied(clause.told, steps, named),
        driven=frozenset(_driven(clause.told)),
        thing=clause.found.thing or (before.thing if before else ""),
        tail=tail_of(clause.parts, before.tail if before else ()),
        last=steps[-1] if steps else last,
        doubts=() if settled or members else tuple(_doubts(marks, weighing, never)),
        scribed=() if settled else tuple(dict.fromkeys(_scribed(clause.parts))),
    )
    says_nothing = bool(reading.pauses) or day is not None or clause.told != rest or not words_of(clause.told)
    if marks or settled or clause.found.known or says_nothing:
        return reading
    return replace(reading, lost=True, nearest="fix" if members else _nearest(weighing, rest), members=members)


def titled_by(text: str, titles: Titles) -> tuple[str, ...]:
    """The steps whose title a line is, word by word."""
    words = words_of(plainly(text))
    return tuple(dict.fromkeys(step for step, title in titles if _title_words(title) == words))


@cache
def _title_words(title: str) -> list[str]:
    return words_of(written_out(title))


def plainly(text: str) -> str:
    """A clause in small letters and its short forms written out, what is left out and what was done once put plainly;
    without an "after that" at its head."""
    lowered = _LEFT_OUT.sub(r"skip \1", written_out(text))
    return _AFTER_THAT.sub("", _INSTEAD.sub(r"not \1, ", _ONCE.sub("once", lowered)).replace("instead of", "not"))


def marks_of(clause: Heard, weighing: Weighing) -> list[Mark]:
    """The marks that are sure enough, none beside its own denial, in the order in which the clause tells them. What
    stands there in words that a plugin gave is what it means, and nothing else in its part that only weighs so."""
    found = clause.found
    own = [
        Mark(step, part, place, 1.0)
        for place, (step, part) in enumerate(zip(found.steps, found.parts, strict=True))
        if step in found.given or step not in weights().topics
    ]
    ways = ((f"!{method}", given) for method, given in clause.methods.items())
    own += [Mark(mark, 0, 0, 1.0) for mark, given in ways if given or mark not in weights().topics]
    chosen = {mark.mark: mark for mark in own}
    for mark in weighing.marks:
        outranked = mark.part in {each.part for each in own} and mark.mark.lstrip("!") not in {
            *found.steps,
            *clause.methods,
        }
        if mark.sure >= weights().sure[kind_of(mark.mark)] and not outranked:
            chosen.setdefault(mark.mark.lstrip("-"), mark)
    return sorted(chosen.values(), key=lambda mark: (mark.part, mark.place, mark.mark))


def never_read(methods: Iterable[str]) -> frozenset[str]:
    """The steps that a clause which names these ways of working never is."""
    rows = (load_table(__package__, "methods").find(method) for method in methods)
    return frozenset(chain.from_iterable(row.get("never", ()) for row in rows if row is not None))


def _doubts(marks: Sequence[Mark], weighing: Weighing, never: frozenset[str]) -> Iterator[tuple[Mark, bool]]:
    """The marks that count without being sure, and the one that comes nearest to counting where none counts."""
    yield from ((mark, True) for mark in marks if mark.sure < SURE)
    nearest = next((mark for mark in weighing.marks if mark.mark not in never), None)
    if not marks and nearest and nearest.sure >= PERHAPS:
        yield nearest, False


def _without_flame(marks: list[Mark], parts: Sequence[Sequence[Word]]) -> list[Mark]:
    """The marks without a burning off that is by hot air alone, since no flame is told."""
    flames = any(word.state == "told" and word.written in plain_words("flames") for words in parts for word in words)
    by_hot_air = not flames and any(mark.mark == HOT_AIR for mark in marks)
    return [mark for mark in marks if not (by_hot_air and mark.mark == BURN_OFF)]


def _scribed(parts: Sequence[Sequence[Word]]) -> Iterator[str]:
    """Of each scribe of a clause whether it is one to a surface, or in a corner, where joiners call a cope so: what is
    named first behind it decides, else what is named last before it."""
    places = dict.fromkeys(plain_words("corners"), COPE) | dict.fromkeys(plain_words("surfaces"), SCRIBE)
    for words in parts:
        for at, word in enumerate(words):
            if word.root == stem(SCRIBE):
                named = chain(_up_to_joint(words[at + 1 :]), _up_to_joint(words[:at][::-1]))
                yield next((places[each.written] for each in named if each.written in places), SCRIBE)


def _up_to_joint(words: Sequence[Word]) -> Iterator[Word]:
    return takewhile(lambda word: word.written not in plain_words("joints"), words)


def _nearest(weighing: Weighing, text: str) -> str:
    """The step that a clause weighs most for, though not enough; else the one whose words are nearest."""
    perhaps = next((mark for mark in weighing.marks if mark.mark[0] not in "-!"), None)
    return perhaps.mark if perhaps and perhaps.sure >= PERHAPS else nearest_step(text)


def _until(drying: re.Match[str]) -> str:
    """What is left of words that only say something is to dry: an "until", which takes a denial before it away."""
    return " until " if drying[0].startswith(("until", "till")) else " "


def _pauses(text: str, weighing: Weighing, told: Sequence[Mark], last: str, *, settled: bool) -> Iterator[Pause]:
    """The waits of a line, each with the step that it is the wait of; a time that waits for nothing is none."""
    steps = [mark.mark for mark in told]
    for place, behind, hours in times_told(text):
        if settled:
            yield Pause(hours, 0 if _WAIT_FIRST.match(text) else len(steps), between=True)
            continue
        sure, of = max(weighing.waited_for(place, told, last), default=(0.0, ""))
        if sure >= weights().sure["wait"]:
            after = steps.index(of) + 1 if of in steps else 0
            yield Pause(hours, after, between=bool(_BETWEEN.match(behind)), of="" if after else of)


def times_told(text: str) -> Iterator[tuple[tuple[int, int], str, float]]:
    """Each time that a text says to wait: where it stands (a part, a word of it), the text behind it, its hours."""
    if not plain_words("no-waits").intersection(words_of(text)):
        for start, end, hours in waits_told(text):
            yield spot(text[:start]), text[end:], hours


def _implied(text: str, steps: tuple[str, ...], named: Named) -> tuple[str, ...]:
    """The steps that a line says it comes after, in the form "after drilling"."""
    found = [step for clause in _AFTER_DOING.findall(text) for step in steps_told(clause, named).steps]
    return tuple(dict.fromkeys(step for step in found if step not in steps))


def _driven(text: str) -> Iterator[str]:
    """What a line drives: nails (or pins, brads, tacks) or screws; not where it names their holes or their heads."""
    for words in parts_of(text):
        for place, word in enumerate(words):
            after = words[place + 1].root if place + 1 < len(words) else ""
            if word.state == "told" and after not in plain_stems("of-fasteners"):
                if word.root in plain_stems("nails"):
                    yield "nails"
                elif word.root == "screw":
                    yield "screws"


def _only_members(text: str) -> bool:
    """Whether a text names members of the trim and nothing else."""
    members = frozenset(load_table(__package__, "word_classes").row("trim")["words"].split())
    words = set(words_of(text))
    return bool(words & members) and words <= members | plain_words("beside-members")

"""Who set what: the results of those that amend, put together line by line, and what must be told about it.

Every author sets in the result as it was given. A key of a line that one of them sets is set; one that two set
otherwise is a clash, and on that line both are left out, whole. Nobody's name and no order comes into it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import Any, get_type_hints

from listel.core.contract.findings import WEIGHTS, Finding, Grounds, Source, Where
from listel.core.contract.lines import Amendment, Sets, fits, hint_words, lines_of, settable, where_of
from listel.core.contract.rules import Rules
from listel.core.house.filters import shown_value, shown_values
from listel.core.quick import dataclass
from listel.core.survey.units import Units

PLACES = 3
"""So many places are named; the rest are counted."""


@dataclass(frozen=True)
class Clash:
    """A key of a line that authors set otherwise: what each ``wanted``, and what ``stands``."""

    line: Any
    key: str
    unit: str
    wanted: tuple[tuple[str, Any], ...]
    stands: Any


@dataclass(frozen=True)
class Merged:
    """A result with all that was set in it, what was left out since others set it otherwise, and what the giver could
    not ``follow``."""

    result: Any
    amendments: tuple[Amendment, ...]
    clashes: tuple[Clash, ...]
    unfollowed: tuple[Amendment, ...] = ()

    def followed(self, result: Any) -> Merged:
        """The same with the result as its giver brought it in step; what does not stand in it was not followed."""
        stands = {each: getattr(result, each.field)[each.index] for each in self.amendments}
        kept = tuple(each for each, line in stands.items() if getattr(line, each.key) == each.now)
        return Merged(result, kept, self.clashes, tuple(each for each in self.amendments if each not in kept))


Asked = tuple[int, str, Any]
"""What is to be set: the number of the line in its result, the key, the value."""


def asked(given: Any, wanted: Iterable[Sets]) -> list[Asked]:
    """What an amender sets in the lines of a result. Raises TypeError for what may not be set."""
    numbers = {id(line): number for number, (_, _, line) in enumerate(lines_of(given))}
    return [
        (numbers[id(each.line)], key, value)
        for each in wanted
        if id(each.line) in numbers
        for key, value in each.values.items()
        if _may_be(each.line, key, value)
    ]


_types = cache(get_type_hints)


def _may_be(line: Any, key: str, value: Any) -> bool:
    may = settable(line.__class__)
    if key not in may:
        these = f"; {', '.join(may)} may" if may else ""
        raise TypeError(f"it sets {key} of a {line.LINE} line, which may not be set{these}")
    hint = _types(line.__class__)[key]
    if not fits(value, hint):
        raise TypeError(f"it sets {key} to {value!r}; it is {hint_words(hint)}")
    if unfit := may[key].unfit(value):
        raise TypeError(f"it sets {key} to {value!r}; it {unfit}")
    return True


def merged(given: Any, wanted: Sequence[tuple[str, Sequence[Asked]]]) -> Merged:
    """The given result with all that the authors set in it."""
    by_line: dict[int, dict[str, list[tuple[str, Any]]]] = {}
    for by, changes in sorted(wanted, key=lambda each: each[0]):
        for number, key, value in changes:
            by_line.setdefault(number, {}).setdefault(key, []).append((by, value))
    lines: dict[str, list[Any]] = {}
    amendments: list[Amendment] = []
    clashes: list[Clash] = []
    for number, (name, index, line) in enumerate(lines_of(given)):
        sets = by_line.get(number, {})
        units = {key: may.unit for key, may in settable(line.__class__).items()} if sets else {}
        split = {key: each for key, each in sets.items() if any(value != each[0][1] for _, value in each)}
        out = {by for each in split.values() for by, _ in each}
        clashes += [Clash(line, key, units[key], tuple(each), getattr(line, key)) for key, each in split.items()]
        fresh: dict[str, Any] = {}
        for key, each in sets.items():
            for by, value in dict(each).items():
                if by not in out and value != getattr(line, key):
                    fresh[key] = value
                    amendments.append(
                        Amendment(
                            by=by,
                            kind=line.LINE,
                            key=key,
                            unit=units[key],
                            was=getattr(line, key),
                            now=value,
                            where=where_of(line),
                            result=type(given).__name__,
                            field=name,
                            index=index,
                        )
                    )
        lines.setdefault(name, []).append(replace(line, **fresh) if fresh else line)
    result = replace(given, **{name: tuple(held) for name, held in lines.items()}) if amendments else given
    return Merged(result, tuple(amendments), tuple(clashes))


# ---------------------------------------------------------------- what is told


def told(rules: Rules, made: Merged, units: Units) -> Iterator[Finding]:
    """A record for each author and kind of line, and a hold for each clash."""
    for clashes in _grouped(made.clashes, lambda clash: (clash.key, clash.wanted)).values():
        yield _clash(rules, clashes, units)
    setters = [each.by for each in (*made.amendments, *made.unfollowed)]
    authors = dict.fromkeys([*setters, *(by for clash in made.clashes for by, _ in clash.wanted)])
    for by in authors:
        yield _record(rules, by, made, units)


def _clash(rules: Rules, clashes: Sequence[Clash], units: Units) -> Finding:
    first = clashes[0]
    each = " and ".join(f"{by} sets {shown_value(value, first.unit, units)}" for by, value in first.wanted)
    stands = shown_values([clash.stands for clash in clashes], first.unit, units)
    kind = _lines(first.line.LINE, len(clashes))
    says = (
        f"{first.key.replace('_', ' ').capitalize()} of {kind} is set in more than one way: {each}. None of them "
        f"stands there; listel's own does, {stands} ({_places(where_of(clash.line) for clash in clashes)})."
    )
    grounds = Grounds(sources=tuple(_source(by) for by, _ in first.wanted))
    return rules["amended-otherwise"].told(
        "hold", says, _one(where_of(clash.line) for clash in clashes), grounds, _NARROW
    )


_NARROW = "Narrow one of the two, or give both the same value."


def _record(rules: Rules, by: str, made: Merged, units: Units) -> Finding:
    mine = [each for each in made.amendments if each.by == by]
    lost = [clash for clash in made.clashes if by in dict(clash.wanted)]
    says = []
    for (kind, key, unit), group in _grouped(mine, lambda each: (each.kind, each.key, each.unit)).items():
        now, was = (shown_values([getattr(each, word) for each in group], unit, units) for word in ("now", "was"))
        says.append(f"{by} sets {key.replace('_', ' ')} to {now} on {_lines(kind, len(group))} (it was {was}).")
    if lost:
        kept = shown_values([clash.stands for clash in lost], lost[0].unit, units)
        says.append(
            f"What {by} sets on {_lines(lost[0].line.LINE, len(lost))} stands nowhere, since another sets it "
            f"otherwise: {lost[0].key.replace('_', ' ')} stays {kept} there."
        )
    if idle := [each for each in made.unfollowed if each.by == by]:
        says.append(
            f"On {_lines(idle[0].kind, len({each.index for each in idle}))} nothing can be set, and nothing is "
            f"({_places(each.where for each in idle)})."
        )
    where = _one([*(each.where for each in (*mine, *idle)), *(where_of(clash.line) for clash in lost)])
    return rules["amended"].told("record", " ".join(says), where, Grounds(sources=(_source(by),)))


def protection_lost(
    rules: Rules, bare: Iterable[Finding], stands: Iterable[Finding], amendments: Sequence[Amendment]
) -> Iterator[Finding]:
    """A hold for each rule of which a finding that protects people stands without the amendments, and not, or
    lighter, with them."""
    kept: dict[tuple[str, ...], int] = {}
    for finding in stands:
        kept[_at(finding)] = min(_heft(finding), kept.get(_at(finding), len(WEIGHTS)))
    open_bare = (each for each in bare if each.protects and each.settled is None)
    gone = [each for each in open_bare if _heft(each) < kept.get(_at(each), len(WEIGHTS))]
    for rule, findings in _grouped(gone, lambda finding: finding.rule).items():
        places = {(each.where.room, each.where.wall) for each in findings}
        near = [a for a in amendments if (a.where.room, a.where.wall) in places] or list(amendments)
        who = " and ".join(sorted({f"{each.by} (which sets {each.key.replace('_', ' ')})" for each in near}))
        says = (
            f"As listel reckons it, {rule} is told here, and it protects people; as {who} has it, it is gone, or "
            f"lighter ({_places(each.where for each in findings)}). It said: {findings[0].says}"
        )
        mend = "Take back what was set there, or record by who may say so what makes it safe."
        where = _one(each.where for each in findings)
        yield rules["protection-amended"].told("hold", says, where, findings[0].grounds, mend)


def _at(finding: Finding) -> tuple[str, ...]:
    where = finding.where
    return (finding.rule, where.room, where.wall, where.trim)


def _heft(finding: Finding) -> int:
    return WEIGHTS.index(finding.weight)


def _grouped(items: Iterable[Any], key: Any) -> dict[Any, list[Any]]:
    found: dict[Any, list[Any]] = {}
    for item in items:
        found.setdefault(key(item), []).append(item)
    return found


def _lines(kind: str, count: int) -> str:
    return f"{count} {kind} {'line' if count == 1 else 'lines'}"


def _places(wheres: Iterable[Where]) -> str:
    places = list(dict.fromkeys(str(where) for where in wheres))
    more = f" and {len(places) - PLACES} more places" if len(places) > PLACES else ""
    return f"{'; '.join(places[:PLACES])}{more}"


def _one(wheres: Iterable[Where]) -> Where:
    """The place, where all are one."""
    distinct = dict.fromkeys(wheres)
    return next(iter(distinct)) if len(distinct) == 1 else Where()


def _source(by: str) -> Source:
    return Source(by, standing="house-rule")

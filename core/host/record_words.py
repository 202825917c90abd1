"""Records and what lifts a rule, in words: for findings, for grounds and for the catalogue."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from listel.core.contract.lift import Lift
from listel.core.survey.job import Record

Spot = tuple[str, str]
"""A room and a wall; "" for all of them."""


def lift_in_words(lift: Lift) -> str:
    """What lifts a rule, as it is declared: for the catalogue."""
    ways = " or ".join(f"{outcome} as {', '.join(names)}" for outcome, names in lift.outcomes.items())
    return f"a record of {lift.step}: {ways}{with_its(lift)}"


def with_its(lift: Lift) -> str:
    """What a record that lifts names besides who says what, in words that follow others."""
    wants = ["room"] * (not lift.whole_job) + ["reference"] * lift.reference + ["date"] * lift.date
    return f", with its {all_of(wants)}" if wants else ""


def kept_in_words(lift: Lift) -> Iterator[str]:
    """What ends what was found, and which outcomes keep the hold, in lines."""
    if lift.after_found:
        yield f"once it was found only as {either(lift.after_found)}, later, and naming that very place"
    for outcome, finishes in lift.on_finish.items():
        yield f"{outcome} only of a wall that it names and that has {either(finishes)}"
    if lift.keeps:
        yield f"it holds while it is {either(['found', *lift.keeps])}"


def places_in_words(spots: Iterable[Spot]) -> str:
    """Walls in words: "wall A of the Hall and walls B and C of the Parlour"."""
    rooms: dict[str, list[str]] = {}
    for room, wall in spots:
        rooms.setdefault(room, []).append(wall)
    return " and ".join(_room_in_words(room, walls) for room, walls in rooms.items())


def _room_in_words(room: str, walls: list[str]) -> str:
    if walls == [""]:
        return room or "the whole job"
    return f"wall{'s' if len(walls) > 1 else ''} {', '.join(walls)} of {room}"


def day_in_words(record: Record) -> str:
    """The day of a record, in words that follow others."""
    return f" on {record.on}" if record.on else ""


def either(words: Iterable[str]) -> str:
    """Words as a sentence lists what may be: "a, b or c"."""
    words = list(words)
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else "".join(words)


def all_of(words: Sequence[str]) -> str:
    """Words as a sentence lists what must be: "a, b and c"."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))

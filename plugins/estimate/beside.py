"""Alternatives side by side: another survey, other house rules, other boards, repair against replacement."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from listel.core.commands.run import examined, firm_of
from listel.core.contract.lines import told
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.existing import ExistingTrim
from listel.core.survey.job import Flight, Job, Opening, Room, Wall
from listel.core.survey.units import show_length
from listel.core.survey.yaml_places import read_document
from listel.plugins.estimate.rates import Rates
from listel.plugins.estimate.results import LAID_ON, NOUGHT, Estimate
from listel.plugins.existing import Existing


@dataclass(frozen=True, kw_only=True)
class Difference:
    """What one room costs here and there."""

    room: str = told("the room; empty: the whole job")
    laid_on: bool = told("whether it is what is laid on all: overheads, margin, contingency, taxes", default=False)
    this: Decimal = told("what it comes to")
    other: Decimal = told("what it would come to")
    more: Decimal = told("how much more the other is; less where negative")


def differences(this: Estimate, other: Estimate) -> tuple[Difference, ...]:
    """Two estimates room by room, what is no room's own and what is laid on all last; they differ as the totals do."""
    mine, theirs = _by_room(this), _by_room(other)
    rooms = sorted({**mine, **theirs}, key=lambda each: (each[1], not each[0]))
    return tuple(
        Difference(
            room=room,
            laid_on=laid_on,
            this=mine.get((room, laid_on), NOUGHT),
            other=theirs.get((room, laid_on), NOUGHT),
            more=theirs.get((room, laid_on), NOUGHT) - mine.get((room, laid_on), NOUGHT),
        )
        for room, laid_on in rooms
    )


def _by_room(found: Estimate) -> dict[tuple[str, bool], Decimal]:
    rooms: dict[tuple[str, bool], Decimal] = {}
    for item in found.items:
        key = (item.room, item.kind in LAID_ON)
        rooms[key] = rooms.get(key, NOUGHT) + (item.amount or NOUGHT)
    return rooms


def other_outcome(path: Path, arguments: argparse.Namespace, rates: Sequence[Rates]) -> Outcome:
    """The outcome of another survey, or of this one with the house rules in that file too.

    Raises SurveyFaults where it cannot be read.
    """
    data = read_document(path, "survey or house file").data
    if not (isinstance(data, dict) and "listel-house" in data):
        return examined(path, arguments, rates)
    more = copy(arguments)
    more.house = [*arguments.house, path]
    return examined(arguments.survey, more, rates)


def alternatives(
    outcome: Outcome, arguments: argparse.Namespace, rates: Sequence[Rates]
) -> Iterator[tuple[str, Outcome]]:
    """Every choice there is to make in the survey, with its outcome: an old piece replaced where it is to be repaired
    or the other way, and one stock length of several."""
    firm = firm_of(arguments)
    for name, job in (*_other_ways(outcome), *_other_boards(outcome.job)):
        yield name, firm.examine(job, rates)


OTHER_WAY = {"repair": "replace", "replace": "repair"}


def _other_ways(outcome: Outcome) -> Iterator[tuple[str, Job]]:
    job, found = outcome.job, outcome.sheet.get(Existing) or Existing()
    for piece in found.pieces:
        if piece.intent in OTHER_WAY:
            other = OTHER_WAY[piece.intent]
            rooms = _changed(job.rooms, job, piece.line, other)
            yield f"{piece.what}, {piece.where}: {other}, not {piece.intent}", replace(job, rooms=rooms)


def _changed(thing: Any, job: Job, line: int, intent: str) -> Any:
    """The same rooms, but for the intent of the old piece on that line of the survey."""
    if isinstance(thing, tuple):
        return tuple(_changed(each, job, line, intent) for each in thing)
    if isinstance(thing, ExistingTrim) and job.line(thing) == line:
        return replace(thing, intent=intent)
    if isinstance(thing, (Room, Wall, Opening, Flight)):
        inside = {key: getattr(thing, key) for key in HOLDS if hasattr(thing, key)}
        return replace(thing, **{key: _changed(held, job, line, intent) for key, held in inside.items()})
    return thing


HOLDS = ("walls", "openings", "stairs", "existing")
"""What old trim may stand in, and itself."""


def _other_boards(job: Job) -> Iterator[tuple[str, Job]]:
    for trim in job.trim:
        lengths = sorted({board.length for board in job.stock if board.trim == trim.name})
        for length in lengths if len(lengths) > 1 else ():
            stock = tuple(board for board in job.stock if board.trim != trim.name or board.length == length)
            yield f"{trim.name}, only boards of {show_length(length, job.units)}", replace(job, stock=stock)

"""Pieces told as done: what is written into the survey for them, as the cutting list has them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from listel.core.host.outcome import Outcome
from listel.core.survey.done import DonePiece
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import KeyPath, did_you_mean
from listel.core.survey.splice import changed, found
from listel.core.survey.yaml_places import read_text
from listel.plugins.cutting import CuttingList
from listel.plugins.progress import PieceDone, Progress
from listel.plugins.setting_out import Joints

Change = tuple[KeyPath, Any]
"""A place in the survey and what is to stand there; of a list one more entry, where the place is the list's own."""
LISTS = (("done", "pieces"), ("joints",), ("records",))


def done_changes(outcome: Outcome, labels: Iterable[str], state: str, by: str, on: str) -> list[Change]:
    """What is written for pieces that are done, ``by`` whom and ``on`` which day: the joints that they settle, and each
    that was not told so before, cut from where it was told or planned. Raises InputFault for labels that no piece has,
    for nobody, and for what is no day or one before what was told last."""
    if not by.strip():
        raise InputFault("say who did it")
    day_of(on)
    known, made = pieces_named(outcome, labels), outcome.job.done.made
    told = [_done(outcome, known[label], state, by, on) for label in known if not again(made.get(label), state)]
    return [*joints_of(outcome, known.values()), *told]


def written_in(text: str, changes: Iterable[Change]) -> str:
    """The survey's text with these changes."""
    for path, value in changes:
        text = changed(text, _place(text, path), value)
    return text


def _place(text: str, path: KeyPath) -> KeyPath:
    """The place itself; of a list that takes one more entry, that behind its last."""
    held = found(read_text(text, "survey").data, path)
    if path in LISTS or path[-1:] == ("earlier",):
        return (*path, len(held) if isinstance(held, list) else 0)
    return path


def day_of(text: str, option: str = "") -> str:
    """A day as 2026-03-14. Raises InputFault where it is none, which names the ``option`` that gave it."""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise InputFault(f"{option}{text}: this is no date; write a day as 2026-03-14: year, month, day") from None


def pieces_named(outcome: Outcome, named: Iterable[str]) -> dict[str, PieceDone]:
    """The pieces named, each once. Raises InputFault for every label that no piece has."""
    pieces = {piece.label: piece for piece in outcome.sheet[Progress].pieces}
    labels = dict.fromkeys(named)
    wrong = [
        f"{label}: no piece has this label.{did_you_mean(label, pieces, 'there are')}"
        for label in labels
        if label not in pieces
    ]
    if wrong:
        raise InputFault("\n".join(wrong))
    return {label: pieces[label] for label in labels}


def again(before: DonePiece | None, state: str) -> bool:
    """Whether the same was told last of a piece."""
    return before is not None and before.state == state


def _done(outcome: Outcome, piece: PieceDone, state: str, by: str, on: str) -> Change:
    """One piece as done: where it was cut from as told before, else as the cutting list has it."""
    before = outcome.job.done.made.get(piece.label)
    if before is not None and on < before.on:
        raise InputFault(f"{piece.label}: it was {before.state} on {before.on}; --on {on} is before that")
    entry = {"piece": piece.label, "for": piece.trim, "state": state, "by": by, "on": on}
    return ("done", "pieces"), entry | _cut_from(outcome, piece.label)


def _cut_from(outcome: Outcome, label: str) -> dict[str, Any]:
    before = outcome.job.done.made.get(label)
    if before is not None:
        known = {"length": before.length, "board": before.board, "at": before.at}
        return {key: in_full(value) for key, value in known.items() if value not in (None, "")}
    lists = outcome.sheet.get(CuttingList) or CuttingList()
    for board in (board for line in lists.lines for board in line.boards):
        for cut in board.cuts:
            if cut.piece == label:
                lengths = {"length": in_full(cut.end - cut.start), "at": in_full(cut.start)}
                return {"length": lengths["length"], "board": board.board, "at": lengths["at"]}
    return {}


def in_full(value: Any) -> Any:
    """A length so close that it is shown as the one it was, whatever the units round to."""
    return f"{round(value, 3):.10g} mm" if isinstance(value, float) else value


def joints_of(outcome: Outcome, told: Iterable[PieceDone]) -> Iterator[Change]:
    """Where the runs of these pieces are jointed: what is cut settles it."""
    return joints_on(outcome, {(piece.room, piece.wall, piece.trim) for piece in told})


def joints_on(outcome: Outcome, walls: set[tuple[str, str, str]]) -> Iterator[Change]:
    """The same of walls, each with its room and its trim; where the survey tells them already, nothing."""
    walls = walls - {(each.room, each.wall, each.trim) for each in outcome.job.joints}
    joints = outcome.sheet.get(Joints) or Joints()
    for room, wall, trim in sorted(walls):
        at = [place for key, places in joints.stations.items() if key[:3] == (room, wall, trim) for place in places]
        if at:
            places = [in_full(float(one)) for one in sorted(at)]
            yield ("joints",), {"room": room, "wall": wall, "trim": trim, "at": places}

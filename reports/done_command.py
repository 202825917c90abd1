"""``listel done SURVEY PIECE ...``: tell in the survey which pieces are cut, fitted, fixed or spoilt, or what a wall
reads that was measured again. Comments and layout of the file stay."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from typing import Any

from listel.core.commands.run import add_run_arguments, examined, examined_text, firm_of
from listel.core.commands.show import print_json, spoken
from listel.core.contract.lines import plain
from listel.core.files import write_whole
from listel.core.host.outcome import Outcome
from listel.core.survey.done import STATES, DonePiece
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.core.survey.messages import KeyPath, did_you_mean
from listel.core.survey.nodes import TAPE_SLACK
from listel.core.survey.rooms import Wall
from listel.core.survey.splice import changed
from listel.core.survey.units import parse_angle, parse_length, show_length
from listel.core.survey.yaml_places import read_text, text_of
from listel.plugins.closure import Closures
from listel.plugins.cutting import CuttingList
from listel.plugins.progress import Progress
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import Joints, Piece, SettingOut
from listel.reports.acted_on import SAME, cut_alike
from listel.reports.piece_done import Change, again, day_of, done_changes, in_full, joints_on, pieces_named, written_in

HAIR = 1e-6
"""Two costs no farther apart are one."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    parser.add_argument("pieces", nargs="*", metavar="PIECE", help="labels of pieces, as the cutting list has them")
    parser.add_argument(
        "--step", action="append", default=[], metavar="STEP", help="a step of work that is done; may be given again"
    )
    parser.add_argument("--state", choices=STATES, default="fixed", help="how far they are (default: fixed)")
    parser.add_argument("--by", default="", metavar="NAME", help="who did it, or who measured")
    parser.add_argument("--on", default="", metavar="DATE", help="the day, as 2026-03-14 (default: today)")
    parser.add_argument("--wall", default="", metavar="ROOM/WALL", help="a wall that was measured again")
    parser.add_argument("--length", default="", help="what it reads now")
    parser.add_argument("--angle", default="", help="what its corner reads now")
    parser.add_argument("--why", default="", help="why it was measured again")
    parser.add_argument("--json", action="store_true", help="print how far every piece is, as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Write what is done into the survey; with neither pieces nor a wall print how far every piece is. Gives 0."""
    if not arguments.wall and (arguments.length or arguments.angle or arguments.why):
        raise InputFault("say which wall was measured again: --wall ROOM/WALL")
    if not (arguments.pieces or arguments.wall or arguments.step):
        return _account(examined(arguments.survey, arguments), as_json=arguments.json)
    if not arguments.by.strip():
        raise InputFault("say who did it: --by NAME")
    day = day_of(arguments.on, "--on ") if arguments.on else date.today().isoformat()
    outcome = examined(arguments.survey, arguments)
    made, known = outcome.job.done.made, pieces_named(outcome, arguments.pieces)
    told = [
        *(_measured(outcome.job, arguments, day) if arguments.wall else ()),
        *done_changes(outcome, known, arguments.state, arguments.by, day),
        *_recorded(outcome, arguments, day),
    ]
    text = written_in(text_of(arguments.survey, "survey"), told)
    if arguments.wall:
        text = _as_marked(outcome, arguments, text)
    firm_of(arguments).read_text(text, arguments.survey.name)
    write_whole(arguments.survey.resolve(), text)
    for label in known:
        before = made.get(label)
        was = f"{before.state}, {before.on}, {before.by}" if before else ""
        so = again(before, arguments.state)
        print(
            f"{label}: {arguments.state}"
            + (f"; it was told so before: {was}" if so else f"; it was {was}" if was else "")
        )
    for step in dict.fromkeys(arguments.step):
        print(f"{step}: done")
    if arguments.wall:
        print(f"{arguments.wall}: measured again; what it read before stands under earlier")
        now = examined_text(text, arguments.survey, arguments)
        closure = (now.sheet.get(Closures) or Closures()).of(arguments.wall.rpartition("/")[0])
        opens = [closure.says] if closure and closure.closed is False else []
        with spoken(now.job):
            print("\n".join((*cut_otherwise(outcome, now), *opens)))
    return 0


def cut_otherwise(before: Outcome, now: Outcome) -> Iterator[str]:
    """Each piece, frame and pair of shutters that is made otherwise than before: its length now and before, and how far
    it is."""
    was, made = ({piece.label: piece for piece in each.sheet[Progress].pieces} for each in (before, now))
    cut, cuts = ({piece.label: plain(piece) for piece in _cut(each)} for each in (before, now))
    show = partial(show_length, units=now.job.units)
    told = []
    for label, piece in made.items():
        old = was.get(label)
        state = f"; it is {piece.state.replace('-', ' ')}" if piece.state and piece.state != "spoilt" else ""
        if old is None:
            told.append(f"{label}: {show(piece.planned)}, and there was none before")
        elif abs(piece.planned - old.planned) >= SAME:
            told.append(f"{label}: {show(piece.planned)}, and {show(old.planned)} before{state}")
        elif label in cut and not cut_alike(cut[label], cuts[label]):
            told.append(f"{label}: {show(piece.planned)}, as before, with other cuts at its ends{state}")
    told += [f"{label}: cut no longer; it was {show(old.planned)}" for label, old in was.items() if label not in made]
    yield from told or ["no piece is cut otherwise"]


def _cut(outcome: Outcome) -> tuple[Piece, ...]:
    """Every piece that is cut to a length, returns and splices too."""
    set_out = outcome.sheet.get(SettingOut) or SettingOut()
    return (*set_out.pieces, *set_out.returns, *set_out.splices)


def _recorded(outcome: Outcome, arguments: argparse.Namespace, day: str) -> list[Change]:
    """Steps of work as done. Raises InputFault for those this job has not, and for those that protect somebody: they
    want a record of their own, with its outcome and paper."""
    sequence = outcome.sheet.get(Sequence) or Sequence()
    steps = [step.name for step in sequence.steps]
    firm = firm_of(arguments)
    rules = [rule for plugin in (*firm.registry.plugins, *firm.house) for rule in plugin.rules()]
    protect = {rule.lifted_by.step for rule in rules if rule.lifted_by}
    wrong = [
        f"{name}: this job has no such step.{did_you_mean(name, steps, 'it has')}"
        if name not in steps
        else f"{name}: this step protects; write its record by hand under records, with its outcome, by, as, on and "
        "reference: `listel grounds` of its hold tells what it needs"
        for name in arguments.step
        if name not in steps or name in protect
    ]
    if wrong:
        raise InputFault("\n".join(wrong))
    entries = [
        {"step": name, "outcome": "done", "by": arguments.by, "on": day} for name in dict.fromkeys(arguments.step)
    ]
    return [(("records",), entry) for entry in entries]


def _as_marked(outcome: Outcome, arguments: argparse.Namespace, text: str) -> str:
    """The survey with what is marked out on each board before a wall is measured again, so that it stays there; and the
    joints of the other walls, where to keep them costs no more."""
    marked = [
        {
            "for": line.trim,
            "board": board.board,
            "pieces": [cut.piece for cut in board.cuts],
            "at": [in_full(cut.start) for cut in board.cuts],
        }
        for line in (outcome.sheet.get(CuttingList) or CuttingList()).lines
        for board in line.boards
    ]
    free = changed(text, ("done", "marked"), marked) if marked else text
    told = {(each["room"], each["wall"], each["trim"]) for each in read_text(text, "survey").data.get("joints", [])}
    runs = {key[:3] for key in (outcome.sheet.get(Joints) or Joints()).stations} - told
    kept = free
    for path, value in joints_on(outcome, {run for run in runs if f"{run[0]}/{run[1]}" != arguments.wall}):
        kept = written_in(kept, [(path, value)])
    return kept if kept != free and _cost(kept, arguments) <= _cost(free, arguments) + HAIR else free


def _cost(text: str, arguments: argparse.Namespace) -> float:
    """What the boards of a survey cost."""
    found = examined_text(text, arguments.survey, arguments).sheet.get(CuttingList)
    return sum(line.cost for line in found.lines) if found else 0.0


def _measured(job: Job, arguments: argparse.Namespace, day: str) -> Iterator[Change]:
    """What a wall reads now, and what it read before under ``earlier``."""
    walls = {f"{room.name}/{wall.name}": wall for room in job.rooms for wall in room.walls}
    wall = walls.get(arguments.wall)
    if wall is None:
        near = did_you_mean(arguments.wall, walls, "there is")
        raise InputFault(f"{arguments.wall}: no such wall; name it as ROOM/WALL.{near}")
    if not (arguments.length or arguments.angle):
        raise InputFault(f"{arguments.wall}: say what it reads now: --length, --angle")
    if not arguments.why.strip():
        raise InputFault(f"{arguments.wall}: say why it was measured again: --why WHY")
    last = max((reading.on for reading in wall.earlier), default="")
    if day < last:
        raise InputFault(f"{arguments.wall}: it was measured again on {last}; --on {day} is before that")
    path: KeyPath = tuple(int(part) if part.isdigit() else part for part in wall.path.split("/"))
    earlier: dict[str, Any] = {"on": day, "by": arguments.by}
    changes: list[Change] = []
    if arguments.length:
        now = _judged(arguments.length, partial(parse_length, bare=job.units))
        if now < 1:
            raise InputFault(f"{arguments.length}: a wall is at least 1 mm long")
        if wall.length is not None:
            earlier["length"] = in_full(wall.length.value)
            changes += _at_its_end(wall, path, now, _as_typed(arguments.length))
        changes.append(((*path, "length"), _as_typed(arguments.length)))
    if arguments.angle:
        _judged(arguments.angle, parse_angle)
        if wall.corner is None:
            raise InputFault(f"{arguments.wall}: its corner is not surveyed; write it under the wall first")
        if wall.corner.angle is not None:
            earlier["angle"] = wall.corner.angle
        changes.append(((*path, "corner", "angle"), _as_typed(arguments.angle)))
    earlier["why"] = arguments.why
    yield (*path, "earlier"), earlier
    yield from changes


def _at_its_end(wall: Wall, path: KeyPath, now: float, typed: Any) -> Iterator[Change]:
    """The floor and ceiling readings that stood at the end of a wall that reads shorter stand at its end still."""
    assert wall.length is not None
    for key, readings in (("floor", wall.floor), ("ceiling", wall.ceiling)):
        for number, reading in enumerate(readings):
            if now < reading.at and abs(reading.at - wall.length.value) <= TAPE_SLACK:
                yield (*path, key, number, "at"), typed


def _judged(text: str, parse: Callable[[Any], float]) -> float:
    try:
        return parse(_as_typed(text))
    except ValueError as fault:
        raise InputFault(f"{text}: {fault}") from fault


def _as_typed(text: str) -> Any:
    """A bare number as a number, all else as it was written."""
    try:
        return float(text) if "." in text else int(text)
    except ValueError:
        return text


def _account(outcome: Outcome, *, as_json: bool) -> int:
    """How far every piece is."""
    last: dict[str, DonePiece] = {piece.piece: piece for piece in outcome.job.done.pieces}
    pieces = outcome.sheet[Progress].pieces
    if as_json:
        print_json({piece.label: plain(last[piece.label]) if piece.label in last else None for piece in pieces})
        return 0
    for piece in pieces:
        done = last.get(piece.label)
        how = f"{done.state}, {done.on}, {done.by}" if done else "open"
        long = show_length(piece.planned, outcome.job.units)
        print(f"{piece.label}: {piece.trim}, {piece.room}, wall {piece.wall}, {long}: {how}")
    return 0

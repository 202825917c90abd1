"""Left and right are one thing everywhere: in the outcome, on the site sheet, in the cutting list and its CSV, and on
the drawing of the wall. A room listed the other way round is a mirrored room."""

from __future__ import annotations

import csv
import random
from dataclasses import replace
from functools import cache
from io import StringIO
from xml.etree import ElementTree

import pytest
from room_shapes import fair, read, room

from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import Registry, load
from listel.core.survey.job import Board, Corner, Job, Opening, Place, Reading, Room, Section, Trim, Wall
from listel.plugins.closure import Closures
from listel.plugins.cutting import CuttingList
from listel.plugins.cutting.files import cuts_csv
from listel.plugins.setting_out import Piece, PieceEnd, SettingOut
from listel.reports.drawings import draw
from listel.reports.papers.workshop.pieces import ENDS
from listel.reports.papers.workshop.pieces import pieces as rows_of

SEEDS = range(12)
SVG = "{http://www.w3.org/2000/svg}"


def job_of(seed: int) -> Job:
    """A random room with a door or two, a coped skirting, a mitred dado rail and architraves."""
    for rng in (random.Random(f"{seed}/{again}") for again in range(100)):
        sides, angles = read(room(rng))
        if fair(sides, angles):
            break
    walls = tuple(
        _wall(rng, chr(65 + n), round(side), angle) for n, (side, angle) in enumerate(zip(sides, angles, strict=True))
    )
    trims = (
        Trim("skirting", "skirting", section=Section(168, 19), internal="cope"),
        Trim("dado", "dado-rail", section=Section(60, 28), internal="mitre", top=930),
        Trim("casing", "architrave", section=Section(70, 20)),
    )
    made = tuple(
        replace(t, where=(Place("R"),), timber="european-redwood", finish="paint", longest=9000) for t in trims
    )
    stock = tuple(Board(trim.name, 9100) for trim in made)
    return Job("A random room", rooms=(Room("R", extent="whole", walls=walls),), trim=made, stock=stock)


def _wall(rng: random.Random, name: str, length: int, angle: float) -> Wall:
    kind = "external" if angle > 180 else "internal"
    corner = Corner(kind, round(360 - angle if angle > 180 else angle, 1))
    doors = (Opening("door", rng.randint(150, length - 1100), 838, 2032, architrave=76),) if length > 1400 else ()
    return Wall(name, Reading(length), corner, openings=doors if rng.random() < 0.6 else ())


@cache
def registry() -> Registry:
    return load(entry_points=False)


@cache
def outcome_of(seed: int) -> Outcome:
    return examine(job_of(seed), registry())


def set_out(outcome: Outcome) -> SettingOut:
    found = outcome.sheet.get(SettingOut)
    assert found is not None and found.pieces
    return found


def told(end: PieceEnd) -> str:
    return end.kind.replace("-", " ")


@pytest.mark.parametrize("seed", SEEDS)
def test_left_and_right_are_the_same_ends_on_every_paper(seed: int) -> None:
    outcome = outcome_of(seed)
    pieces = {piece.label: piece for piece in set_out(outcome).pieces}
    cutting = outcome.sheet.get(CuttingList)
    assert cutting is not None
    rows = {
        row["piece"]: (row["left"], row["right"]) for row in csv.DictReader(StringIO(cuts_csv(outcome.job, cutting)))
    }
    cuts = {c.piece: (c.left, c.right) for line in cutting.lines for board in line.boards for c in board.cuts}
    named = set_out(outcome).numbers
    sheet = {row.number: (row.left.kind, row.right.kind) for row in rows_of(outcome, set_out(outcome))}
    assert set(pieces) <= set(rows) and {named[label] for label in pieces} <= set(sheet)
    for label, piece in pieces.items():
        for number, end in enumerate((piece.left, piece.right)):
            words = told(end)
            if piece.upright and words != "head mitre":
                words = f"{('foot', 'head')[number]}: {words}"
            assert rows[label][number] == cuts[label][number]
            assert cuts[label][number].startswith(words)
            if not piece.upright:
                said = "knee" if end.kind == "knee" else ENDS.get(end.kind, "lap")
                assert sheet[named[label]][number].startswith(said)
    assert any(told(p.left) != told(p.right) for p in pieces.values())


@pytest.mark.parametrize("seed", SEEDS)
def test_the_drawing_of_a_wall_shows_its_pieces_from_left_to_right(seed: int) -> None:
    outcome = outcome_of(seed)
    compared = 0
    for wall in outcome.job.rooms[0].walls:
        drawing = draw("elevation", outcome, room="R", wall=wall.name)
        places: dict[str, float] = {}
        for text in ElementTree.fromstring(drawing.svg).iter(f"{SVG}text"):
            for word in (text.text or "").split():
                places[word] = float(text.get("x", "0"))
        for trim in ("skirting", "dado"):
            here = [p for p in set_out(outcome).pieces if (p.wall, p.trim) == (wall.name, trim)]
            shown = [places[p.label] for p in sorted(here, key=lambda p: p.start) if p.label in places]
            assert shown == sorted(shown)
            compared += len(shown) > 1
    assert compared


def mirrored(job: Job) -> Job:
    """The same room with its walls listed the other way round, their stations and corner ends mirrored with them."""
    walls = job.rooms[0].walls
    turned = [
        replace(wall, corner=walls[number - 1].corner, openings=tuple(_turned(o, wall) for o in wall.openings))
        for number, wall in enumerate(walls)
    ]
    return replace(job, rooms=(replace(job.rooms[0], walls=tuple(reversed(turned))),))


def _turned(opening: Opening, wall: Wall) -> Opening:
    assert wall.length is not None
    return replace(opening, at=wall.length.value - opening.end)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_mirrored_room_has_mirrored_pieces_of_equal_lengths(seed: int) -> None:
    job = job_of(seed)
    outcomes = [examine(each, registry()) for each in (job, mirrored(job))]
    there, back = (set_out(each) for each in outcomes)
    lengths = {wall.name: wall.length.value for wall in job.rooms[0].walls if wall.length}

    def shown(piece: Piece, turned: bool) -> tuple[object, ...]:
        whole = lengths[piece.wall]
        stations = (whole - piece.end, whole - piece.start) if turned else (piece.start, piece.end)
        ends = (piece.right, piece.left) if turned and not piece.upright else (piece.left, piece.right)
        cut = (
            []
            if piece.trim == "skirting"
            else [(told(e), round(e.saw_reading or 0, 3), round(e.gives, 3)) for e in ends]
        )
        return (piece.trim, piece.wall, *(round(x, 3) for x in (*stations, piece.back, piece.overall)), *cut)

    assert sorted(shown(p, False) for p in there.pieces) == sorted(shown(p, True) for p in back.pieces)
    before, after = (each.sheet[Closures].lines[0] for each in outcomes)
    assert before.closed == after.closed
    assert before.misclosure == pytest.approx(after.misclosure, abs=1e-6)
    assert before.closed
    assert _area(before.points) == pytest.approx(_area(after.points), rel=0.02)
    assert _area(before.points) < 0


def _area(points: tuple[tuple[float, float], ...]) -> float:
    """Twice the signed area: negative where the points go round clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))

"""Trim that stands in front of a skirting: cut to its face, as far as that goes, on the floor, and fixed into it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

import listel
from listel.plugins.fixings import FixingSchedule
from listel.plugins.setting_out import SettingOut
from tests.strategies import FEW

BREAST = """\
listel: 1
invented: true
job: {{title: A bead round a breast, surveyed: 2026-02-18}}
building: {{built: 1890, region: england, protection: none, occupied: empty, children: false}}
climate: {{heating: heated}}
choices: {{line: level}}
rooms:
  - name: Study
    extent: part
    height: 2700
    datum: 1000
    walls:
      - name: A
        length: 1800
        ends: {{left: butt}}
        substrate: &lath {{kind: lath-and-plaster, plaster: 22, studs: {{centres: 400, first: 200, width: 45}}}}
        corner: {{kind: internal, angle: 90}}
        floor: [{{at: 0, to-datum: 1000}}, {{at: 1800, to-datum: 1028}}]
        openings:
          - kind: door
            at: 500
            width: 800
            height: 2032
            architrave: 96
            plinth-block: 101
            plinth-block-height: 220
      - {{name: B, length: 400, substrate: *lath, corner: {{kind: external, angle: 90}}{old}}}
      - {{name: C, length: 1500, substrate: *lath, ends: {{right: return}}}}
trim:
  - name: bead
    member: shoe
    where: [{{room: Study}}]
    section: {{height: 19, projection: {bead}}}
    timber: european-redwood
  - name: board
    member: skirting
    where: [{{room: Study, walls: {walls}}}]
    section: {{height: 168, projection: {board}}}
    timber: european-redwood
"""


def cut(board: float, bead: float, *, old: bool = False):
    """The pieces, fixings and marks; of ``old`` the board of wall B stands already and stays."""
    keep = f", existing: [{{member: skirting, intent: keep, section: {{height: 168, projection: {board}}}}}]"
    walls = "[A, C]" if old else "[A, B, C]"
    text = BREAST.format(board=board, bead=bead, walls=walls, old=keep if old else "")
    return listel.examine(listel.read(text))


def bead_on(outcome, wall: str):
    return [piece for piece in outcome.sheet[SettingOut].pieces if (piece.trim, piece.wall) == ("bead", wall)]


@FEW
@given(board=st.floats(9, 32), bead=st.floats(9, 25), old=st.booleans())
def test_it_is_as_long_as_the_face_of_the_board_new_or_old(board, bead, old) -> None:
    """Inside corner A/B: short of the wall by the board. Outside corner B/C: past it by the board, and its own face by
    its thickness more."""
    outcome = cut(board, bead, old=old)
    (piece,) = bead_on(outcome, "B")
    assert piece.back == pytest.approx(400 - board + board)
    assert piece.left.past == pytest.approx(-board) and piece.right.past == pytest.approx(board)
    assert bead_on(outcome, "C")[0].face == pytest.approx(1500 + board + bead)


def test_it_stops_where_the_board_stops_and_nothing_is_asked() -> None:
    """The plinth block is 5 mm wider than the architrave."""
    outcome = cut(18, 15)
    ends = [(piece.start, piece.end) for piece in bead_on(outcome, "A")]
    boards = [(p.start, p.end) for p in outcome.sheet[SettingOut].pieces if (p.trim, p.wall) == ("board", "A")]
    assert ends == boards == [(0, 399), (1401, 1800)]
    assert {b.by for b in outcome.sheet[SettingOut].blocked if b.trim == "bead"} == {"door at 500 mm"}
    assert "setting-out/nothing-behind" not in {finding.rule for finding in outcome.findings}


def test_it_lies_on_the_floor_where_rails_lie_level() -> None:
    """The floor of wall A falls by 28; a bead set level would hang over it."""
    marks = [m for m in cut(18, 15).sheet[SettingOut].marks if m.trim == "bead" and m.edge == "top"]
    assert marks and {round(mark.above_floor, 6) for mark in marks} == {19}


def test_it_is_fixed_into_the_board_and_into_no_stud() -> None:
    """15 less 2 sunk, and three quarters of the board of 18 at least; the plaster behind is not passed."""
    outcome = cut(18, 15)
    lines = [line for line in outcome.sheet[FixingSchedule].lines if line.trim == "bead"]
    assert {line.into for line in lines} == {"the board behind it"}
    for line in lines:
        assert line.through <= 15 and 13.5 <= line.embedment <= 18
        assert {point.on for point in line.points} == {"the board behind"}
    told = {finding.rule for finding in outcome.findings if finding.where.trim == "bead"}
    assert not told & {"fixings/studs-too-far-apart", "fixings/fewer-than-two", "fixings/too-short"}


def test_on_a_wall_that_nobody_may_touch_it_is_fixed_into_no_board_either() -> None:
    text = BREAST.format(bead=19, board=20, walls="[A, C]", old="").replace(
        "{kind: lath-and-plaster, plaster: 22, studs: {centres: 400, first: 200, width: 45}}", "{kind: asbestos-board}"
    )
    lines = listel.examine(listel.read(text)).sheet[FixingSchedule].lines
    assert {(line.trim, line.wall): line.kind for line in lines}[("bead", "A")] == ""

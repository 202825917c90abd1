"""Panelling: panels in their grooves, frames in their corners, parts that add up, and a room reckoned by hand."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from decimal import Decimal
from io import StringIO
from itertools import combinations, pairwise
from math import cos, radians, sin, sqrt, tan
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import listel
from listel.core.commands.cli import main
from listel.core.contract.cases import base, changed
from listel.core.survey.reading import job_from_text
from listel.plugins.bonding import Bonding
from listel.plugins.conservation import OfficerTable
from listel.plugins.cutting import CuttingList, cuts_csv
from listel.plugins.estimate import Estimate
from listel.plugins.estimate.starter import starter
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling
from listel.plugins.panelling.frames import (
    covered,
    into_the_corner,
    least_hold,
    mitred,
    panel_size,
    shared_out,
    to_old,
    tongued,
)
from listel.plugins.panelling.shutters import leaf_covers, reckon
from listel.plugins.progress import Progress
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.setting_out.faces import short_of_corner
from listel.plugins.timber import Movement
from listel.reports.drawings import draw
from listel.reports.drawings.paper import text_boxes
from listel.reports.drawings.walls import bands

shares = st.floats(0, 0.03)
sizes = st.floats(50, 800)


@given(between=st.floats(60, 6000), muntin=st.floats(20, 150), most=st.floats(60, 800))
def test_panels_and_muntins_fill_what_is_between_the_stiles_and_none_is_too_wide(between, muntin, most) -> None:
    count, wide = shared_out(between, muntin, most)
    assert count * wide + (count - 1) * muntin == pytest.approx(between)
    assert wide <= most + 1e-6
    assert count == 1 or (between - (count - 2) * muntin) / (count - 1) > most, "one fewer would show too much"


@given(sight=sizes, groove=st.floats(4, 30), moves=shares, swells=shares, member=st.floats(0, 150))
def test_a_panel_is_never_tight_and_as_large_as_that_lets_it(sight, groove, moves, swells, member) -> None:
    """At the wettest the bottoms of both grooves have come in by half of what each member swells, less what the groove
    takes of it, and the panel has grown."""

    def fits(size: float) -> bool:
        room = sight + 2 * (groove - swells * max(0.0, member / 2 - groove))
        return size <= sight + 2 * groove - 2 + 1e-6 and size * (1 + moves) <= room + 1e-6

    size = panel_size(sight, groove, 1.0, moves, swells, member)
    assert fits(size) and not fits(size + 1.001)


@given(sight=sizes, groove=st.floats(4, 30), moves=shares, shrinks=shares, member=st.floats(0, 150))
def test_a_panel_that_holds_shows_no_gap_when_it_is_driest(sight, groove, moves, shrinks, member) -> None:
    """Held at its middle, each of its edges lies behind the edge of the member beside it, which has drawn back."""
    size = panel_size(sight, groove, 1.0, 0.0, 0.0, member)
    holds = least_hold(size, sight, moves, shrinks, member)
    edge, member_edge = size * (1 - moves) / 2, sight / 2 + shrinks * member / 2
    assert edge - member_edge == pytest.approx(holds)
    deeper = panel_size(sight, groove + (3 - holds) / (1 - moves), 1.0, 0.0, 0.0, member)
    assert least_hold(deeper, sight, moves, shrinks, member) > 3 - 1, "what is told would do, to the whole millimetre"


@given(corner=st.floats(50, 150), thick=st.floats(15, 45), groove=st.floats(6, 14))
def test_in_a_corner_both_stiles_show_alike(corner, thick, groove) -> None:
    """The faces cross where two lines so far from their walls do; each stile shows what it is wide from there on."""
    along = covered(corner, thick)
    at = (along, thick)
    other = (at[0] * cos(radians(corner)) + at[1] * sin(radians(corner)), 0.0)
    assert other[0] == pytest.approx(along), "as far along the second wall as along the first"
    through, after = into_the_corner(corner, thick, meets=True), tongued(corner, thick, groove)
    assert -through.past + through.wider == pytest.approx(along)
    assert -after.past + after.wider == pytest.approx(along)
    outside = mitred(corner, thick)
    assert outside.past == pytest.approx(along) and outside.wider == 0


@given(corner=st.floats(50, 130), thick=st.floats(15, 45), out=st.floats(0, 60))
def test_a_frame_stops_where_its_back_or_its_face_meets_old_work_round_a_corner(corner, thick, out) -> None:
    """Both of its edges, on the wall and a thickness off it, stand at least so far from the other wall; one touches."""
    along, turn = -to_old(corner, thick, out).past, radians(corner)
    off = [along * sin(turn) - at * cos(turn) for at in (0.0, thick)]
    assert min(off) == pytest.approx(out)


@pytest.mark.parametrize("out", [22, None])
def test_new_frames_stop_at_the_old_face_of_panelling_that_stays_round_a_corner(out) -> None:
    """The old frame on wall A fills 22 of wall B at their inside corner; how far it stands out is asked for."""
    section = "{height: 95}" if out is None else f"{{height: 95, projection: {out}}}"
    old = f"        existing: [{{member: wainscot, intent: keep, top: 900, section: {section}}}]\n"
    text = ROOM.replace("- name: A\n", f"- name: A\n{old}").replace("where: [{room: Study}]", NEW_ON_B, 1)
    outcome = listel.examine(listel.read(text))
    (frame,) = (each for each in outcome.sheet[Panelling].frames if each.wall == "B")
    assert frame.start == pytest.approx(out or 0.0) and frame.left == "scribed to the face of the old work"
    asked = [one.says for one in outcome.findings if one.rule == "setting-out/projection-not-surveyed"]
    assert any("the frame of the panelling on wall B stops" in says for says in asked) == (out is None)


@given(width=st.floats(300, 3000), breadth=st.floats(100, 400))
def test_leaves_cover_half_of_the_window_and_fold_into_the_boxing(width, breadth) -> None:
    leaves = leaf_covers(width, breadth)
    assert sum(leaves) == pytest.approx(width / 2)
    assert max(leaves) <= breadth + 1e-6 and list(leaves) == sorted(leaves, reverse=True) and leaves[-1] > -1e-6


NEW_ON_B = "where: [{room: Study, walls: [B, C]}]"
ROOM = """\
listel: 1
invented: true
job: {title: Panelling, surveyed: 2026-02-18}
building: {built: 1890, region: england, protection: unknown, occupied: empty, children: false}
climate: {heating: heated}
rooms:
  - name: Study
    extent: part
    height: 2700
    datum: 1000
    walls:
      - name: A
        length: 3600
        ends: {left: butt}
        corner: {kind: internal, angle: 90}
        floor: [{at: 0, to-datum: 1000}, {at: 3600, to-datum: 1012}]
        openings:
          - {kind: window, name: sash, at: 600, width: 900, height: 1400, sill: 960, architrave: 0, apron: 0}
          - {kind: door, at: 2100, width: 838, height: 2032, architrave: 76}
      - {name: B, length: 2400, corner: {kind: external, angle: 90}}
      - {name: C, length: 900, ends: {right: return}}
trim:
  - name: panelling
    member: wainscot
    where: [{room: Study}]
    top: 900
    section: {height: 95, projection: 28}
    framing: {top-rail: 95, bottom-rail: 145, muntin: 80, panels: 420, panel: 9}
    timber: european-redwood
    rings: quarter-sawn
    finish: paint
    moisture: 11
"""


@pytest.fixture(scope="module")
def outcome():
    return listel.examine(listel.read(ROOM))


def test_a_room_reckoned_by_hand(outcome) -> None:
    """From the left end to the architrave 2100 - 76 = 2024: less two stiles of 95 and three muntins of 80 four panels
    show (2024 - 190 - 240) / 4 = 398.5. At the corner the frame of wall A runs through and its stile is 28 wider; that
    of wall B begins 28 from the corner, with a tongue of 12. Round the outside corner both faces go on by 28. Delivered
    at 11 % it swells no more, so a panel is cut 398.5 + 2 x 12 - 2 to the whole millimetre."""
    found = outcome.sheet[Panelling]
    assert [
        (f.wall, round(f.start), round(f.end), f.panels, f.sight_width, f.rows[0][1] - f.rows[0][0])
        for f in found.frames
    ] == [
        ("A", 0, 2024, 4, 398.5, 660),
        ("A", 3014, 3600, 1, 368, 660),
        ("B", 16, 2428, 5, 378, 660),
        ("C", -28, 900, 2, 329, 660),
    ]
    stiles = [[part.width for part in found.parts_of(f.label) if "stile" in part.part] for f in found.frames]
    assert stiles == [[95, 95], [95, 123], [107, 95], [95, 95]]
    first = {part.part: (part.count, part.length, part.width) for part in found.parts_of("1")}
    assert first["top rail"] == (1, 2024 - 190 + 80, 95) and first["left stile"] == (1, 980, 95)
    assert first["muntin"] == (3, 660 + 80, 80) and first["panel"] == (4, 660 + 24 - 2, 420)


def test_a_corner_whose_angle_was_not_taken_is_set_out_square_and_told(outcome) -> None:
    found = listel.examine(listel.read(ROOM.replace("kind: internal, angle: 90", "kind: internal")))
    assert found.sheet[Panelling].frames[1:3] == outcome.sheet[Panelling].frames[1:3]
    told = [finding for finding in found.findings if finding.rule == "panelling/corner-not-surveyed"]
    assert [finding.where.wall for finding in told] == ["A", "B"]


def test_a_panel_tells_what_it_was_given_to_move(outcome) -> None:
    """Of redwood, quarter-sawn, delivered at 11 % and brought to 7.7 % in winter; along the grain by as much as timber
    tells of 3 m."""
    panel = next(part for part in outcome.sheet[Panelling].parts if part.part == "panel")
    given = {each.name: each.value for each in panel.grounds.inputs}
    line = next(line for line in outcome.sheet[Movement].lines if line.trim == "panelling")
    assert given["changes along the grain"] == pytest.approx(100 * line.along / 3000)
    assert given["swells across, most after delivery"] == 0
    assert given["shrinks across, most after delivery"] == pytest.approx(100 * line.settling / 95)


TALL = "panel: 9, middle-rails: [{top: 1500, width: 95}, {top: 760, width: 120}]"


@pytest.fixture(scope="module")
def tall():
    """The same room, its panelling 2000 high in three rows."""
    text = ROOM.replace("panel: 9", TALL).replace("top: 900", "top: 2000")
    return listel.examine(listel.read(text.replace("length: 2400,", f"length: 2400, {BRICK},")))


BRICK = "substrate: {kind: lime-on-brick, plaster: 18, condition: sound}"


def test_three_rows_of_panels_reckoned_by_hand(tall) -> None:
    """Between rails of 145, 120, 95 and 95 whose tops are at 145, 760, 1500 and 2000 the rows show 495, 645 and 405;
    on wall B five panels stand side by side, as in one row."""
    found = tall.sheet[Panelling]
    (frame,) = (frame for frame in found.frames if frame.wall == "B")
    first = {part.part: (part.count, part.between, part.width) for part in found.parts_of(frame.label)}
    assert frame.rows == [(145, 640), (760, 1405), (1500, 1905)] and frame.sight_width == 378
    assert [first[f"muntin, row {row}"] for row in (1, 2, 3)] == [(4, 495, 80), (4, 645, 80), (4, 405, 80)]
    assert first["middle rail 1"] == (1, first["top rail"][1], 120) and first["middle rail 2"][2] == 95
    assert {first[f"panel, row {row}"][0] for row in (1, 2, 3)} == {5}
    (line,) = (line for line in tall.sheet[FixingSchedule].lines if (line.trim, line.wall) == ("panelling", "B"))
    assert line.rows_down == (47.5, 547.5, 1300, 1927.5), "through each rail"


@pytest.mark.parametrize("rows", ["outcome", "tall"])
def test_the_parts_of_each_frame_make_up_its_face(rows, request) -> None:
    found = request.getfixturevalue(rows).sheet[Panelling]
    for frame in found.frames:
        part = {each.part: each for each in found.parts_of(frame.label)}
        stiles = part["left stile"].width + part["right stile"].width
        assert part["top rail"].between + stiles == pytest.approx(frame.end - frame.start)
        across = next((each for name, each in part.items() if name.startswith("muntin")), None)
        muntins = across.width * across.count if across else 0
        assert frame.panels * frame.sight_width + muntins == pytest.approx(part["bottom rail"].between)
        rails = sum(each.width for name, each in part.items() if "rail" in name)
        shown = sum((end - start) * (high - low) for start, end, low, high in found.shown(frame))
        panels = sum(high - low for low, high in frame.rows) * frame.panels * frame.sight_width
        assert shown + panels == pytest.approx(frame.height * (frame.end - frame.start))
        assert rails + sum(high - low for low, high in frame.rows) == part["left stile"].between == frame.height


def test_what_is_to_be_had_is_what_the_parts_take(outcome) -> None:
    """Of stiles: one of 123 and one of 107 beside inside corners, six of 95 and eight rails more of that width; panels
    682 high and 420, 390, 400 and 351 wide, each shown and 22 more."""
    found = outcome.sheet[Panelling]
    stuff = {each.width: each for each in found.stuff}
    assert [(each.width, each.count) for each in found.stuff] == [
        (145, 4),
        (123, 1),
        (107, 1),
        (95, 10),
        (80, 8),
        (None, 12),
    ]
    assert stuff[95].length == pytest.approx(
        6 * 980 + sum(f.end - f.start for f in found.frames) - 8 * 95 - 40 + 4 * 80
    )
    assert stuff[None].area == pytest.approx(682 * (4 * 420 + 390 + 5 * 400 + 2 * 351) / 1e6, abs=0.002)
    assert sum(each.count for each in found.stuff) == sum(part.count for part in found.parts)


def test_members_hardly_narrower_than_others_are_ripped_from_what_those_are(outcome) -> None:
    """Stiles of 123 and 107 show alike but for corners that are not square: one of 122.0 is had with that of 123."""
    found = outcome.sheet[Panelling]
    narrow = next(part for part in found.parts if round(part.width, 1) == 107)

    def widths(width: float) -> list[tuple[float | None, int]]:
        parts = [replace(part, width=width) if part is narrow else part for part in found.parts]
        return [(each.width, each.count) for each in replace(found, parts=tuple(parts)).stuff][:3]

    assert widths(122.0) == [(145, 4), (123, 2), (95, 10)]
    assert widths(121.9) == [(145, 4), (123, 1), (121.9, 1)]


def test_paint_is_bought_for_the_frames_too(outcome) -> None:
    """Primed are both faces of every part and the edges of its members; painted what the frames cover, 5.36 m2."""
    found = outcome.sheet[Panelling]
    both = sum(2 * part.count * part.length * part.width for part in found.parts) / 1e6
    edges = sum(2 * part.count * part.length * part.thickness for part in found.parts) / 1e6
    packs = {each.what: each.packs for each in outcome.sheet[Bonding].materials}
    assert f" for {both + edges:.1f} m2 of " in packs["primer, one coat all round before fixing"]
    assert " for 5.4 m2 of " in packs["undercoat, one coat"]
    assert " for 5.4 m2 of " in packs["finish coats of paint, two coats"]
    assert "10, 11350 mm in all" in listel.render(outcome, "workshop"), "and its timber stands on the shopping list"


def test_finishing_the_frames_takes_hours_by_what_they_cover(outcome) -> None:
    """Our allowance of 0.35 h for each of 5.355 m2, beside half an hour once and no metre of running trim: 2.37."""
    hours = {step.name: step.hours for step in outcome.sheet[Sequence].steps}
    assert hours["top-coat"] == 2.25 and hours["undercoat"] == 1.5, "to the quarter of an hour"


def fixed(substrate: str) -> list[tuple[str, set[float | None]]]:
    """What bears the panelling of wall A, and how far its fixings stand above the floor at their stations."""
    text = ROOM.replace("corner: {kind: internal, angle: 90}", f"substrate: {substrate}", 1)
    lines = listel.examine(listel.read(text)).sheet[FixingSchedule].lines
    mine = [line for line in lines if (line.trim, line.wall) == ("panelling", "A")]
    return [(line.into, {point.height - point.station / 300 for point in line.points}) for line in mine]


def test_frames_are_fixed_through_their_rails_level_over_the_highest_floor() -> None:
    """The middles of the rails are 145 / 2 and 900 - 95 / 2 up; the floor falls 12 mm in 3600, 1 in 300."""
    for into, heights in fixed("{kind: lime-on-brick, plaster: 18, condition: sound}"):
        assert into == "brick behind the plaster"
        assert sorted({round(height, 6) for height in heights}) == [72.5, 852.5]


PLANTED = """\
  - name: skirting
    member: skirting
    where: [{room: Study}]
    section: {height: 150, projection: 22}
    timber: european-redwood
    finish: paint
    internal: mitre
  - name: cap
    member: wainscot-cap
    where: [{room: Study}]
    top: 930
    section: {height: 30, projection: 50}
    timber: european-redwood
    finish: paint
    internal: mitre
"""


@given(
    theta=st.floats(50, 150) | st.floats(210, 310), own=st.sampled_from([0.0, 18.0, 27.0, 40.0]), other=st.floats(0, 45)
)
def test_faces_off_their_walls_cross_where_two_lines_do(theta, own, other) -> None:
    """The wall of the own lies along x from the corner, the other's at the corner's angle; the room is between them."""
    along = short_of_corner(theta, own, other)
    to_other = along * sin(radians(theta)) - own * cos(radians(theta))
    assert to_other == pytest.approx(other, abs=1e-9), "so far from the other wall, and so far from its own"
    assert short_of_corner(170, own, other) == 0 or own == other, "two that step past each other at a flat corner"
    both = short_of_corner(theta, own, own)
    assert both == pytest.approx(own / tan(radians(theta) / 2), abs=1e-9)


@pytest.fixture(scope="module")
def planted():
    """The room with a skirting on the face of its panelling and a cap on top; walls of lime on brick."""
    text = ROOM.replace("- name: A\n", f"- name: A\n        {BRICK}\n") + PLANTED
    return listel.examine(listel.read(text))


def test_trim_on_panelling_is_cut_to_its_face_and_a_cap_to_the_wall(planted) -> None:
    """At the inside corner A/B both faces stand 28 off, so each skirting ends 28 short; round the outside corner B/C it
    goes 28 past, and its face, 22 farther out, 22 more. The cap lies on the panelling against the wall: 2400 on B."""
    pieces = {(p.trim, p.wall): p for p in planted.sheet[SettingOut].pieces if p.wall in ("B", "C")}
    skirting, cap = pieces["skirting", "B"], pieces["cap", "B"]
    assert (skirting.back, skirting.face) == pytest.approx((2400 - 28 + 28, 2400 - 22 + 22))
    assert skirting.left.past == pytest.approx(-28) and skirting.right.past == pytest.approx(28)
    assert pieces["skirting", "C"].left.past == pytest.approx(28)
    assert cap.back == pytest.approx(2400) and cap.left.past == 0
    assert "to the panelling\u2019s face" in listel.render(planted, "workshop")


def test_a_screw_of_trim_on_panelling_passes_the_frame(planted) -> None:
    """Skirting 22 less the sinking, frame 28, plaster 18; the cap passes no frame."""
    lines = {line.trim: line for line in planted.sheet[FixingSchedule].lines if line.wall == "A"}
    given = {each.name: each.value for each in lines["skirting"].grounds.inputs}
    assert given["what the trim on whose face it stands takes"] == 28 and given["plaster"] == 18
    passed = 22 + 28 + 18 - 2
    assert f"{passed:.1f} mm passed + 40 mm wanted" in lines["skirting"].grounds.worked
    assert "what the trim on whose face it stands takes" not in {each.name for each in lines["cap"].grounds.inputs}


def test_how_deep_it_goes_into_the_wall_counts_from_behind_the_panelling(planted) -> None:
    """No. 8 x 110 of skirting 22 and frame 28, sunk 2: 62 into the wall."""
    (told,) = (finding for finding in planted.findings if finding.rule == "safety/deep-fixing")
    assert "skirting: 110 mm - 22 mm - 28 mm + 2 mm = 62 mm" in told.grounds.worked


def test_a_skirting_that_comes_to_panelling_stops_at_its_face() -> None:
    """Wall B has no panelling: its skirting butts on, or is mitred to, the face 28 off wall A."""
    text = ROOM.replace("where: [{room: Study}]", "where: [{room: Study, walls: [A]}]", 1) + PLANTED
    pieces = listel.examine(listel.read(text)).sheet[SettingOut].pieces
    ends = {p.wall: p for p in pieces if p.trim == "skirting"}
    assert ends["B"].left.past == pytest.approx(-28) and ends["B"].right.past == 0
    assert ends["A"].right.past == pytest.approx(0), "its own face runs on into the corner"


def test_a_skirting_held_off_by_panelling_short_of_the_corner_is_cut_to_where_it_meets_its_neighbour() -> None:
    """It is one straight board: at a canted corner of 135 its back, 28 off, goes 28 x cot 45 past the corner, and the
    board on the bare wall beside it ends 28 / sin 45 short of it."""
    job = changed(
        base("whole-room"),
        {
            "rooms.Parlour.walls.B.corner.angle": 135,
            "trim.dado.member": "wainscot",
            "trim.dado.top": 900,
            "trim.dado.section": {"height": 95, "projection": 28},
            "trim.dado.framing": {"top-rail": 95, "bottom-rail": 145, "muntin": 80, "panels": 420},
            "trim.dado.where": [{"room": "Parlour", "walls": ["B"], "from": 200, "to": 3000}],
        },
    )
    runs = listel.examine(job_from_text(json.dumps(job))).sheet[SettingOut].runs_on("Parlour", trim="skirting")
    (held,) = (run for run in runs if run.wall == "B")
    beside = next(run for run in runs if run.wall == "C" and run.start_at == "corner")
    assert held.off == 28
    assert held.right_short == pytest.approx(-28)
    assert beside.left_short == pytest.approx(28 * sqrt(2))


def test_a_skirting_that_steps_at_an_all_but_straight_corner_is_told_at_its_wall() -> None:
    text = ROOM.replace("where: [{room: Study}]", "where: [{room: Study, walls: [A]}]", 1) + PLANTED
    outcome = listel.examine(listel.read(text.replace("internal, angle: 90", "internal, angle: 170")))
    sheet, out = listel.render(outcome, "workshop"), outcome.sheet[SettingOut]
    (*_, on_a), (on_b, *_) = (out.pieces_on("Study", wall, "skirting") for wall in "AB")
    assert (on_a.right.kind, on_b.left.kind) == ("return", "butt"), "no cut brings the two together"
    assert [corner.trim for corner in out.corners if (corner.first, corner.second) == ("A", "B")] == ["cap"]
    assert "the skirting steps by 28 mm" in sheet and "Put a ground 28 mm thick behind it on wall B" in sheet


HEAD, TRIM = ROOM[: ROOM.index("    walls:")], ROOM[ROOM.index("trim:") :]
LONG = f"""\
{HEAD}    walls:
      - name: A
        length: 5400
        ends: {{left: butt, right: butt}}
        {BRICK}
        openings:
          - {{kind: window, name: sash, at: 1800, width: 1900, height: 1400, sill: 620, architrave: 0, apron: 0}}
{TRIM}  - name: skirting
    member: skirting
    where: [{{room: Study}}]
    section: {{height: 150, projection: 22}}
    timber: european-redwood
    longest: 4200
stock: [{{for: skirting, length: 4200, price: 20}}]
"""


def test_a_skirting_past_panelling_is_jointed_before_a_frame_and_told_at_its_wall() -> None:
    outcome = listel.examine(listel.read(LONG))
    first, last = (p for p in outcome.sheet[SettingOut].pieces if p.trim == "skirting")
    assert first.end == last.start and not 1800 <= first.end <= 3700, "the wall under the window has no frame"
    sheet = listel.render(outcome, "workshop")
    assert "goes on past the end of the panelling at 1800 mm" in sheet
    assert "Put a ground 28 mm thick behind it from there on" in sheet
    assert {f.rule for f in outcome.findings} >= {"setting-out/bare-under-window"}


def test_a_window_back_takes_the_place_of_a_bare_wall() -> None:
    text = LONG.replace("  - name: skirting", BACK + "  - name: skirting")
    outcome = listel.examine(listel.read(text))
    told = {finding.rule for finding in outcome.findings}
    assert not told & {"setting-out/past-what-it-stands-on", "setting-out/bare-under-window"}
    assert [f.height for f in outcome.sheet[Panelling].frames if f.trim == "back"] == [600]


UNDER = "[{room: Study, walls: [A], from: 1800, to: 3700, ends: {left: butt, right: butt}}]"
BACK = TRIM.removeprefix("trim:\n").replace("name: panelling", "name: back").replace("top: 900", "top: 600")
BACK = BACK.replace("[{room: Study}]", UNDER)


@pytest.mark.parametrize(("top", "frames"), [(900, 2), (2000, 2), (2600, 2)])
def test_panelling_stops_at_openings_however_high_it_is_and_not_over_the_ceiling(top, frames) -> None:
    """The sash reaches from 620 to 2020; panelling 2600 high stands beside it and not across it."""
    outcome = listel.examine(listel.read(LONG.replace("top: 900", f"top: {top}")))
    assert len(outcome.sheet[Panelling].frames) == frames
    high = listel.examine(listel.read(LONG.replace("top: 900", "top: 2703")))
    assert "setting-out/over-the-ceiling" in {f.rule for f in high.findings if f.weight == "hold"}
    assert "setting-out/over-the-ceiling" not in {f.rule for f in outcome.findings}


@pytest.mark.parametrize(("highest", "height"), [(1000, 900), (995, 895), (1010, 910)])
def test_panelling_reaches_from_the_highest_floor_to_its_level_top(highest, height) -> None:
    """Its top stands 900 over the floor where the line was struck, at 1000; its foot is packed on the highest floor."""
    text = ROOM.replace("to-datum: 1000}", f"to-datum: {highest}}}") + PLANTED
    outcome = listel.examine(listel.read(text))
    assert {frame.height for frame in outcome.sheet[Panelling].frames} == {height}
    marks = [mark for mark in outcome.sheet[SettingOut].marks if mark.trim == "panelling"]
    assert {(mark.edge, mark.from_datum) for mark in marks} == {("top", -100), ("underside", -highest)}
    cap = {m.from_datum for m in outcome.sheet[SettingOut].marks if (m.trim, m.edge) == ("cap", "underside")}
    assert cap == {-100}, "the cap lies on it"


@pytest.mark.parametrize(
    ("grounds", "into"),
    [
        ("{height: 100, behind: 0}, {height: 820, behind: 0}", "the timber ground behind"),
        ("{height: 100}, {height: 450}", "brick behind the plaster"),
        ("{height: 450}", "brick behind the plaster"),
    ],
)
def test_frames_are_fixed_to_grounds_only_where_one_lies_behind_each_rail(grounds: str, into: str) -> None:
    found = fixed(f"{{kind: lime-on-brick, plaster: 18, condition: sound, grounds: [{grounds}]}}")
    assert [bears for bears, _ in found] == [into, into]


def test_the_drawing_the_bench_and_the_list_show_the_same_frames(outcome) -> None:
    """Left is left: bands run as the stations do; every part stands in the CSV as often as it is made."""
    found, room = outcome.sheet[Panelling], outcome.job.room("Study")
    drawn = bands(outcome.sheet, room, room.wall("A"), 3600.0, ((0.0, -1000.0), (3600.0, -1012.0)))
    shown = [band for band in drawn if band.member == "wainscot"]
    assert [(band.start, band.end) for band in shown[:2]] == [(0, 95), (95, 2024 - 95)]
    assert {band.underside[0][1] for band in shown} == {-1000.0, -1000 + 145.0, -1000 + 805.0}
    rows = list(csv.DictReader(StringIO(cuts_csv(outcome.job, outcome.sheet[CuttingList], found))))
    assert len(rows) == sum(part.count for part in found.parts)
    assert sum(row["piece"] == "frame 1, panel, 420.0 x 9.0" and row["length, mm"] == "682.0" for row in rows) == 4
    page = listel.render(outcome, "workshop")
    assert all(f"Frame {frame.label}: panelling, Study, wall {frame.wall}" in page for frame in found.frames)


def test_leaves_without_a_thickness_each_are_refused() -> None:
    with pytest.raises(ValueError, match="takes 3 leaves a side; give as many thicknesses, not 1"):
        reckon({"width": 1219.2, "breadth": 241.3, "leaf": (25.0,)})
    assert reckon({"width": 400.0, "breadth": 241.3, "leaf": (25.0,)}).results["covers"] == [200.0]


def test_a_splayed_boxing_lies_along_its_splay_and_closes_what_the_frame_leaves() -> None:
    """A reveal of 200 at 30 degrees is 230.9 broad; of 1200 at the face 1200 - 2 x 115.5 = 969.1 are left at the frame,
    so three leaves cover 484.5."""
    sash = "{kind: window, name: sash, at: 600, width: 1200, height: 1400, sill: 960, reveal: 200, splay: 30}"
    text = ROOM.replace("openings:", f"openings:\n          - {sash}", 1).replace(
        "- {kind: window, name: sash, at: 600, width: 900, height: 1400, sill: 960, architrave: 0, apron: 0}", ""
    )
    text += "  - {name: shutters, member: shutter-box, where: [{room: Study}], leaves: [30, 25, 25]}\n"
    (made,) = listel.examine(listel.read(text)).sheet[Panelling].shutters
    assert made.breadth == pytest.approx(230.94, abs=0.01) and made.covers[0] == made.breadth
    assert sum(made.covers) == pytest.approx((1200 - 2 * 115.47) / 2, abs=0.01)
    assert made.depth == pytest.approx(80 + 3 * 1.5875) and made.height == 1400


def test_the_rates_file_to_fill_in_for_it_is_taken_back(outcome, tmp_path) -> None:
    """Its panels are counted by the square metre: 12 of them are 3.25, 4 in whole ones."""
    file = tmp_path / "rates.yaml"
    text = starter(outcome.job, outcome.sheet[Estimate]).replace("currency:  #", "currency: GBP #", 1)
    rows = [line.replace("price:", "price: 40") if "panelling, panels" in line else line for line in text.splitlines()]
    file.write_text("\n".join(rows), "utf-8")
    items = {item.what: item for item in listel.estimate(outcome.job, file).items}
    priced = items["panelling, panels, 9 mm thick"]
    assert (priced.quantity, priced.unit, priced.amount) == (4, "m2", 160)


def test_every_paper_and_the_estimate_tell_of_it(outcome) -> None:
    """Four frames 900 high and 2024, 586, 2412 and 928 wide are 5.36 m2; the walls' stretches 2024, 586, 2400, 900."""
    work = next(item for item in outcome.sheet[Estimate].items if item.work == "panelling")
    assert (work.quantity, work.unit, work.room) == (Decimal("5.36"), "m2", "Study")
    new = next(item for item in outcome.sheet[OfficerTable].items if item.label == "panelling")
    painted = next(item for item in outcome.sheet[Estimate].items if item.work == "finish-panelling")
    assert (painted.quantity, painted.unit, painted.trade) == (Decimal("5.36"), "m2", "decorator")
    timber = {each.what: each for each in outcome.sheet[Estimate].items if each.what.startswith("panelling, ")}
    members = timber["panelling, members 95 mm wide, 28 mm thick"]
    assert (members.quantity, members.unit) == (Decimal("11.35"), "m")
    assert {each.what for each in outcome.sheet[Estimate].shopping} >= timber.keys()
    assert new.length == 2024 + 586 + 2400 + 900 and new.wall == "A, B, C"
    assert "estimate/quantity-not-known" not in {finding.rule for finding in outcome.findings}
    assert all("panelling" in listel.render(outcome, reader) for reader in ("client", "officer", "all"))


BARE = ROOM[: ROOM.index("trim:")]

SHUTTERED = ROOM.replace("apron: 0}", "apron: 0, reveal: 240}") + (
    "  - {name: shutters, member: shutter-box, where: [{room: Study}], leaves: [30, 25]}\n"
)


@pytest.fixture(scope="module")
def shuttered():
    """The same room with shutters at its window: two leaves cover 450."""
    return listel.examine(listel.read(SHUTTERED))


def test_shutters_are_counted_by_the_window_in_every_paper(shuttered) -> None:
    items = {item.work: item for item in shuttered.sheet[Estimate].items if item.trim == "shutters"}
    assert (items["shutters"].quantity, items["shutters"].unit) == (1, "nr")
    assert (items["finish-shutters"].quantity, items["finish-shutters"].trade) == (1, "decorator")
    new = next(item for item in shuttered.sheet[OfficerTable].items if item.label == "shutters")
    assert new.where == "Study, wall A: sash" and new.length == 0 and "off their hinges" in new.undone
    total = next(total for total in shuttered.sheet[OfficerTable].totals if total.name == "new")
    assert total.length == 2024 + 586 + 2400 + 900, "the panelling alone has a length"
    pages = {reader: listel.render(shuttered, reader) for reader in ("client", "officer", "handover", "all")}
    assert '<th scope="row">shutters</th><td>Study</td><td>1 window</td>' in pages["client"]
    assert "panelling in the Study, shutters in the Study" in pages["officer"], "the objective names them"
    assert "sash, 0.0 m" not in pages["officer"], "what is counted has no length"
    assert '<th scope="row">shutters</th><td>1 window</td><td>Study</td>' in pages["handover"]
    assert "shutters (shutter box), 1 window" in pages["all"]


def test_shutters_are_drawn_closed_on_their_wall_and_folded_in_their_boxing(shuttered) -> None:
    seen = draw("elevation", shuttered, room="Study", wall="A").alt
    edges = [600, 840, 1050, 1260, 1500]
    assert all(f"shutters from {left} to {right}," in seen for left, right in pairwise(edges))
    drawn = draw("boxing", shuttered, label="Shutters 1")
    assert "240 broad and 58 deep inside. From the window: leaf 1, 240 by 30; leaf 2, 216 by 25." in drawn.alt
    boxes = [box for _, box in text_boxes(drawn.svg)]
    for one, other in combinations(boxes, 2):
        assert min(one.x1, other.x1) < max(one.x0, other.x0) or min(one.y1, other.y1) < max(one.y0, other.y0)
    page = listel.render(shuttered, "workshop")
    assert "the left boxing from above" in page


def test_shutters_have_no_section_of_a_moulding() -> None:
    text = SHUTTERED.replace("member: shutter-box,", "member: shutter-box, section: {height: 240, projection: 30},")
    outcome = listel.examine(listel.read(text))
    assert "shutters" not in draw("full_size", outcome).alt and "panelling" in draw("full_size", outcome).alt


def test_the_invented_firm_has_a_rate_for_all_of_it(shuttered) -> None:
    rates = Path(__file__).parents[3] / "schemas" / "examples" / "rates-invented.yaml"
    items = listel.estimate(shuttered.job, rates).items
    assert [item.what for item in items if item.amount is None] == []


def test_how_frames_and_shutters_come_off_again_is_told(shuttered) -> None:
    bonds = {(bond.trim, bond.wall): bond for bond in shuttered.sheet[Bonding].bonds}
    assert [*bonds] == [*(("panelling", wall) for wall in "ABC"), ("shutters", "A")]
    assert {bond.adhesive for bond in bonds.values()} == {"none"}
    for reader in ("officer", "handover", "all"):
        page = listel.render(shuttered, reader)
        assert "each frame comes off whole" in page and "leaves off their hinges" in page


def test_each_frame_and_the_shutters_of_each_window_are_told_as_fixed(shuttered, tmp_path, capsys) -> None:
    labels = [f"Frame {frame.label}" for frame in shuttered.sheet[Panelling].frames] + ["Shutters 1"]
    assert [piece.label for piece in shuttered.sheet[Progress].pieces] == labels
    page = listel.render(shuttered, "workshop")
    assert all(f"{label}: " in page for label in labels), "by the names that the bench sheet has"
    survey = tmp_path / "study.yaml"
    survey.write_text(SHUTTERED, "utf-8")
    assert main(["done", str(survey), "Frame 1", "Shutters 1", "--by", "A joiner"]) == 0
    assert main(["statement", str(survey), "--as-fixed"]) == 2
    assert "Not told as fixed: Frame 2, Frame 3, Frame 4.\n" in capsys.readouterr().err
    assert main(["done", str(survey), "frame 2", "--by", "A joiner"]) == 2
    assert "Did you mean Frame 2?" in capsys.readouterr().err


def test_panelling_and_shutters_are_made_on_the_bench_before_anything_is_fixed(shuttered) -> None:
    """Our own allowance: 1 h a frame and 3 h a square metre, four frames of 5.36; 6 h a window and 4 h a leaf."""
    steps = {step.name: step for step in shuttered.sheet[Sequence].steps}
    assert len(shuttered.sheet[Panelling].frames) == 4
    assert steps["make-panelling"].worked == 20.0  # 4 + 16.1, to the quarter
    assert steps["make-shutters"].worked == 6 + 4 * 4
    assert "our allowance" in steps["make-panelling"].because.lower()
    order = list(steps)
    assert order.index("measure-corners") < order.index("make-panelling") < order.index("fix")
    assert {item.work for item in shuttered.sheet[Estimate].items} >= {"panelling", "shutters"}
    assert not {"make-panelling", "make-shutters"} & {item.step for item in shuttered.sheet[Estimate].items}


def test_shutters_whose_leaves_are_not_known_are_still_made() -> None:
    text = re.sub(r"leaves: \[[^]]*\]", "leaves: [32]", SHUTTERED)
    assert text != SHUTTERED
    outcome = listel.examine(listel.read(text))
    (step,) = (step for step in outcome.sheet[Sequence].steps if step.name == "make-shutters")
    assert "the leaves of 1 window, whose hours are not reckoned" in step.because
    assert step.worked == 6
    said = next(f.says for f in outcome.findings if f.rule == "panelling/shutters-not-surveyed")
    assert "thickness of each of the 2 leaves a side (1 given)" in said


@pytest.mark.parametrize(
    ("line", "step"),
    [
        ("Frame up the dado panels on the bench and wedge the tenons", "make-panelling"),
        ("Make the shutters in the shop", "make-shutters"),
    ],
)
def test_a_plan_that_names_the_bench_work_is_read_so(shuttered, line, step) -> None:
    audit = listel.audit(shuttered, f"measure the corners\n{line}\nfix the trim\n")
    assert [each.steps for each in audit.recognised if each.text == line] == [(step,)]
    assert step not in {each.step for each in audit.missed}


def test_where_black_is_new_the_panels_are_black_too(outcome) -> None:
    """Each panel, within a line of white, beside what frames it; and what stands on the frames is drawn over them."""
    plain, without = (
        draw("strip", each, room="Study", plain=50) for each in (outcome, listel.examine(listel.read(BARE)))
    )
    black = [drawn.svg.count('fill="black"') for drawn in (plain, without)]
    found = outcome.sheet[Panelling]
    members = sum(len([*found.shown(frame)]) for frame in found.frames)
    panels = sum(frame.panels for frame in found.frames)
    assert black[0] - black[1] == members + panels == 24 + 12
    room = outcome.job.room("Study")
    drawn = bands(outcome.sheet, room, room.wall("A"), 3600.0, ((0.0, -1000.0), (3600.0, -1012.0)))
    assert drawn[0].member == "wainscot"

"""What stands already: kept, refixed, repaired or replaced, and what follows for what is cut, fixed and told."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listel.core.commands.cli import main
from listel.core.contract.cases import base, changed
from listel.core.contract.tables import load_table
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.reading import job_from_text
from listel.plugins.bonding import Bonding
from listel.plugins.conservation import OfficerTable
from listel.plugins.cutting import CuttingList
from listel.plugins.existing import Existing, Mend
from listel.plugins.existing.splices import scarf_length, splices
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings import draw
from listel.reports.drawings.paper import text_boxes
from listel.reports.statement import render

REGISTRY = load(entry_points=False, reckoners=False)
ON_A = "rooms.0.walls.0.existing"


def outcome(*pieces: dict[str, object], survey: str = "one-wall", at: str = ON_A, **sets: object) -> Outcome:
    data = changed(base(survey), {at: list(pieces), **sets})
    return examine(job_from_text(json.dumps(data)), REGISTRY, [])


def skirting(**said: object) -> dict[str, object]:
    return {"member": "skirting", "section": {"height": 168, "projection": 19}, **said}


def pieces_of(told: Outcome, trim: str = "skirting") -> list[tuple[str, float]]:
    """Every piece of a trim in the cutting list."""
    lines = [line for line in told.sheet[CuttingList].lines if line.trim == trim]
    return [(cut.piece, cut.end - cut.start) for line in lines for board in line.boards for cut in board.cuts]


def test_where_sound_skirting_is_kept_nothing_is_cut_bought_or_fixed():
    told = outcome(skirting(state="sound", intent="keep"))
    assert pieces_of(told) == []
    assert not [run for run in told.sheet[SettingOut].runs if run.trim == "skirting"]
    assert not [line for line in told.sheet[FixingSchedule].lines if line.trim == "skirting"]
    assert pieces_of(told, "dado")


def test_new_runs_join_what_is_kept():
    told = outcome(skirting(state="sound", intent="keep", **{"from": 1000, "to": 2000}))
    pieces = [piece for piece in told.sheet[SettingOut].pieces if piece.trim == "skirting"]
    assert [(piece.start, piece.end) for piece in pieces] == [(0.0, 1000.0), (2000.0, 3600.0)]
    assert (pieces[0].right.kind, pieces[1].left.kind) == ("butt", "butt")


@pytest.mark.parametrize("intent", ["keep", "refix", "repair"])
def test_old_that_stays_is_not_cut_for_a_joint_though_it_is_on_the_bench_anyhow(intent):
    told = outcome(skirting(state="loose", intent=intent, to=1000))
    (piece,) = (piece for piece in told.sheet[SettingOut].pieces if piece.trim == "skirting")
    assert piece.left.kind == "butt"
    assert piece.end - piece.overall == piece.end - piece.back == 1000


@pytest.mark.parametrize(("wall", "left", "right"), [("A", "square", "cope"), ("C", "cope", "butt")])
def test_round_a_corner_the_new_is_coped_over_the_old(wall, left, right):
    told = outcome(skirting(state="sound", intent="keep"), survey="whole-room", at="rooms.0.walls.B.existing")
    first = next(piece for piece in told.sheet[SettingOut].pieces if (piece.trim, piece.wall) == ("skirting", wall))
    assert (first.left.kind, first.right.kind) == (left, right)


def test_a_repair_is_one_splice_in_the_cutting_list_and_nothing_else():
    damage = [{"from": 300, "to": 520, "kind": "rot"}]
    told = outcome({"member": "skirting", "state": "damaged", "intent": "repair", "damage": damage})
    ((label, length),) = pieces_of(told)
    assert label == "old 1/1"
    assert length == pytest.approx(520 - 300 + 2 * 20 + 2 * 6 * 19)
    assert length < 1200


def test_damage_taped_a_little_past_the_end_of_its_piece_is_cut_out_to_that_end():
    rot = {"from": 850, "to": 904, "kind": "rot", "probed": True, "cause": "a leak", "cured": True}
    told = outcome(skirting(to=900, state="decayed", intent="repair", timber="european-redwood", damage=[rot]))
    (mend,) = told.sheet[Existing].mends
    assert mend.kind == "splice" and mend.end == 900 and mend.right.startswith("the old")


def test_an_old_board_of_unknown_height_is_no_higher_than_its_top_edge():
    told = outcome({"member": "skirting", "top": 97, "state": "sound", "intent": "refix"})
    assert told.sheet[Existing].pieces[0].height == 97
    assert all(point.height > 0 for line in told.sheet[FixingSchedule].lines for point in line.points)


def test_sound_original_trim_of_a_listed_house_is_not_replaced_unasked():
    told = outcome(
        skirting(state="sound", intent="replace", original="original"), **{"building.protection": "listed-grade-2"}
    )
    assert [f.weight for f in told.findings if f.rule == "existing/original-lost"] == ["hold"]
    assert not told.fit_for_issue


def test_dry_rot_is_followed_to_its_end_before_anything_of_it_is_moved():
    rot = {"from": 0, "to": 600, "kind": "dry-rot", "cured": True, "probed": True}
    told = outcome(skirting(state="decayed", intent="repair", timber="european-redwood", damage=[rot]))
    steps = {step.name: step for step in told.sheet[Sequence].steps}
    assert "old 1" in steps["decay-check"].because
    assert "decay-check" in steps["take-down"].needs and "decay-check" in steps["bench-repair"].needs
    (hazard,) = [each for each in told.sheet[SafetyNotes].hazards if each.name == "Dry rot"]
    assert any("mask" in worn for worn in hazard.wear) and any("bagged" in each for each in hazard.controls)
    assert all("membrane stands between it and the wall" in mend.how for mend in told.sheet[Existing].mends)


def test_what_lies_behind_is_read_by_a_specialist_before_it_is_laid_open():
    told = outcome(skirting(state="loose", intent="refix", hides=["papers"]))
    steps = {step.name: step for step in told.sheet[Sequence].steps}
    assert "record-finds" in steps["take-down"].needs
    kept = outcome(skirting(state="sound", intent="keep", hides=["papers"]))
    assert "record-finds" not in {step.name for step in kept.sheet[Sequence].steps}


def test_what_is_not_decided_stays():
    told = outcome(skirting(state="sound"))
    assert pieces_of(told) == []
    assert {total.name: total.length for total in told.sheet[OfficerTable].totals}["not decided"] == 3600


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ({}, "round the door in wall A of the Hall"),
        ({"side": "left"}, "left of the door in wall A of the Hall"),
        ({"side": "left", "to": 1930}, "left of the door in wall A of the Hall, 0 mm to 1930 mm up from its foot"),
    ],
)
def test_stations_round_an_opening_are_told_only_of_a_part_of_it(said: dict[str, object], where: str) -> None:
    """All of an architrave, legs and head end to end, is no place."""
    door = {"kind": "door", "at": 1000, "width": 838, "height": 2032, "architrave": 100}
    old = {"member": "architrave", "state": "sound", "intent": "keep", **said}
    told = outcome({**door, "existing": [old]}, at="rooms.0.walls.0.openings")
    assert [piece.where for piece in told.sheet[Existing].pieces] == [where]


def test_old_holes_come_first():
    holes = [{"at": at, "bites": at < 800} for at in range(100, 1001, 100)]
    told = outcome(skirting(state="loose", intent="refix", holes=holes))
    (piece,) = told.sheet[Existing].pieces
    assert sum(line.old_holes for line in told.sheet[FixingSchedule].lines if line.old) == 7
    assert "back into 7 old holes; 3 new" in piece.refixing


def test_an_old_piece_goes_back_into_its_holes_and_a_new_one_stands_over_one_that_fails():
    told = outcome(skirting(state="loose", intent="refix", holes=[100, {"at": 900, "bites": False}], to=1000))
    (line,) = (line for line in told.sheet[FixingSchedule].lines if line.old)
    assert (line.old, line.start, line.end, line.count, line.old_holes) == ("old 1", 0, 1000, 2, 1)
    assert [(point.station, point.on) for point in line.points] == [(100, "old hole"), (900, "masonry")]
    assert line.points[1].height - line.points[0].height == pytest.approx(20)


def test_the_elevation_has_old_trim_at_its_own_height_by_its_number():
    section = {"height": 224, "projection": 19}
    drawn = draw("elevation", outcome(skirting(state="sound", intent="keep", to=900, section=section)), room="Hall")
    assert "old 1 from 0 to 900, its top 224 above the floor" in drawn.alt
    words = [words for words, _ in text_boxes(drawn.svg)]
    assert words.count("224") == words.count("168 skirting") == 1, "each at the end of the wall that it comes to"
    assert ("walls", 0, "existing", 0) in {path for path, _ in drawn.shows}


def test_what_is_mended_on_the_wall_is_fixed_at_its_splice_alone():
    damage = [{"from": 1300, "to": 1500, "kind": "broken"}]
    told = outcome(skirting(state="damaged", intent="repair", damage=damage))
    lines = [line for line in told.sheet[FixingSchedule].lines if line.trim == "skirting"]
    (splice,) = told.sheet[SettingOut].splices
    assert [(line.old, line.start, line.end) for line in lines] == [("old 1/1", splice.start, splice.end)]


def test_a_splice_is_fixed_by_an_old_hole_behind_it_that_bites_first():
    damage = [{"from": 1300, "to": 1500, "kind": "broken"}]
    bare = outcome(skirting(state="damaged", intent="repair", damage=damage))
    (splice,) = bare.sheet[SettingOut].splices
    inside, outside = splice.start + 60, splice.start - 1
    holes = [outside, inside, {"at": inside + 100, "bites": False}]
    told = outcome(skirting(state="damaged", intent="repair", damage=damage, holes=holes))
    (line,) = (line for line in told.sheet[FixingSchedule].lines if line.old)
    assert line.old_holes == 1 and [point.station for point in line.points if point.on == "old hole"] == [inside]
    assert {inside + 100, outside}.isdisjoint(point.station for point in line.points)
    assert told.sheet[FixingSchedule].new_holes < bare.sheet[FixingSchedule].new_holes
    page = render(told, readers="workshop")
    assert f"as they are: {outside:.0f}, {inside:.0f}, {inside + 100:.0f} loose" in page


@pytest.mark.parametrize("sill", [0, 720])
def test_a_splice_of_a_leg_is_fixed_by_the_old_hole_behind_it_over_a_sill_as_well(sill):
    opening = {"kind": "window", "at": 1000, "width": 838, "height": 1400, "sill": sill, "architrave": 100}
    leg = {"member": "architrave", "section": {"height": 95, "projection": 20}, "side": "left", "state": "damaged"}
    leg |= {"intent": "repair", "damage": [{"from": 500, "to": 700, "kind": "broken"}]}
    leg |= {"holes": [100, 600, {"at": 640, "bites": False}]}
    old = [{**opening, "existing": [leg]}]
    trim = {"name": "architrave", "member": "architrave", "where": [], "timber": "european-redwood", "finish": "paint"}
    data = changed(base("one-wall"), {"trim.+": trim, "rooms.0.walls.0.openings": old})
    told = examine(job_from_text(json.dumps(data)), REGISTRY, [])
    (line,) = (line for line in told.sheet[FixingSchedule].lines if line.old)
    assert line.upright and line.old_holes == 1
    assert [point.height for point in line.points if point.on == "old hole"] == [sill + 600]
    assert sill + 640 not in {point.height for point in line.points}


def test_a_trim_that_goes_nowhere_is_nothing_that_is_fixed_nor_a_run_that_wants_consent():
    stuff = {"name": "mending stuff", "member": "skirting", "where": [], "section": {"height": 200, "projection": 24}}
    told = outcome(**{"trim.+": stuff, "building.protection": "listed-grade-2"})
    page = render(told)
    assert "2.1 m of mending" not in page and "and mending stuff" not in page
    assert not [one for one in told.sheet[SafetyNotes].consents if "mending stuff" in one.what]


def bought(told: Outcome) -> dict[str, float]:
    return {each.what.partition(",")[0]: each.quantity for each in told.sheet[Bonding].materials}


def test_one_screw_of_acid_timber_and_of_damp_or_lime_walls_is_bought_once():
    told = outcome(**{"trim.dado.timber": "european-oak", "rooms.0.walls.0.substrate.kind": "lime-on-brick"})
    lines = told.sheet[FixingSchedule].lines
    assert {line.metal for line in lines} == {"stainless A2"} and len({line.trim for line in lines}) == 2
    screws = [each.what for each in told.sheet[Bonding].materials if each.what.startswith("screws")]
    assert len(screws) == len({(line.gauge, line.length) for line in lines})


def test_primer_and_glue_follow_what_is_touched():
    wall = {"trim.dado.where": [{"room": "Hall", "walls": ["A"], "to": 1000}]}
    kept = bought(outcome(skirting(state="sound", intent="keep"), **wall))
    back = bought(outcome(skirting(state="loose", intent="refix", holes=[100, 3500]), **wall))
    damage = [{"from": 1300, "to": 1500, "kind": "broken"}]
    mended = bought(outcome(skirting(state="damaged", intent="repair", moisture=11, damage=damage), **wall))
    assert kept["primer"] == back["primer"] < mended["primer"], "no primer on what is not new"
    assert kept["undercoat"] < back["undercoat"] == mended["undercoat"], "what is worked at is coated where it is seen"
    glued = 2 * 168 * 19 * 37**0.5 / 1e6
    assert mended["glue of class D2 (EN 204)"] == pytest.approx(glued * 250 * 1.1, abs=0.2)
    assert "pins or slender screws" not in back
    assert mended["pins or slender screws"] == 5, "two through each scarf, and the spare"
    gone = bought(outcome(skirting(state="damaged", intent="replace", reason="it is crushed", to=1000), **wall))
    new = bought(outcome(skirting(state="sound", intent="keep", to=0.1), **wall))
    assert gone["undercoat"] == pytest.approx(new["undercoat"], abs=0.01), "what goes is not painted"


def test_the_reckoner_is_told_of_an_outer_wall_and_else_says_that_it_takes_an_inner_one(capsys):
    told = {"length": 2393, "from": 300, "to": 520, "kind": "rot", "thickness": 20, "height": 168, "moisture": 13}
    given = [str(word) for key, value in told.items() for word in (f"--{key}", value)]
    assert main(["reckon", "splice", *given]) == 0
    inner = capsys.readouterr().out
    assert main(["reckon", "splice", *given, "--outer-wall"]) == 0
    outer = capsys.readouterr().out
    assert "hide glue" in inner and "wall: inner (assumed)" in inner and "wet face" not in inner
    assert "class D3" in outer and "wall: outer\n" in outer and "wet face" in outer


def test_a_bruise_where_a_splice_goes_is_cut_out_with_it():
    damage = [
        {"from": 1000, "to": 1100, "kind": "broken"},
        {"from": 900, "to": 930, "kind": "bruise", "height": 40, "depth": 9},
        {"from": 300, "to": 330, "kind": "bruise", "height": 40, "depth": 9},
    ]
    told = outcome(skirting(state="damaged", intent="repair", damage=damage))
    made = [(mend.kind, mend.start, mend.end) for mend in told.sheet[Existing].mends]
    assert made == [("piece let in", 295, 335), ("splice", 895 - 6 * 19, 1110 + 6 * 19)]


def test_a_steeper_scarf_is_cut_where_it_leaves_more_of_the_old():
    damage = [{"from": 220, "to": 300, "kind": "broken"}]
    (mend,) = outcome(skirting(state="damaged", intent="repair", damage=damage)).sheet[Existing].mends
    assert (mend.slope, mend.start, mend.lost) == (4, 210 - 4 * 19, 100 + 4 * 19)


def test_an_architrave_is_mended_side_by_side():
    opening = {"kind": "door", "at": 1000, "width": 838, "height": 2032, "architrave": 100}
    left = {"member": "architrave", "state": "damaged", "section": {"height": 95, "projection": 20}, "side": "left"}
    left |= {"intent": "repair", "damage": [{"from": 60, "to": 160, "kind": "broken"}]}
    head = {"member": "architrave", "side": "head", "state": "sound", "intent": "keep"}
    trim = {"name": "architrave", "member": "architrave", "where": [{"room": "Hall"}]}
    trim |= {"section": {"height": 95, "projection": 20}, "timber": "european-redwood", "finish": "paint"}
    data = changed(
        base("one-wall"), {"trim.+": trim, "rooms.0.walls.0.openings": [{**opening, "existing": [left, head]}]}
    )
    told = examine(job_from_text(json.dumps(data)), REGISTRY, [])
    runs = [run for run in told.sheet[SettingOut].runs if run.trim == "architrave"]
    assert [run.start > 1500 for run in runs] == [True], "the right leg alone is new"
    (splice,) = told.sheet[SettingOut].splices
    assert (splice.left.kind, splice.right.kind) == ("square", "scarf")
    assert splice.overall == pytest.approx(160 + 10 + 8 * 20)


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        (skirting(**{"from": 900, "to": 700}), "before it begins"),
        (skirting(to=3700), "past the end of the wall"),
        (skirting(to=900, damage=[{"from": 850, "to": 950, "kind": "rot"}]), "no place on this piece"),
        (skirting(to=900, holes=[1200]), "no place on this piece"),
        (skirting(**{"for": "skirtin"}), "Did you mean skirting"),
        (skirting(state="fine"), "not known here"),
    ],
)
def test_what_cannot_be_so_is_a_fault_at_its_line(piece, words):
    with pytest.raises(SurveyFaults, match=words):
        outcome(piece)


def test_two_pieces_in_one_place_are_a_fault():
    with pytest.raises(SurveyFaults, match="lie over each other"):
        outcome(skirting(to=900), skirting(**{"from": 800}))


def test_a_plan_is_read_in_the_words_people_use_for_old_trim():
    damage = [{"from": 300, "to": 400, "kind": "broken"}]
    rows = load_table("listel.plugins.existing", "steps").rows
    lines = [(row.name, words) for row in rows for words in row["words"]]
    told = outcome(
        skirting(state="damaged", intent="repair", damage=damage, to=1000),
        skirting(state="loose", intent="refix", **{"from": 1000}),
        **{
            "building.protection": "listed-grade-2",
            "work": {"strip-paint": True},
            "plan": [words for _, words in lines],
        },
    )
    read = {line.text: line.steps for line in told.sheet[Sequence].audit.recognised}
    assert {words: step for step, words in lines} == {words: ", ".join(steps) for words, steps in read.items()}


LENGTHS = st.floats(0, 4000)


@given(st.lists(st.tuples(LENGTHS, st.floats(1, 300)), min_size=1, max_size=6), st.floats(300, 4000), st.floats(10, 60))
def test_splices_cover_the_damage_lie_inside_and_leave_enough_between(bad, length, thickness):
    scarf = scarf_length(thickness, 6)
    damage = [(at, min(at + wide, length)) for at, wide in bad if at < length]
    made = splices(damage, 0, length, scarf, 100)
    for low, high in damage:
        assert any(s.cut_from <= low and high <= s.cut_to for s in made)
    for one in made:
        assert 0 <= one.start <= one.cut_from <= one.cut_to <= one.end <= length
        assert one.at_start or one.start >= 100 - 1e-6
        assert one.at_end or one.end <= length - 100 + 1e-6
    for before, after in pairwise(made):
        assert after.start - before.end >= 100 - 1e-6


def test_mending_alone_is_work_that_is_made_safe_and_put_in_order():
    """No trim is listed: what comes off an old house is looked at for asbestos and lead all the same."""
    sets = {"building.protection": "category-b", "building.region": "scotland", "trim": [], "stock": []}
    told = outcome(skirting(state="loose", intent="refix", finish="paint", holes=[100, 3500]), **sets)
    assert {"safety/asbestos", "safety/lead-paint"} <= {finding.rule for finding in told.findings}
    steps = [step.name for step in told.sheet[Sequence].steps]
    assert steps.index("asbestos-check") < steps.index("take-down") < steps.index("refix") < steps.index("clean")
    assert not {"set-out", "fix"} & set(steps)
    kept = outcome(skirting(state="sound", intent="keep"), **sets)
    assert "safety/asbestos" not in {finding.rule for finding in kept.findings}, "nothing is touched"


def test_a_trim_that_only_mends_runs_nowhere():
    damage = [{"from": 1300, "to": 1500, "kind": "broken"}]
    told = outcome(skirting(state="damaged", intent="repair", damage=damage), **{"trim.skirting.where": []})
    assert [piece for piece, _ in pieces_of(told)] == ["old 1/1"]
    assert not [run for run in told.sheet[SettingOut].runs if run.trim == "skirting"]


def test_the_joiner_has_a_sheet_of_the_old_trim_and_no_splice_is_taken_for_a_spare():
    damage = [{"from": 700, "to": 800, "kind": "broken"}]
    told = outcome(
        skirting(state="damaged", intent="repair", damage=damage, to=1500),
        skirting(state="loose", intent="refix", holes=[1600, 2300], **{"from": 1550, "to": 2400}),
        skirting(state="sound", intent="keep", **{"from": 2500, "to": 3000}),
    )
    page = render(told, readers="workshop")
    for words in (">Old trim</h2>", "Leave alone</strong>: old 3", "1600, 2300", "old 1/1 from "):
        assert words in page
    assert "over the old" in page or "to the old, which is not cut" in page


@pytest.mark.parametrize(
    ("left", "right", "says"),
    [("scarf", "scarf", "both ends: scarf"), ("the old end", "scarf", "the old end; scarf")],
)
def test_the_ends_of_a_mend_are_told_once_where_they_are_alike(left: str, right: str, says: str) -> None:
    mend = Mend(
        label="old 1/1",
        piece="old 1",
        room="R",
        wall="A",
        kind="splice",
        damage="rot",
        start=0,
        end=560,
        cut_from=150,
        cut_to=410,
        overall=560,
        left=left,
        right=right,
        how="",
        glue="",
    )
    assert mend.ends == says

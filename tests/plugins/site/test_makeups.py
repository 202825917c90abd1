"""A make-up, a finish or a timber is one row: every plugin works by its columns; and the decision cases."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from listel.core.contract.cases import base, changed
from listel.core.contract.hooks import hookimpl
from listel.core.contract.tables import Row, Table
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import Registry, load, plugin_from
from listel.core.host.words import schema_with
from listel.core.survey.job import Job
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.reading import job_from_text
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import FixingSchedule
from listel.plugins.heights.rooms import spans_of
from listel.plugins.safety import SafetyNotes
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables
from listel.reports.papers.officer import items
from listel.reports.statement import render

REGISTRY = load(entry_points=False, reckoners=False)
WALL = "rooms.0.walls.0"


def read(**sets: Any) -> Job:
    data = changed(base("one-wall"), {key.replace("__", "."): value for key, value in sets.items()})
    return job_from_text(json.dumps(data), "one-wall.yaml")


def on_wall(substrate: dict[str, Any] | None = None, **sets: Any) -> Outcome:
    given = {f"{WALL}.substrate": substrate} if substrate else {}
    return examine(read(**given, **sets), REGISTRY)


def rules(outcome: Outcome, weight: str = "") -> set[str]:
    return {finding.rule for finding in outcome.findings if weight in ("", finding.weight)}


def line(outcome: Outcome, trim: str) -> Any:
    return next(one for one in outcome.sheet[FixingSchedule].lines if one.trim == trim)


def assert_sound(outcome: Outcome) -> None:
    assert [entry.fault for entry in outcome.ran if entry.fault] == []
    assert not [finding.says for finding in outcome.findings if finding.rule.startswith("engine/")]


@pytest.mark.parametrize("row", tables.makeups().rows, ids=lambda row: row.name)
def test_every_make_up_goes_through_every_plugin(row: Row) -> None:
    assert_sound(on_wall({"kind": row.name}))


@pytest.mark.parametrize("row", tables.finishes().rows, ids=lambda row: row.name)
def test_every_finish_goes_through_every_plugin(row: Row) -> None:
    assert_sound(on_wall({"kind": "gypsum-on-brick", "finish": row.name}))


@pytest.mark.parametrize("row", tables.timbers().rows, ids=lambda row: row.name)
def test_every_timber_goes_through_every_plugin(row: Row) -> None:
    assert_sound(on_wall(trim__dado__timber=row.name))


INVENTED = {
    "says": "invented stuff on invented studs",
    "bearer": "studs",
    "into": "invented studs",
    "fixing": "screw",
    "plaster": [10, 20],
    "void": [0, 0],
    "centres": [300, 500],
    "hollow": True,
    "lime": True,
    "fragile": True,
    "avoid": ["waking it"],
    "find": "ask it",
    "offers": "lime",
    "dust": "silica",
    "layers": ["finish", "stuff", "stud"],
    "recognise": "it is invented",
    "also": ["invented stuff"],
}


class Firm:
    """A plugin whose table adds a make-up and nothing else."""

    @hookimpl
    def listel_tables(self) -> list[Table]:
        known = tables.makeups()
        return [replace(known, rows=(Row("invented-wall", INVENTED, known.rows[0].sources),))]


def test_one_row_is_a_make_up_in_every_plugin() -> None:
    firm = plugin_from(Firm(), "firm", "1", "a test")
    data = changed(base("one-wall"), {f"{WALL}.substrate": {"kind": "invented-wall", "finish": "bare"}})
    job = job_from_text(json.dumps(data), "one-wall.yaml", schema_with([firm]))
    outcome = examine(job, Registry((*REGISTRY.plugins, firm)))
    assert_sound(outcome)
    rail = line(outcome, "dado")
    assert (rail.substrate, rail.into, rail.kind) == ("invented-wall", "invented studs", "screw")
    assert "waking it" in rail.avoid and "ask it" in rail.find
    assert "10 mm to 20 mm is usual" in " ".join(finding.mend for finding in outcome.findings)
    assert any("lime plaster is weaker" in bond.why for bond in outcome.sheet[Bonding].bonds)
    assert any("invented wall" in hazard.because for hazard in outcome.sheet[SafetyNotes].hazards)
    assert "invented studs" in render(outcome)


class TestDecisions:
    """The decision cases of the sheet of make-ups and finishes: what is fixed, refused and held."""

    def test_a_screw_passes_board_and_plaster_to_the_stud(self) -> None:
        """Trim 25, less 2 sunk, plaster 22, thread 35: 80 mm; the studs of gypsum lath stand about 406 mm apart."""
        outcome = on_wall({"kind": "gypsum-lath-on-stud", "plaster": 22})
        assert line(outcome, "dado").length == 80
        assert tables.makeups().row("gypsum-lath-on-stud")["centres"] == [400, 406]

    def test_a_magnet_proves_no_stud_behind_metal_lath(self) -> None:
        row = tables.makeups().row("metal-lath-on-stud")
        assert row["magnet"] and any("magnet" in each for each in row["avoid"])
        assert "magnet sticks everywhere" in line(on_wall({"kind": row.name}), "dado").find

    def test_between_nogging_the_studs_are_wide_and_brick_is_not_counted(self) -> None:
        outcome = on_wall({"kind": "brick-nogging"})
        assert "457 to 800 mm" in line(outcome, "dado").find
        assert line(outcome, "dado").into == "studs and nogging pieces"

    def test_hollow_tile_refuses_a_plug(self) -> None:
        refused = on_wall({"kind": "hollow-clay-tile", "plaster": 15}, choices={"fixing": "plug-and-screw"})
        assert "fixings/choice-cannot-hold-here" in rules(refused)
        ours = line(on_wall({"kind": "hollow-clay-tile", "plaster": 15}), "dado")
        assert ours.kind == "resin-anchor" and "site" in ours.find

    def test_wattle_and_daub_is_fixed_to_its_frame_alone(self) -> None:
        outcome = on_wall({"kind": "wattle-and-daub", "plaster": 20})
        assert "never the panel" in line(outcome, "dado").into
        assert "fixings/studs-not-surveyed" in rules(outcome)

    @pytest.mark.parametrize(("diameter", "held"), [(4.17, False), (5.5, True)])
    def test_before_a_flue_a_6_mm_plug_passes_and_a_7_mm_plug_does_not(self, diameter: float, held: bool) -> None:
        """6 mm plug, hole 45; 7 mm plug, hole 55; 50 is the most where the brick is taken as 100."""
        choices = {"fixing": "plug-and-screw", "fixing-diameter": diameter}
        outcome = on_wall(None, **{f"{WALL}.flue": "unknown"}, choices=choices)
        assert ("fixings/hole-too-deep" in rules(outcome, "hold")) is held

    @pytest.mark.parametrize(("thickness", "held"), [(139, True), (141, False)])
    def test_a_hole_in_a_party_wall_stays_short_of_its_middle(self, thickness: float, held: bool) -> None:
        """A hole of 45 mm wants half the wall and 25 mm more: 140 mm."""
        outcome = on_wall(None, **{f"{WALL}.party": True, f"{WALL}.thickness": thickness})
        assert ("fixings/hole-too-deep" in rules(outcome, "hold")) is held

    def test_strawboard_carries_no_loaded_rail(self) -> None:
        outcome = on_wall({"kind": "strawboard", "plaster": 3}, trim__dado__load=40)
        assert "site/light-wall" in rules(outcome, "hold")

    def test_a_screw_through_a_resilient_bar_bridges_it(self) -> None:
        board = {"kind": "resilient-bar", "plaster": 12.5, "void": 16}
        long = on_wall(board, choices={"fixing": "screw", "fixing-length": 80})
        assert "fixings/hole-too-deep" in rules(long, "hold")

    def test_gypsum_dabs_are_refused_on_clay_lump(self) -> None:
        outcome = on_wall({"kind": "clay-lump", "finish": "bare"}, choices={"adhesive": "gypsum-dabs"})
        assert all(bond.adhesive == "none" and bond.refused for bond in outcome.sheet[Bonding].bonds)

    def test_emulsion_over_distemper_lets_go_as_distemper_does(self) -> None:
        outcome = on_wall(
            {"kind": "gypsum-on-brick", "finish": ["emulsion", "distemper"]}, choices={"adhesive": "acrylic-grab"}
        )
        assert any("distemper is soft" in why for bond in outcome.sheet[Bonding].bonds for _, why in bond.refused)

    @pytest.mark.parametrize(("finish", "why"), [("distemper", "lets go"), ("tile", "sealed"), ("shellac", "sealed")])
    def test_glue_is_refused_where_the_finish_forbids_it(self, finish: str, why: str) -> None:
        outcome = on_wall({"kind": "gypsum-on-brick", "finish": finish}, choices={"adhesive": "acrylic-grab"})
        assert any(why in told for bond in outcome.sheet[Bonding].bonds for _, told in bond.refused)

    def test_masonry_without_hollows_bears_anywhere(self) -> None:
        bears = {row.name for row in tables.makeups() if row["bearer"] == "masonry" and not row.get("hollow")}
        assert {"lime-on-brick", "dense-concrete"} <= bears and not {"dot-and-dab", "hollow-clay-tile", "cob"} & bears
        assert on_wall().sheet[SettingOut].runs


@pytest.mark.parametrize("row", tables.members().rows, ids=lambda row: row.name)
def test_every_member_goes_through_every_plugin_and_onto_paper(row: Row) -> None:
    outcome = on_wall(
        trim__dado__member=row.name,
        trim__dado__top=900,
        rooms__0__walls__0__openings=[
            {"kind": "door", "at": 2000, "width": 838, "height": 2032, "architrave": 95},
            {"kind": "window", "at": 600, "width": 700, "height": 1200, "sill": 900, "architrave": 95},
        ],
        rooms__0__walls__0__panels=[{"at": 300, "width": 900, "underside": 280, "height": 400}],
    )
    assert_sound(outcome)
    if row.name in ("wainscot-cap", "window-board", "corner-block"):
        assert row["says"] in render(outcome).lower()
    assert bool(outcome.sheet[SettingOut].laid.of(trim="dado")) == (row["goes"] != "nowhere") or row.name in (
        "plinth-block",
        "corner-block",
        "stair-skirting",
    )
    assert bool(row.get("unreckoned")) == ("site/member-not-reckoned" in rules(outcome, "record"))


@pytest.mark.parametrize(("name", "rakes"), [("stair-skirting", True), ("wainscot-cap", True), ("shoe", False)])
def test_a_member_follows_the_stairs_where_its_row_says_so(name: str, rakes: bool) -> None:
    stairs = [
        {"name": "main", "rise": 180, "going": 250, "steps": 8, "walls": [{"wall": "A", "foot": 800, "up": "right"}]}
    ]
    outcome = on_wall(trim__dado__member=name, trim__dado__top=300, rooms__0__stairs=stairs)
    assert_sound(outcome)
    pitches = [run.pitch for run in outcome.sheet[SettingOut].runs if run.trim == "dado"]
    assert any(pitches) is rakes


@pytest.mark.parametrize(
    ("name", "spans"),
    [
        ("early", ["to-1714"]),
        ("georgian", ["1714-1790"]),
        ("federal", ["1790-1837"]),
        ("greek-revival", ["1790-1837", "1837-1868"]),
        ("victorian", ["1837-1868", "1868-1890", "1890-1901"]),
        ("late-victorian", ["1868-1890", "1890-1901"]),
        ("craftsman", ["1901-1914", "1914-1940"]),
        ("colonial-revival", ["1890-1901", "1901-1914", "1914-1940"]),
        ("art-deco", ["1914-1940"]),
        ("modern", ["after-1940"]),
    ],
)
def test_a_period_is_of_the_spans_its_years_lie_in(name: str, spans: list[str]) -> None:
    assert list(spans_of(name)) == spans


@pytest.mark.parametrize("row", tables.periods().rows, ids=lambda row: row.name)
def test_every_period_goes_through_every_plugin(row: Row) -> None:
    assert_sound(on_wall(rooms__0__period=row.name, building__region=row.get("regions", ["england"])[0]))
    assert spans_of(row.name)


@pytest.mark.parametrize(("word", "asked"), [("dado", ["dado-rail", "wainscot"]), ("baseboard", [])])
def test_a_word_for_two_members_is_asked_for(word: str, asked: list[str]) -> None:
    if not asked:
        assert read(trim__dado__member=word).trim[1].member == "skirting"
        return
    with pytest.raises(SurveyFaults) as told:
        read(trim__dado__member=word)
    assert all(name in str(told.value) for name in asked)


def test_an_insulating_board_is_asked_about_for_it_may_be_asbestos() -> None:
    with pytest.raises(SurveyFaults) as told:
        on_wall({"kind": "insulating board"})
    assert all(name in str(told.value) for name in ("asbestos-board", "fibreboard"))


def test_queen_anne_by_itself_is_asked_for() -> None:
    with pytest.raises(SurveyFaults) as told:
        read(rooms__0__period="Queen Anne")
    assert "american-queen-anne" in str(told.value)


def test_an_old_paper_that_is_drilled_is_told_to_the_officer_as_a_loss() -> None:
    wall = {"kind": "lime-on-brick", "finish": ["emulsion", "old-paper"]}
    told = on_wall(wall, building__built=1840, building__protection="listed-grade-2", choices__fixing=("screw",))
    (view,) = [each for each in told.sheet[SafetyNotes].consents if "paper of about 1780 to 1890" in each.what]
    assert view.view == "likely alteration"
    (thing,) = [each for each in items(told).others if each.thing == "Paper of about 1780 to 1890"]
    assert "cannot be stopped to match" in thing.undone
    plain = on_wall({"kind": "lime-on-brick", "finish": "emulsion"}, building__built=1840)
    assert not [each for each in items(plain).others if "cannot" in each.undone]


@pytest.mark.parametrize(("built", "told"), [(1875, True), (1889, True), (1890, False)])
def test_old_paper_of_any_colour_may_hold_arsenic(built: int, told: bool) -> None:
    outcome = on_wall({"kind": "lime-on-brick", "finish": ["emulsion", "old-paper"]}, building__built=built)
    hazards = outcome.sheet[SafetyNotes].hazards
    assert any("of any colour" in hazard.because for hazard in hazards) is told

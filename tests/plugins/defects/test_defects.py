"""Boards against the class of their place: what stays, what is cut out, and what is left."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Board, Building, Climate, Cutting, Defect, Job, Place, Room, Seasons, Section, Trim
from listel.plugins.defects import DefectChecks
from listel.plugins.defects.checks import examine
from listel.plugins.defects.straight import rise_over
from listel.plugins.timber import Movement, TrimMovement

DADO = Trim("dado", "dado-rail", section=Section(height=60, projection=28), finish="paint", timber="european-redwood")


def seen(trim: Trim = DADO, *rack: Board, **rest: object) -> tuple[DefectChecks, dict[str, Finding]]:
    job = Job("invented", trim=(trim,), rack=rack, **rest)  # type: ignore[arg-type]
    said = list(examine(job, Sheet()))
    checks = [thing for thing in said if isinstance(thing, DefectChecks)]
    assert len(checks) == 1
    return checks[0], {thing.rule: thing for thing in said if isinstance(thing, Finding)}


def board(*defects: Defect, **rest: object) -> Board:
    return Board("dado", 2000, "R1", defects=defects, **rest)  # type: ignore[arg-type]


SMALL = Defect(600, 620, "knot", size=12, sound=True)


@pytest.mark.parametrize(
    ("finish", "grade", "defect", "cut_out"),
    [
        ("paint", None, SMALL, False),
        ("clear", None, SMALL, True),
        (None, None, SMALL, True),
        ("paint", "J10", SMALL, True),
        ("clear", "J20", SMALL, False),
        ("paint", None, replace(SMALL, sound=False), True),
        ("paint", None, replace(SMALL, sound=None), True),
        ("paint", None, replace(SMALL, size=19), True),  # 30 % of a 60 mm face is 18 mm
        ("paint", None, replace(SMALL, size=None, face=25), False),
        ("paint", None, replace(SMALL, size=None), True),
        ("paint", None, Defect(600, 620, "split"), True),
        ("paint", None, Defect(600, 620, "nail-holes"), False),
        ("clear", None, Defect(600, 620, "nail-holes"), True),
        ("paint", None, Defect(600, 620, "rot"), True),
    ],
)
def test_verdict(finish: str | None, grade: str | None, defect: Defect, cut_out: bool) -> None:
    checks, _ = seen(replace(DADO, finish=finish, grade=grade), board(defect))
    assert checks.boards[0].verdicts[0].cut_out is cut_out
    assert (checks.boards[0].clear == ((0.0, 2000.0),)) is not cut_out


def test_margin_is_the_surveys_or_assumed() -> None:
    knot = Defect(600, 640, "knot", size=40, sound=False)
    assert seen(DADO, board(knot))[0].boards[0].clear == ((0.0, 580.0), (660.0, 2000.0))
    given, _ = seen(DADO, board(knot), cutting=Cutting(defect_margin=5))
    assert given.boards[0].clear == ((0.0, 595.0), (645.0, 2000.0))


def test_overlapping_defects_leave_one_gap() -> None:
    checks, _ = seen(DADO, board(Defect(0, 100, "split"), Defect(90, 300, "rot")), cutting=Cutting(defect_margin=0))
    assert checks.boards[0].clear == ((300.0, 2000.0),)


def test_kept_knots_keep_their_distance() -> None:
    checks, _ = seen(DADO, board(SMALL, replace(SMALL, start=700, end=712), replace(SMALL, start=900, end=912)))
    assert [verdict.cut_out for verdict in checks.boards[0].verdicts] == [False, True, False]


@pytest.mark.parametrize(
    ("fault", "usable"), [({"bow": 6}, True), ({"spring": 2.1}, False), ({"cup": 1}, False), ({"wane": 3}, False)]
)
def test_out_of_straight(fault: dict[str, float], usable: bool) -> None:
    checks, found = seen(DADO, board(**fault))
    assert checks.boards[0].usable is usable
    assert {"defects/out-of-straight", "defects/wane"} & set(found)


def test_a_long_board_may_bow_more() -> None:
    assert rise_over(20, 4000, 2000) == pytest.approx(5)
    assert "defects/out-of-straight" not in seen(DADO, Board("dado", 4000, "R1", bow=20))[1]


@pytest.mark.parametrize(
    ("heating", "moisture", "rule"),
    [
        ("unheated", 14, None),
        ("unheated", 18, "defects/moisture-out-of-band"),
        ("heated", 9, None),
        ("heated", 11, "defects/moisture-schemes-disagree"),
        ("heated", 14, "defects/moisture-out-of-band"),
        ("conservation", 11, "defects/no-moisture-band"),
        (None, 11, None),
    ],
)
def test_moisture(heating: str | None, moisture: float, rule: str | None) -> None:
    _, found = seen(DADO, board(moisture=moisture), climate=Climate(heating=heating))
    about = {name for name in found if "moisture" in name}
    assert about == ({rule} if rule else set())


def test_boards_are_held_to_the_air_of_the_rooms_they_are_for() -> None:
    stair = Room("Stair", climate=Seasons("unheated"))
    trim = replace(DADO, where=(Place("Stair"),))
    _, found = seen(trim, board(moisture=14), rooms=(stair,), climate=Climate("heated"))
    assert not any("moisture" in name for name in found)


@pytest.mark.parametrize(("moisture", "told"), [(11, False), (18, True)])
def test_where_the_air_was_surveyed_boards_are_held_to_it(moisture: float, told: bool) -> None:
    air = Movement((TrimMovement(trim="dado", delivered=14, wait_reading=(8.6, 12.6)),))
    job = Job("invented", trim=(replace(DADO, moisture=14),), rack=(board(moisture=moisture),))
    found = [thing for thing in examine(job, Sheet({Movement: air})) if isinstance(thing, Finding)]
    about = [finding for finding in found if "moisture" in finding.rule]
    assert [finding.rule for finding in about] == (["defects/moisture-out-of-band"] if told else [])
    assert all("8.6 to 12.6 %" in finding.says for finding in about)


def test_old_nails_and_attack_are_cautions() -> None:
    _, found = seen(DADO, board(Defect(10, 20, "nail-holes"), Defect(500, 600, "insect")))
    assert found["defects/old-nails"].weight == found["defects/attack"].weight == "caution"


def test_wholly_unsound_board_gives_nothing() -> None:
    checks, found = seen(DADO, board(Defect(0, 2000, "rot")))
    assert checks.boards[0].clear == () and not checks.boards[0].usable
    assert "defects/nothing-clear" in found


def test_snags_fit_the_members_and_call_for_a_sample() -> None:
    checks, found = seen(DADO, building=Building(built=1838))
    looked = {snag.look_for for snag in checks.snags}
    assert "open copes" in looked and not any("skirting" in look for look in looked)
    assert found["defects/agree-sample"].weight == "advice"


def test_bare_job_yields_an_empty_result() -> None:
    said = list(examine(Job("bare"), Sheet()))
    assert said == [DefectChecks()]


def test_boards_of_one_name_are_told_apart() -> None:
    checks, _ = seen(DADO, board(), board())
    assert [check.board for check in checks.boards] == ["R1", "R1 (2)"]


def test_every_figure_of_a_tolerance_has_its_unit() -> None:
    """A job in inches is told in inches what has one; a bare 1 would be read as one of them."""
    for row in load_table("listel.plugins.defects", "snags"):
        alone = re.findall(r"\b\d+(?:\.\d+)?(?! ?(?:mm|m|%)\b)(?! to \d)(?![\d.])", row["limit"])
        assert alone == [], row.name

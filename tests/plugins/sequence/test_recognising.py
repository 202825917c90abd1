"""Lines of plans in people's words, read as steps."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from listel.core.contract.stage import Steps
from listel.core.host.registry import load
from listel.plugins.sequence.clauses import clauses_of
from listel.plugins.sequence.phrases import known_steps, nearest_step
from listel.plugins.sequence.reading import read_line
from listel.plugins.sequence.weighing import weights
from listel.plugins.sequence.wording import mended, stem, waits_told, written_out

from .told import digest_of, learnt_from, scored, told_plans

PLANS = YAML(typ="safe").load(Path(__file__).with_name("plans.yaml").read_text(encoding="utf-8"))


FLOORS = {"step": (0.92, 0.93), "negation": (0.9, 0.95), "method": (0.97, 0.93), "wait": (0.93, 0.85)}
"""Precision and recall on the plans kept for measuring, no less than this."""


def score(held_out: bool) -> tuple[float, float, int, int]:
    """Precision, recall, plans and lines, over every pair of line and step."""
    plans = [plan for plan in PLANS if bool(plan.get("held-out")) is held_out]
    lines = [(set(read_line(text).steps), set(steps)) for plan in plans for text, *steps in plan["lines"]]
    right = sum(len(found & meant) for found, meant in lines)
    precision = right / sum(len(found) for found, _ in lines)
    recall = right / sum(len(meant) for _, meant in lines)
    return precision, recall, len(plans), len(lines)


@pytest.mark.parametrize(("held_out", "least"), [(False, 0.95), (True, 0.9)])
def test_plans_in_peoples_words(held_out: bool, least: float) -> None:
    precision, recall, plans, lines = score(held_out)
    kind = "held-out plans" if held_out else "plans"
    print(f"\n{plans} {kind}, {lines} lines: precision {precision:.3f}, recall {recall:.3f}")
    assert plans >= (10 if held_out else 40)
    assert precision > least
    assert recall > least


def test_plans_as_people_tell_them() -> None:
    plans = told_plans("kept")
    scores = scored(plans)
    for kind, score in scores.items():
        told = f"{score.precision:.3f}, recall {score.recall:.3f} of {score.right + len(score.lost)}"
        print(f"\n{len(plans)} plans kept: {kind}: precision {told}")
    assert len(plans) >= 60 and len(learnt_from()) >= 60
    for kind, (precision, recall) in FLOORS.items():
        assert scores[kind].precision >= precision and scores[kind].recall >= recall, kind


def test_what_words_weigh_is_learnt_from_the_plans_that_stand_here() -> None:
    told = json.loads(files("listel.plugins.sequence").joinpath("word_weights.json").read_text("utf-8"))
    assert told["digest"] == digest_of(learnt_from()), "run tests/plugins/sequence/learn.py"
    assert list(weights().stems) == sorted(weights().stems)


@pytest.mark.parametrize(
    ("text", "denied", "methods", "steps"),
    [
        ("Don't bother with the undercoat", ("undercoat",), (), ()),
        ("No need to test the paint", ("lead-check",), (), ()),
        ("Scribing not required", ("scribe",), (), ()),
        ("Leave the caulk out", ("caulk",), (), ()),
        ("Don't forget the undercoat", (), (), ("undercoat",)),
        ("No dry sanding", (), (), ()),
        ("dry sand the wall", (), ("dry-sand",), ("sand",)),
        ("sand the filler once it is dry", (), (), ("sand",)),
        ("Burn off the old paint with a blow lamp", (), ("burn-off",), ("strip-paint",)),
        ("Nothing comes off until consent is granted", (), (), ("consent",)),
        ("take the radiator off", (), (), ("radiators-off",)),
        ("keep a strip of paper", (), (), ()),
        ("cutting in", (), (), ()),
        ("send the invoice", (), (), ()),
    ],
)
def test_what_a_clause_leaves_out_and_how_it_works(
    text: str, denied: tuple[str, ...], methods: tuple[str, ...], steps: tuple[str, ...]
) -> None:
    reading = read_line(text)
    assert (reading.denied, reading.methods, reading.steps) == (denied, methods, steps)
    assert not reading.lost


@pytest.mark.parametrize(
    ("text", "clauses"),
    [
        ("Cut; fix. Then paint", ["Cut", "fix", "Then paint"]),
        ("Cut to 1.2 m, fix", ["Cut to 1.2 m, fix"]),
        ("sand after that prime", ["sand", "after that prime"]),
        ("1) cut 2) fix", ["1) cut", "2) fix"]),
        ("...", []),
    ],
)
def test_clauses(text: str, clauses: list[str]) -> None:
    assert clauses_of(text) == clauses


def test_plans_name_known_steps_and_every_step_stands_in_one() -> None:
    named = {step for plan in PLANS for _, *steps in plan["lines"] for step in steps}
    told = {mark for plan in told_plans() for line in plan.lines for _, marks in line for mark in marks}
    assert named | {mark for mark in told if mark[0] not in "-!?" and "~" not in mark} == known_steps()


def test_every_built_in_step_is_known_by_its_own_title() -> None:
    for step in load([]).steps():
        assert step.name in read_line(step.title, titles=((step.name, step.title),)).steps, step.title


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("nail it up, two at the ends", ("fix",)),
        ("caulk & paint", ("caulk", "top-coat")),
        ("caulk + paint", ("caulk", "top-coat")),
        ("fill/sand/prime", ("fill", "sand", "prime")),
        ("walls scanned, corners measured", ("detect-services", "measure-corners")),
        ("u/c + topcoat", ("undercoat", "top-coat")),
        ("fill the nail holes", ("fill",)),
        ("sand after the filler is dry", ("sand",)),
        ("before nailing, drill", ("lead-holes",)),
        ("don't forget to prime", ("prime",)),
        ("2 coats", ("top-coat",)),
        ("2 coats of knotting", ("seal-knots",)),
        ("Cut lengths off the list", ("cut",)),
        ("CAULK THE TOP", ("caulk",)),
        ("snad the filler", ("sand",)),
    ],
)
def test_steps_told(text: str, steps: tuple[str, ...]) -> None:
    assert read_line(text).steps == steps


@pytest.mark.parametrize(
    ("text", "records"),
    [
        ("Walk both rooms with the owner and take pictures of every bit of old work", True),
        ("Take pictures of all the old trim", True),
        ("Take pictures of the room", False),
        ("Hang the old pictures back up when the work is done", False),
    ],
)
def test_pictures_of_the_old_work_record_it(text: str, records: bool) -> None:
    named = Steps(tuple(load([]).steps())).phrases()
    assert ("record-existing" in read_line(text, named=named).steps) is records


@pytest.mark.parametrize(
    "text",
    ["no caulk", "don't glue it", "never sand old paint", "skip the primer", "Excludes: decoration", "without nails"],
)
def test_a_denial_is_no_step_and_is_not_lost(text: str) -> None:
    reading = read_line(text)
    assert reading.steps == ()
    assert not reading.lost


@pytest.mark.parametrize(
    "text", ["once primed", "before we fix anything", "wait for the filler to dry", "if it is caulked"]
)
def test_a_mention_is_no_step(text: str) -> None:
    assert read_line(text).steps == ()


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("leave it overnight", 16),
        ("24 hrs", 24),
        ("two days to dry", 48),
        ("a week", 168),
        ("a full week", 168),
        ("2-3 days", 72),
        ("half an hour", 0.5),
        ("30 mins then sand", 0.5),
        ("a fortnight", 336),
        ("a couple of days", 48),
        ("6 wks", 1008),
        ("next morning", 16),
        ("two nights", 32),
        ("a few hours", 3),
        ("twa hours", 2),
        ("90 minutes", 1.5),
        ("a month", 720),
        ("twenty hours", 20),
        ("thirty hours", 30),
        ("forty hours", 40),
        ("fifty hours", 50),
        ("sixty hours", 60),
        ("seventy hours", 70),
        ("eighty hours", 80),
        ("ninety hours", 90),
        ("fix at 600 centres", None),
        ("2 coats", None),
    ],
)
def test_waits_told(text: str, hours: float | None) -> None:
    assert sum(each for _, _, each in waits_told(text)) == (hours or 0)


@pytest.mark.parametrize(
    ("text", "day", "weekday"),
    [
        ("Day 3: fill", 3, None),
        ("day 12 - fill", 12, None),
        ("Day 3-4: fill", 3, None),
        ("Week 2: fill", 8, None),
        ("Tues: fill", None, 1),
        ("following Monday - fill", None, 0),
        ("fill", None, None),
    ],
)
def test_days_told(text: str, day: float | None, weekday: int | None) -> None:
    reading = read_line(text)
    assert (reading.day, reading.weekday, reading.steps) == (day, weekday, ("fill",))


def test_a_line_that_means_something_else_is_lost_with_the_nearest_step() -> None:
    reading = read_line("whatsit the flange")
    assert reading.lost
    assert reading.steps == ()
    assert nearest_step("undercotting") == "undercoat"
    assert nearest_step("") == ""


def test_what_the_person_settles_outranks_the_words() -> None:
    assert read_line("paint it", settled=("prime",)).steps == ("prime",)


def test_a_plugins_own_step_is_known_by_its_name() -> None:
    assert read_line("client to see the colour card").steps == ()
    assert read_line("Sample board for the client", named=(("sample-board", "sample-board"),)).steps == (
        "sample-board",
    )


@pytest.mark.parametrize(
    ("word", "root"),
    [
        ("fixes", "fix"),
        ("fixing", "fix"),
        ("fixed", "fix"),
        ("tried", "try"),
        ("glosses", "gloss"),
        ("glossed", "gloss"),
    ],
)
def test_stems(word: str, root: str) -> None:
    assert stem(word) == stem(root)


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("snad", "sand"),
        ("primme", "prime"),
        ("asbestoss", "asbestos"),
        ("copy", "copy"),
        ("sad", "sad"),
        ("xyzzy", "xyzzy"),
    ],
)
def test_slips_of_spelling(word: str, meant: str) -> None:
    assert mended(word, ("sand", "prime", "asbestos", "cope")) == meant


def test_short_forms_are_written_out_whole_words_only() -> None:
    assert written_out("U/C & fill n sand").split() == ["undercoat", "and", "fill", "and", "sand"]
    assert written_out("an uncut n").split()[:2] == ["an", "uncut"]


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("Have the loft looked through for bats", ("ashlar-bat-survey",)),
        ("loft looked through", ()),
        ("bat box up", ("ashlar-bat-survey",)),
        ("dock the lengths", ("cut",)),
        ("don't dock the lengths", ()),
        ("Fix the skirting, then fill the holes", ("cut", "fill")),  # a firm's phrase and no more, whatever we read
        ("Fix the skirting with screws", ("fix",)),
    ],
)
def test_a_step_is_known_by_its_title_and_by_the_phrases_that_plugins_give(text, steps):
    named = (
        ("ashlar-bat-survey", "Have the loft looked through for bats"),
        ("ashlar-bat-survey", "bat box"),
        ("cut", "dock the lengths"),
        ("cut", "fix the skirting"),
    )
    assert read_line(text, named=named).steps == steps

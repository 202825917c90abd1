"""What a stage sets may cure a finding; then that is settled, with the stage's reason, where the rule allows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

import pytest

from listel import Finding, Grounds, Job, Rule, Stage, Where, cures, sets, told
from listel.core.host import engine
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry


@dataclass(frozen=True)
class Nailing:
    LINE: ClassVar[str] = "nailing"
    room: str = told("the room")
    wall: str = told("the wall")
    kind: str = told("the fixing", default="nail", settable=True)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Nailings:
    lines: tuple[Nailing, ...] = (Nailing("Hall", "A"), Nailing("Hall", "B"))


def outcome(*wanted: Any, protects: bool = False, departs: bool = True, others: tuple[Stage, ...] = ()) -> Any:
    """Nails are too weak in walls A and B, which is told before anybody amends and after; then what a firm yields."""
    at = [Where("Hall", wall) for wall in "AB"]
    weak = [Finding("nails/too-weak", "hold", "Nails do not hold.", where, protects=protects) for where in at]
    soft = [Finding("nails/too-soft", "hold", "They bend.", where) for where in at]
    given = Nailings()
    ours = (
        Stage("nails", lambda job, sheet: [*weak, given], gives=(Nailings,)),
        Stage("judges", lambda job, sheet: soft, needs=(Nailings,)),
    )
    declared = [
        Rule(name=f"nails/{name}", weights=("hold",), when="", why="", departs=departs)
        for name in ("too-weak", "too-soft")
    ]
    firm = Stage("acme", lambda job, sheet: [each(given.lines) for each in wanted], amends=(Nailings,))
    plugins = (
        Plugin("nails", "1", "test", stages=ours, outside=False, rules=lambda: tuple(declared)),
        Plugin("acme", "1", "test", stages=(firm, *others), outside=False),
    )
    return engine.examine(Job(title="x"), Registry(plugins))


def screw(lines: Any) -> Any:
    return sets(lines[0], kind="screw")


@pytest.mark.parametrize("rule", ["nails/too-weak", "nails/too-soft"])
def test_what_a_setting_cured_is_settled_at_its_place_whether_told_before_or_after(rule: str) -> None:
    made = outcome(screw, lambda lines: cures(lines[0], rule, "screws hold there"))
    mine = {each.where.wall: each for each in made.findings if each.rule == rule}
    assert (mine["A"].settled.reason, mine["A"].settled.agreed, mine["A"].settled.cured) == (
        "screws hold there",
        "acme",
        True,
    )
    assert not mine["A"].open_hold and mine["B"].open_hold


def test_nothing_is_cured_where_nothing_was_set_or_where_the_setting_does_not_stand() -> None:
    cure = [lambda lines: cures(lines[1], "nails/too-weak", "so I say")]
    other = Stage(
        "beech", lambda job, sheet: [sets(sheet[Nailings].lines[0], kind="pin")], amends=(Nailings,), author="beech"
    )
    for made in (
        outcome(screw, *cure),
        outcome(screw, lambda lines: cures(lines[0], "nails/too-weak", "screws hold"), others=(other,)),
    ):
        assert len([each for each in made.findings if each.rule == "nails/too-weak" and each.open_hold]) == 2


def test_what_protects_people_or_may_not_be_departed_from_is_not_cured_and_that_is_told() -> None:
    cure = [screw, lambda lines: cures(lines[0], "nails/too-weak", "screws hold there")]
    made = outcome(*cure, departs=False)
    (told_so,) = (each for each in made.findings if each.rule == "engine/cure-refused")
    assert (told_so.weight, told_so.where.wall) == (
        "caution",
        "A",
    ) and "acme would settle nails/too-weak" in told_so.says
    guarded = outcome(*cure, protects=True, departs=False)
    for each in (made, guarded):
        assert len([f for f in each.findings if f.rule == "nails/too-weak" and f.open_hold]) == 2


def test_a_cure_of_what_nobody_tells_is_told_and_one_without_a_reason_fails_its_stage() -> None:
    made = outcome(screw, lambda lines: cures(lines[0], "nails/too-weka", "screws hold there"))
    (unused,) = (each for each in made.findings if each.rule == "engine/cure-unused")
    assert "Is nails/too-weak meant?" in unused.says
    failed = outcome(screw, lambda lines: cures(lines[0], "nails/too-weak", " "))
    assert any(each.rule == "engine/stage-failed" and "says why" in each.says for each in failed.findings)

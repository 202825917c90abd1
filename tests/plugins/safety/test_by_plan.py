"""Textured coating that holds asbestos, drilled by a written plan: what lifts, what papers and audit say."""

from __future__ import annotations

import pytest

import listel
from listel.core.survey.messages import SurveyFaults

SURVEY = """
listel: 1
invented: true
job: {title: Rail on a textured wall, surveyed: 2026-02-18}
building: {built: 1972, region: REGION, protection: none, occupied: occupied, children: false}
rooms:
  - name: Hall
    height: 2400
    datum: 1000
    extent: part
    walls:
      - name: A
        length: 3600
        ends: {left: butt, right: butt}
        substrate: {kind: dense-concrete, plaster: 13, condition: sound, finish: textured-coating}
trim:
  - name: rail
    member: picture-rail
    where: [{room: Hall, walls: [A]}]
    section: {height: 45, projection: 20}
    top: 2100
records:
  - {room: Hall, wall: A, step: asbestos-check, outcome: found, by: S, as: asbestos-surveyor, on: 2026-02-20}
PLANNED"""
PLANNED = """\
  - {room: Hall, wall: A, step: asbestos-check, outcome: by-plan, by: T, as: asbestos-trained, on: 2026-02-24,
     reference: plan 4}
"""
PLAN = "Scrape off the textured coating where the rail goes\nFix the rail\n"


def made(region: str = "england", planned: str = PLANNED):
    return listel.examine(listel.read(SURVEY.replace("REGION", region).replace("PLANNED", planned)))


@pytest.mark.parametrize("region", ["england", "wales", "scotland", "northern-ireland", "ireland"])
def test_those_trained_drill_it_by_the_plan_and_the_owner_is_told(region: str) -> None:
    outcome = made(region)
    assert not [hold for hold in outcome.holds if "asbestos" in hold.rule]
    workshop, handover = (listel.render(outcome, reader) for reader in ("workshop", "handover"))
    assert "only those trained, by the plan" in workshop and "vacuum of class H" in workshop
    assert "Asbestos stays in the house, at wall A of the Hall, in textured coating" in handover


def test_no_such_record_is_known_where_the_law_is_not() -> None:
    with pytest.raises(SurveyFaults, match="asbestos-trained is no competence of united states"):
        made("united-states")


def test_a_plan_of_work_may_still_not_scrape_it() -> None:
    audit = listel.audit(made(), PLAN)
    assert [each.method for each in audit.harmful] == ["asbestos-worked"]
    assert "asbestos-method" in [each.step for each in audit.missed]


def test_without_a_plan_it_holds_and_the_way_is_told_where_the_coating_is() -> None:
    held = made(planned="")
    bare = listel.examine(
        listel.read(SURVEY.replace("REGION", "england").replace("PLANNED", "").replace("textured-coating", "emulsion"))
    )
    for outcome, way in ((held, True), (bare, False)):
        hold = next(hold for hold in outcome.holds if hold.rule == "safety/asbestos")
        assert ("by-plan by somebody trained" in hold.record) is way
        assert ("☐</span> by plan" in listel.render(outcome, "workshop")) is way
    assert [hold.rule for hold in held.holds if "asbestos" in hold.rule] == ["safety/asbestos"]
    assert "asbestos-method" not in [each.step for each in listel.audit(held, PLAN).missed]

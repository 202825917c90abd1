"""No paper says of old work that nothing is fixed to it where the schedule fixes something to it."""

from __future__ import annotations

import pytest

import listel
from listel.plugins.conservation import OfficerTable, done_to

SURVEY = """
listel: 1
invented: true
job: {title: Skirting over panelling, surveyed: 2026-02-18}
building: {built: 1850, region: wales, protection: grade ii, occupied: empty, children: false}
rooms:
  - name: Vestry
    height: 2700
    datum: 1000
    extent: part
    walls:
      - name: A
        length: 3600
        ends: {left: butt, right: butt}
        substrate: {kind: timber-panelling, condition: sound, finish: varnish}
        floor: [{at: 0, to-datum: 1000}, {at: 3600, to-datum: 1000}]
        existing: [{member: wainscot, to: 1100, top: 1100, state: sound, intent: keep, original: original}]
trim:
  - name: skirting
    member: skirting
    where: [{room: Vestry, walls: [A], from: FROM}]
    section: {height: 168, projection: 19}
    timber: european-redwood
    finish: paint
choices: {fixing: screw, adhesive: none}
"""


@pytest.mark.parametrize(("start", "drilled"), [("0", True), ("1200", False)])
def test_what_is_left_alone_is_told_as_it_is(start: str, drilled: bool) -> None:
    outcome = listel.examine(listel.read(SURVEY.replace("FROM", start)))
    table = outcome.sheet[OfficerTable]
    holes = done_to("old 1", table.drilled)
    assert holes.endswith(" new holes for the skirting") is drilled
    officer, workshop = (listel.render(outcome, reader) for reader in ("officer", "workshop"))
    assert ("nothing to undo" in officer) is not drilled
    assert (f"stays where it is; it takes {holes}" in officer) is drilled
    assert ("New fixings into historic plaster, panelling or joinery (old 1)" in officer) is drilled
    assert (f"(but for {holes}, at their marks alone)" in workshop) is drilled
    assert ("nothing is fixed to it" in workshop) is not drilled
    assert "Plaster and walls" not in officer

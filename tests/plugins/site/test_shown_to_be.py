"""A board that was feared to be asbestos and is cleared by its sample: what it is then reckoned as, and what it was."""

from __future__ import annotations

import pytest

import listel
from listel.core.survey.messages import SurveyFaults
from listel.plugins.fixings import FixingSchedule

SURVEY = """
listel: 1
invented: true
job: {title: A rail on a board, surveyed: 2026-02-18}
building: {built: 1972, region: england, protection: none, occupied: empty, children: false}
rooms:
  - name: Hall
    height: 2400
    datum: 1000
    extent: part
    walls:
      - name: A
        length: 3600
        ends: {left: butt, right: butt}
        substrate: {kind: KIND, plaster: 12.5, condition: sound, finish: emulsion, studs: {centres: 400, first: 100}}
trim:
  - name: rail
    member: dado-rail
    where: [{room: Hall, walls: [A]}]
    section: {height: 63, projection: 20}
    timber: european-redwood
    top: 900
records:
  - {room: Hall, wall: A, step: asbestos-check, outcome: clear, by: L, as: accredited-analyst, on: 2026-03-02,
     reference: certificate 8RECORD}
"""


def made(kind: str, record: str):
    return listel.examine(listel.read(SURVEY.replace("KIND", kind).replace("RECORD", record)))


def test_a_wall_that_a_sample_clears_is_fixed_to_as_what_the_sample_shows() -> None:
    cleared = made("asbestos-board", ", shows: plasterboard-on-stud")
    known = made("plasterboard-on-stud", "")
    unsaid = made("asbestos-board", "")
    assert cleared.sheet[FixingSchedule] == known.sheet[FixingSchedule]
    assert not any(line.count for line in unsaid.sheet[FixingSchedule].lines)
    told = {finding.rule for finding in cleared.findings} - {finding.rule for finding in known.findings}
    assert told == {"site/shown-to-be"}
    assert cleared.job.room("Hall").wall("A").substrate.read_as == "asbestos-board"
    assert {hold.rule for hold in unsaid.holds} - {hold.rule for hold in known.holds} == {"site/wall-on-hold"}


@pytest.mark.parametrize(
    "record",
    [
        "step: asbestos-check, outcome: found, by: L, as: accredited-analyst, room: Hall, wall: A",
        "step: asbestos-check, outcome: clear, by: L, as: accredited-analyst, room: Hall",
        "step: survey, outcome: done, by: J, as: joiner, room: Hall, wall: A",
        "step: gas-check, outcome: clear, by: G, as: gas-engineer, room: Hall, wall: A",
    ],
)
def test_what_a_wall_is_is_shown_by_the_record_of_its_sample_alone(record: str) -> None:
    head, _, _ = SURVEY.partition("records:")
    text = f"{head}records:\n  - {{{record}, shows: plasterboard-on-stud}}\n".replace("KIND", "asbestos-board")
    with pytest.raises(SurveyFaults, match=r"is shown by a record that is clear.*asbestos-check"):
        listel.examine(listel.read(text))

"""What one part of an outcome orders, no other forbids: the statements on one subject, gathered, say one thing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.findings import Finding, Grounds
from listel.core.contract.stage import Said, Sheet, Steps
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import Registry, load
from listel.core.survey.job import Job
from listel.core.survey.reading import read_survey
from listel.plugins.bonding import Bonding
from listel.plugins.defects import DefectChecks
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
COATED = ("after the primer", "after the last clear coat")
SEALED = ("acrylic-caulk", "hybrid-polymer", "lime-putty")


@dataclass(frozen=True)
class Statement:
    """What one part of the outcome says of a subject; those of one subject must say the same."""

    subject: str
    by: str
    says: str


def statements(outcome: Outcome) -> Iterator[Statement]:
    """Everything that is said of a subject of which more than one part of the outcome speaks."""
    bonding, sequence = outcome.sheet[Bonding], outcome.sheet[Sequence]
    steps = [step.name for step in sequence.steps]
    sealed = any(fill.filler in SEALED for fill in bonding.fills)
    yield Statement("whether joints are caulked", "fills", str(sealed))
    yield Statement("whether joints are caulked", "steps", str("caulk" in steps))
    if not sealed:
        checks = outcome.sheet[DefectChecks]
        looked = any("caulk" in snag.limit for snag in checks.snags if snag.stage in steps)
        yield Statement("whether joints are caulked", "snags", str(looked))
    glued = any(bond.adhesive != "none" for bond in bonding.bonds)
    yield Statement("whether trim is glued to walls", "bonds", str(glued))
    yield Statement("whether trim is glued to walls", "steps", str("adhesive" in steps))
    if not glued:
        yield Statement(
            "whether trim is glued to walls", "words", str(says(outcome, r"(?:dab|spot|bead)s? of adhesive"))
        )
    if not sealed:
        yield Statement(
            "whether joints are caulked", "words", str(says(outcome, r"(?<!acrylic )\bcaulk (?!be\b|lifts\b)"))
        )
    if any(fill.joint in ("screw-holes", "nail-holes") and fill.filler != "linseed-putty" for fill in bonding.fills):
        calls = says(outcome, r"calls for (?:linseed )?putty")
        yield Statement("whether putty stops holes that something else stops", "words", str(calls))
        yield Statement("whether putty stops holes that something else stops", "fills", "False")
    for fill in bonding.fills:
        if fill.joint in ("screw-holes", "nail-holes"):
            yield Statement(f"what stops the holes of the {fill.trim} in {fill.room}", "fills", fill.filler)
    for bow in outcome.sheet[SettingOut].bows:
        place = f"how the {bow.trim} follows wall {bow.wall} of {bow.room}"
        yield Statement(place, "bows", "drawn in" if bow.way == "bend" else "left straight")
        lines = [
            f for f in outcome.sheet[FixingSchedule].lines if (f.room, f.wall, f.trim) == (bow.room, bow.wall, bow.trim)
        ]
        if bow.way == "bend" and any("bowed" in never for line in lines for never in line.avoid):
            yield Statement(place, "fixings", "not drawn in")
    if "caulk" in steps and "prime" in steps:
        yield Statement("when caulk comes", "steps", str(steps.index("prime") < steps.index("caulk")))
        yield Statement(
            "when caulk comes",
            "fills",
            str(all(f.order.startswith(COATED) for f in bonding.fills if f.filler in SEALED[:2])),
        )


def words(of: object) -> Iterator[str]:
    """Every sentence in a finding or a result, but for its grounds and for what was judged and set aside."""
    if isinstance(of, str):
        yield of
    elif isinstance(of, (tuple, list)):
        for each in of:
            yield from words(each)
    elif is_dataclass(of) and not isinstance(of, (type, Grounds, Said, Steps, Site)):
        for each in fields(of):
            if each.name not in ("refused", "why"):
                yield from words(getattr(of, each.name))


def sentences(outcome: Outcome) -> set[str]:
    """All that the outcome says in words."""
    return {text for of in (*outcome.findings, *outcome.sheet) for text in words(of) if " " in text}


def says(outcome: Outcome, pattern: str) -> bool:
    """Whether anything the outcome says has these words."""
    return any(re.search(pattern, text, re.IGNORECASE) for text in sentences(outcome))


def places(outcome: Outcome) -> Iterator[Statement]:
    """What is said of one place: what holds it, what runs there, how high its screws are."""
    for finding in outcome.findings:
        if finding.settled is None:
            at = f"{finding.rule} at {finding.where.told('mm')}"
            if finding.weight in ("hold", "record"):
                yield Statement(f"whether {at} holds the work", finding.says, finding.weight)
        if finding.rule == "setting-out/notch":
            where = finding.where
            mine = [
                r
                for r in outcome.sheet[SettingOut].runs
                if (r.room, r.wall, r.trim) == (where.room, where.wall, where.trim)
            ]
            there = any(run.start - 1 <= (where.station or 0.0) <= run.end + 1 for run in mine)
            yield Statement(f"whether the {where.trim} runs where it is notched on {where.wall}", "runs", str(there))
            yield Statement(f"whether the {where.trim} runs where it is notched on {where.wall}", "notches", "True")
    heights = {trim.name: trim.section.height for trim in outcome.job.trim}
    for line in outcome.sheet[FixingSchedule].lines:
        tall = heights.get(line.trim)
        for point in line.points if tall and line.member == "skirting" and not line.upright and not line.pitch else ():
            if point.height is not None:
                yield Statement(
                    f"whether screws of the {line.trim} lie in its face", "points", str(point.height < tall + 20)
                )
                yield Statement(f"whether screws of the {line.trim} lie in its face", "section", "True")
    old = {
        (piece.room, piece.wall)
        for piece in outcome.sheet[Existing].pieces
        if piece.comes_off or piece.intent == "repair"
    }
    for hazard in outcome.sheet[SafetyNotes].hazards:
        for room in outcome.job.rooms if "old work is taken off" in hazard.because else ():
            for wall in room.walls:
                if f"{room.name} {wall.name}" in hazard.because or f"wall {wall.name} of {room.name}" in hazard.because:
                    place = f"whether old work comes off wall {wall.name} of {room.name}"
                    yield Statement(place, hazard.name, "True")
                    yield Statement(place, "old trim", str((room.name, wall.name) in old))


def doubled(outcome: Outcome) -> list[str]:
    """Sentences with a word said twice over ("the old old dado")."""
    return [text for text in sorted(sentences(outcome)) if re.search(r"\b([a-z]{2,}) \1\b", text, re.IGNORECASE)]


def damp(outcome: Outcome) -> Iterator[Statement]:
    """What is done where a wall is damp."""
    for finding in outcome.findings:
        if finding.rule == "timber/damp-wall" and finding.weight == "hold":
            subject = f"what is done at the damp of wall {finding.where.wall} of {finding.where.room}"
            yield Statement(subject, "finding", "cured")
            if says(outcome, r"held off the wall where the damp"):
                yield Statement(subject, "words", "held off")


def clashes(outcome: Outcome) -> list[str]:
    """The subjects of which two statements say different things."""
    said: dict[str, dict[str, list[str]]] = {}
    for statement in (*statements(outcome), *places(outcome), *damp(outcome)):
        said.setdefault(statement.subject, {}).setdefault(statement.says, []).append(statement.by)
    return [f"{subject}: {ways}" for subject, ways in said.items() if len(ways) > 1]


@cache
def registry() -> Registry:
    return load([])


@cache
def survey(name: str) -> Job:
    return read_survey(EXAMPLES / f"{name}.yaml")


@cache
def examined(name: str) -> Outcome:
    """The outcome of a demo, reckoned once."""
    return examine(survey(name), registry())


@settings(max_examples=6)
@given(
    name=st.sampled_from(("stair-hall", "us-house", "plain-room")),
    sealant=st.sampled_from((None, "none", "acrylic-caulk")),
    adhesive=st.sampled_from((None, "none")),
    filler=st.sampled_from((None, "two-part", "linseed-putty")),
)
def test_no_part_forbids_what_another_orders(
    name: str, sealant: str | None, adhesive: str | None, filler: str | None
) -> None:
    job = survey(name)
    choices = replace(job.choices, sealant=sealant, adhesive=adhesive, filler=filler)
    outcome = examine(replace(job, choices=choices), registry())
    assert clashes(outcome) == []


@pytest.mark.parametrize("name", ["stair-hall", "us-house", "plain-room"])
def test_no_word_is_said_twice_over(name: str) -> None:
    assert doubled(examined(name)) == []


CLASHES = {
    "stops the holes": lambda outcome: {
        Bonding: replace(
            outcome.sheet[Bonding],
            fills=(
                *outcome.sheet[Bonding].fills,
                replace(
                    next(fill for fill in outcome.sheet[Bonding].fills if fill.joint == "screw-holes"),
                    filler="linseed-putty",
                ),
            ),
        )
    },
    "follows wall G": lambda outcome: {
        FixingSchedule: replace(
            outcome.sheet[FixingSchedule],
            lines=tuple(
                replace(line, avoid=("pulling a bowed board in",)) for line in outcome.sheet[FixingSchedule].lines
            ),
        )
    },
    "lie in its face": lambda outcome: {
        FixingSchedule: replace(
            outcome.sheet[FixingSchedule],
            lines=tuple(
                replace(line, points=tuple(replace(point, height=400.0) for point in line.points))
                for line in outcome.sheet[FixingSchedule].lines
            ),
        )
    },
    "runs where it is notched": lambda outcome: {
        SettingOut: replace(
            outcome.sheet[SettingOut], runs=tuple(r for r in outcome.sheet[SettingOut].runs if r.wall != "A")
        )
    },
}
"""What is made of the demo's results, by the clash that it makes."""

ORDERED = {
    "glued to walls": ("fixings/studs-too-far-apart", "Hold the gap with a spot of adhesive."),
    "caulked": ("fixings/two-rows", "Caulk only along the top."),
    "putty": ("bonding/wall-edge", "Old timber calls for putty."),
    "damp of wall A": ("timber/damp-wall", "It is held off the wall where the damp cannot be cured."),
}
"""What some part would order, by the clash that it makes."""


@pytest.mark.parametrize("subject", [*CLASHES, *ORDERED, "holds the work"])
def test_a_clash_is_seen(subject: str) -> None:
    outcome = examined("stair-hall")
    if subject in CLASHES:
        outcome = replace(outcome, sheet=Sheet({**outcome.sheet._results, **CLASHES[subject](outcome)}))
    elif subject in ORDERED:
        rule, mend = ORDERED[subject]
        outcome = replace(outcome, findings=(*outcome.findings, Finding(rule, "advice", "So it is.", mend=mend)))
    else:
        hold = next(finding for finding in outcome.findings if finding.open_hold and finding.where.wall)
        outcome = replace(outcome, findings=(*outcome.findings, replace(hold, weight="record")))
    assert any(subject in clash for clash in clashes(outcome))


def test_a_word_said_twice_is_seen() -> None:
    outcome = examined("plain-room")
    twice = Finding("safety/asbestos", "record", "The old old dado is taken down.")
    assert doubled(replace(outcome, findings=(twice,))) == [twice.says]

"""What one part of an outcome orders, no other forbids: the statements on one subject, gathered, say one thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listel.core.host.engine import Outcome, examine
from listel.core.host.registry import Registry, load
from listel.core.survey.job import Job
from listel.core.survey.reading import read_survey
from listel.plugins.bonding import Bonding
from listel.plugins.defects import DefectChecks
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
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
        told = any("dab of adhesive" in finding.mend for finding in outcome.findings)
        yield Statement("whether trim is glued to walls", "findings", str(told))
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
            str(all("after the primer" in f.order for f in bonding.fills if f.filler in SEALED[:2])),
        )


def clashes(outcome: Outcome) -> list[str]:
    """The subjects of which two statements say different things."""
    said: dict[str, dict[str, list[str]]] = {}
    for statement in statements(outcome):
        said.setdefault(statement.subject, {}).setdefault(statement.says, []).append(statement.by)
    return [f"{subject}: {ways}" for subject, ways in said.items() if len(ways) > 1]


@cache
def registry() -> Registry:
    return load([])


@cache
def survey(name: str) -> Job:
    return read_survey(EXAMPLES / f"{name}.yaml")


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
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
    assert clashes(examine(replace(job, choices=choices), registry())) == []


def test_a_clash_is_seen() -> None:
    outcome = examine(survey("stair-hall"), registry())
    bonding = outcome.sheet[Bonding]
    first = next(fill for fill in bonding.fills if fill.joint == "screw-holes")
    other = replace(first, filler="linseed-putty")
    outcome.sheet._results[Bonding] = replace(bonding, fills=(*bonding.fills, other))
    assert any("stops the holes" in clash for clash in clashes(outcome))

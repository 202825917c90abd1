"""The stage ``safety``: hazards with their controls, services, consents, and the findings that go with them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from listel.core.contract.findings import Finding
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.safety import block, doses, duty, fabric, hazards, painted, work
from listel.plugins.safety.american import american, placed
from listel.plugins.safety.consent import consent_findings, consents
from listel.plugins.safety.hazards import DEFER
from listel.plugins.safety.results import ExposureLine, Hazard, SafetyNotes, Sign
from listel.plugins.safety.services import faces, prove_first, service_hazards, wall_services
from listel.plugins.safety.telling import service_findings

LIFTED = {rule.name for rule in load_rules(__package__) if rule.lifted_by}
"""Rules whose findings the engine ends with the same words, where no record lifts them."""

HAZARDS: tuple[Callable[[Job, Sheet], Iterable[object]], ...] = (
    fabric.asbestos,
    fabric.lead,
    painted.renovation_rule,
    fabric.arsenic,
    fabric.wildlife,
    fabric.damp,
    fabric.dry_rot,
    fabric.loose_plaster,
    fabric.structure,
    hazards.silica,
    hazards.wood_dust,
    doses.doses,
    hazards.saw,
    hazards.nailing,
    hazards.laser,
    hazards.of_firms,
    work.substances,
    work.hot_work,
    work.height,
    work.over_stairs,
    work.handling,
    work.people,
    work.paint_climate,
    duty.alone,
    duty.waste,
    duty.planning_duty,
    block.register,
    block.party_wall_act,
    block.fire_doors,
    duty.state_programmes,
)
"""Each yields hazards, doses and findings for what this job really has."""


def signs_of(found: Iterable[Hazard]) -> tuple[Sign, ...]:
    """The signs of all hazards, each number once, with everything it is up for."""
    why: dict[tuple[str, str], list[str]] = {}
    for item in found:
        for sign in item.signs:
            reasons = why.setdefault((sign.code, sign.title), [])
            if sign.why not in reasons:
                reasons.append(sign.why)
    return tuple(Sign(code, title, "; ".join(reasons)) for (code, title), reasons in sorted(why.items()))


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Everything the job's safety rests on: findings, then one :class:`SafetyNotes`."""
    found = faces(job, sheet)
    yielded = [*service_hazards(job, found), *(item for rule in HAZARDS for item in rule(job, sheet))]
    if job.building.region == "united-states":
        yielded = [american(item) if isinstance(item, Hazard) else item for item in yielded]
    else:
        region = job.building.region or ""
        yielded = [placed(item, region) if isinstance(item, Hazard) else item for item in yielded]
    said = [item for item in yielded if isinstance(item, Finding)]
    for finding in (*said, *service_findings(job, sheet, found), *consent_findings(job, sheet)):
        defers = finding.weight == "hold" and finding.rule not in LIFTED
        yield replace(finding, says=f"{finding.says} {DEFER}") if defers else finding
    listed = tuple(item for item in yielded if isinstance(item, Hazard))
    yield SafetyNotes(
        hazards=listed,
        zones=tuple(zone for face in found for zone in face.zones),
        crossings=tuple(crossing for face in found for crossing in face.crossings),
        consents=tuple(consents(job, sheet)),
        walls=tuple(wall_services(job, face) for face in found),
        exposures=tuple(item for item in yielded if isinstance(item, ExposureLine)),
        signs=signs_of(listed),
        prove=prove_first(listed),
        emergency=duty.emergency(job),
        left=fabric.left_in_place(sheet),
        client=duty.client_duties(job, sheet),
        several=duty.several_firms(job),
    )

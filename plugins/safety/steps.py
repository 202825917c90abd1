"""The steps of work that safety adds to the sequence, each with the reason this job needs it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from listel.core.contract.findings import Finding
from listel.core.contract.lift import Lift
from listel.core.contract.records import records_on
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet, Step
from listel.core.survey.job import Job
from listel.plugins.existing import Existing, at_work
from listel.plugins.safety.consent import law_of
from listel.plugins.safety.fabric import (
    age,
    arsenic,
    built_words,
    disturbed,
    heat,
    left_in_place,
    regime,
    voids_opened,
)
from listel.plugins.safety.hazards import named
from listel.plugins.safety.services import gassy, near
from listel.plugins.safety.work import worked_over_stairs
from listel.plugins.safety.zones import policy
from listel.plugins.site import protection_of

WEEK = 168.0


def needs_consent(job: Job, sheet: Sheet) -> str:
    """Why consent comes first."""
    protection = protection_of(job.building)
    if not job.works:
        return ""
    if protection.asked:
        return f"The building is {protection.says}."
    if protection.kind in (None, "unknown"):
        return "Whether the building is protected is not known."
    return "It stands in the grounds of a protected building." if job.building.curtilage else ""


def consent_wait(job: Job, sheet: Sheet) -> tuple[float, str]:
    """How long a decision usually takes, hours; none once it is in hand, nor where it is only asked whether one is
    needed. Source: the table ``consents``."""
    if records_on(sheet).of("consent") or not protection_of(job.building).asked:
        return 0.0, ""
    return float(
        law_of(job)["weeks"]
    ) * WEEK, "the authority's decision, from the day it takes the application as complete"


def needs_detection(job: Job, sheet: Sheet) -> str:
    """Why the walls are searched."""
    return "Trim is fixed to walls that may hold cables and pipes." if at_work(job) else ""


def needs_power_back(job: Job, sheet: Sheet) -> str:
    """Why the circuits are tested afterwards."""
    if not needs_detection(job, sheet):
        return ""
    return "What was isolated for the work goes back on, and a fixing may have gone into a cable that nobody found."


def needs_lead_check(job: Job, sheet: Sheet) -> str:
    """Why paint is tested or treated as lead."""
    return f"{built_words(job)}, so old paint may hold lead." if at_work(job) and age(job, "lead") != "unlikely" else ""


def needs_asbestos_check(job: Job, sheet: Sheet) -> str:
    """Why the fabric is surveyed or sampled for asbestos."""
    if not at_work(job) or age(job, "asbestos") == "unlikely":
        return ""
    return f"{built_words(job)}; buildings before {regime(job, 'asbestos')['presume']} may hold asbestos."


def needs_protection(job: Job, sheet: Sheet) -> str:
    """Why finishes are covered."""
    return "Floors, plaster and what is kept are covered before tools come in." if at_work(job) else ""


def _laboratory(step: str, hours: float) -> Callable[[Job, Sheet], tuple[float, str]]:
    def wait(job: Job, sheet: Sheet) -> tuple[float, str]:
        return (0.0, "") if records_on(sheet).of(step) else (hours, "the laboratory's answer")

    return wait


def _when_found(step: str, then: str) -> Callable[[Job, Sheet], str]:
    """Applies where a record says that something was found or taken out, and none that it is settled since."""

    def applies(job: Job, sheet: Sheet) -> str:
        record = records_on(sheet).found(step)
        told = record is not None and record.outcome in ("found", "removed")
        return f"{then} It was recorded as {record.outcome} by {record.by}." if record is not None and told else ""

    return applies


def needs_plan(job: Job, sheet: Sheet) -> str:
    """Why textured coating that holds asbestos is drilled by those trained."""
    planned = [f"{line.where} ({line.by})" for line in left_in_place(sheet) if line.plan]
    return f"Asbestos stays in the textured coating of {' and '.join(planned)}." if planned else ""


def needs_settling(job: Job, sheet: Sheet) -> str:
    """Why loose paint comes off first."""
    loose = (sheet.get(Existing) or Existing()).loose_paint()
    if not loose or not at_work(job):
        return ""
    named = ", ".join(f"{piece.label} ({piece.paint})" for piece in loose)
    return f"Old paint is loose on {named}: what is knocked or painted over comes off as dust."


def needs_cleaning(job: Job, sheet: Sheet) -> str:
    """Why lead dust does not lie till the end."""
    doing = disturbed(job, sheet) if at_work(job) and age(job, "lead") != "unlikely" else []
    return f"Lead dust is not left to lie or to be carried out: {'; '.join(doing)}." if doing else ""


def needs_permit(job: Job, sheet: Sheet) -> str:
    """Why heat is permitted first, and watched after."""
    planned = heat(job)
    return f"{planned[0].capitalize()} is planned: it is hot work." if planned else ""


def needs_gas_check(job: Job, sheet: Sheet) -> str:
    """Why a gas pipe is proved dead."""
    walls = {wall.name for _, wall in job.walls_at_work if any(gassy(item) for item in near(job, wall))}
    return f"Gas pipe or brackets on wall {', '.join(sorted(walls))} may still be live." if walls else ""


def needs_arsenic_check(job: Job, sheet: Sheet) -> str:
    """Why old papers are tested."""
    at = [str(item.where) for item in arsenic(job, sheet) if isinstance(item, Finding)]
    return f"There is old paper that may hold arsenic: {'; '.join(at)}." if at else ""


def needs_bat_look(job: Job, sheet: Sheet) -> str:
    """Why voids are looked into."""
    opened = voids_opened(job, sheet)
    return f"Voids that bats or birds may reach are opened: {named(opened)}." if opened else ""


def needs_platform(job: Job, sheet: Sheet) -> str:
    """Why a platform stands over the stairs."""
    over = [f"{flight.called} of the {room.name}" for room, flight, _ in worked_over_stairs(job, low=False)]
    return f"Trim is worked on over {' and '.join(over)}." if over else ""


def _recorded_too(step: str, needs: Callable[[Job, Sheet], str]) -> Callable[[Job, Sheet], str]:
    """Applies where it is needed, and where a record alone tells that something was found, or refused."""

    def applies(job: Job, sheet: Sheet) -> str:
        record = records_on(sheet).found(step)
        return needs(job, sheet) or (f"{record.by} recorded it as {record.outcome}." if record else "")

    return applies


def _done_by(who: str, step: str, *, whole_job: bool = False) -> Lift:
    """The record by which a step counts as done: by the word of that competence, with its paper, of that day."""
    outcomes = {"done": (who,)}
    return Lift(step=step, outcomes=outcomes, reference=True, date=True, during_work=True, whole_job=whole_job)


def _became() -> Lift:
    """The record that tells what became of asbestos: that of its check."""
    lift = load_rules(__package__)["asbestos"].lifted_by
    assert lift is not None, "its rule says what lifts it"
    return replace(lift, outcomes={outcome: kept.who for outcome, kept in lift.keeps.items()})


def steps() -> list[Step]:
    """Consent, the checks, the search for services, covering up, and what follows where something was found."""
    holes = ("take-down", "make-good", "lead-holes", "fix")
    return [
        Step(
            "settle-paint",
            "Loose old paint misted, lifted by hand into a bag, its edges bound; sound paint left",
            needs_settling,
            ("survey", "consent", "lead-check", "protect-finishes"),
            hours=lambda job, sheet: 0.5 * len((sheet.get(Existing) or Existing()).loose_paint()),
            who="decorator",
            before=("take-down", "make-good", "strip-paint", "sand"),
        ),
        Step(
            "clean-lead",
            "Lead dust cleaned up at the end of each shift, the room checked by eye before others come in",
            needs_cleaning,
            ("take-down", "strip-paint", "settle-paint", "fire-watch"),
            hours=lambda job, sheet: 0.5,
            before=("make-good", "acclimatise", "sand"),
            each_shift=("take-down", "strip-paint", "settle-paint", "bench-repair"),
        ),
        Step(
            "hot-work-permit",
            "Hot work permitted in writing for that place and shift, detection isolated, extinguisher and helper there",
            needs_permit,
            ("survey", "consent", "protect-finishes"),
            hours=lambda job, sheet: 0.5,
            before=("strip-paint",),
            told_by=_done_by("fire-warden", "hot-work-permit"),
        ),
        Step(
            "fire-watch",
            "Fire watch kept after the last heat, detection put back and tried, the place looked at again",
            needs_permit,
            ("hot-work-permit", "strip-paint"),
            hours=lambda job, sheet: policy("fire-watch"),
            before=("make-good", "sand"),
            told_by=_done_by("fire-warden", "fire-watch"),
        ),
        Step(
            "gas-check",
            "Old gas pipe proved dead, or capped and tested",
            _recorded_too("gas-check", needs_gas_check),
            ("survey",),
            hours=lambda job, sheet: 1.0,
            who="specialist",
            before=holes,
        ),
        Step(
            "deal-with-asbestos",
            "Asbestos sealed, or taken out by those who may, and the place cleared by an analyst",
            _when_found("asbestos-check", "There is asbestos where the work is."),
            ("asbestos-check",),
            hours=lambda job, sheet: 8.0,
            who="specialist",
            before=holes,
            told_by=_became(),
        ),
        Step(
            "asbestos-method",
            "Room closed and sheeted, the written plan for its coating kept to, the place looked over after",
            needs_plan,
            ("asbestos-check", "protect-finishes", "detect-services"),
            hours=lambda job, sheet: 2.0,
            who="specialist",
            before=holes,
        ),
        Step(
            "lead-method",
            "Room closed, old paint worked wet and extracted, cleaned and checked after",
            _when_found("lead-check", "There is lead in the paint."),
            ("lead-check", "protect-finishes"),
            hours=lambda job, sheet: 2.0,
            before=("take-down", "make-good", "sand"),
        ),
        Step(
            "stair-platform",
            "Platform put up over the stairs, level, tied and railed, and looked over by somebody competent",
            needs_platform,
            ("survey", "protect-finishes"),
            hours=lambda job, sheet: 2.0,
            who="specialist",
            before=("strip-paint", *holes),
        ),
        Step(
            "restore-power",
            "Circuits restored and tested: every socket, each trip by its button, insulation where a cable is doubted",
            needs_power_back,
            ("detect-services", "refix", "fix", "punch"),
            hours=lambda job, sheet: 1.0,
            who="electrician",
            before=("clean", "snag"),
            told_by=_done_by("electrician", "restore-power", whole_job=True),
        ),
        Step(
            "consent",
            "Consent in hand",
            _recorded_too("consent", needs_consent),
            ("survey",),
            hours=lambda job, sheet: 1.0,
            wait=consent_wait,
            who="conservation-officer",
        ),
        Step(
            "lead-check",
            "Paint tested for lead, or treated as lead",
            _recorded_too("lead-check", needs_lead_check),
            ("survey",),
            hours=lambda job, sheet: 1.0,
            wait=_laboratory("lead-check", 5 * 24.0),
            who="specialist",
        ),
        Step(
            "asbestos-check",
            "Fabric to be disturbed surveyed or sampled for asbestos",
            _recorded_too("asbestos-check", needs_asbestos_check),
            ("survey",),
            hours=lambda job, sheet: 2.0,
            wait=_laboratory("asbestos-check", 3 * 24.0),
            who="specialist",
        ),
        Step(
            "arsenic-check",
            "Old papers tested for arsenic, layer by layer",
            _recorded_too("arsenic-check", needs_arsenic_check),
            ("survey",),
            hours=lambda job, sheet: 1.0,
            wait=_laboratory("arsenic-check", 5 * 24.0),
            who="specialist",
            before=("record-finds", *holes),
        ),
        Step(
            "bat-look",
            "Voids that are to be opened looked into for bats and nests: droppings, staining, a small hole and a lamp",
            needs_bat_look,
            ("survey",),
            hours=lambda job, sheet: 0.25 * len(voids_opened(job, sheet)),
            before=holes,
        ),
        Step(
            "protect-finishes",
            "Floors, plaster and fittings covered",
            needs_protection,
            ("survey", "consent"),
            hours=lambda job, sheet: 1.0 * max(1, len({room.name for room, _ in job.walls_at_work})),
        ),
        Step(
            "detect-services",
            "Cables and pipes searched for, isolated and proved dead",
            needs_detection,
            ("survey",),
            hours=lambda job, sheet: 0.25 * max(1, len(job.walls_at_work)),
            who="electrician",
        ),
    ]

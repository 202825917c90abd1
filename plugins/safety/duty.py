"""Who answers for what by the law of the place: the client's duties, what a state or city asks of its own, who may work
alone, where waste goes, whom to call.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import UK, Job
from listel.plugins.existing import at_work
from listel.plugins.safety.block import doors_worked_at, may_be_fire_door, party_walls, register_asked
from listel.plugins.safety.fabric import age, disturbed, heat
from listel.plugins.safety.hazards import hazard
from listel.plugins.safety.results import Emergency
from listel.plugins.safety.work import carried
from listel.plugins.site import protection_of, tables

RULES = load_rules(__package__)

PLAN = (
    "A construction phase plan is written before the site is set up, for this job as for every one, in private houses "
    "too. "
)
REGISTER = (
    "Please give us the asbestos register of the building, or of the parts that its flats share, before we start."
)
NEIGHBOUR = (
    "A neighbour shares {walls}. Holes for screws want no notice to him, as we read of the Party Wall Act. Please tell "
    "him the days all the same."
)
PERSON_DAYS, DAYS, CROWD = 500, 30, 20
"""More person-days, or more working days with more at once, and a project in Great Britain is notified. Source:
Construction (Design and Management) Regulations 2015, reg. 6 (seen second-hand)."""

FEDERAL = {
    "lead": ("lead", "the federal rule is 40 CFR 745 subpart E, which the EPA enforces"),
    "asbestos": ("asbestos", "the federal rules are 29 CFR 1926.1101 and 40 CFR 61 subpart M"),
    "review": ("the review of historic buildings", "no federal rule binds a private owner by itself"),
}
"""What a state or city may have rules of its own about, with the federal rule."""


def planning_duty(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Who holds the client's duties, and from what size the authority is told. Source: the table ``duties``."""
    region, building = job.building.region, job.building
    row = _duty(job)
    if row is None or not at_work(job):
        return
    crew, several = job.work.crew, _several(job)
    inputs = [
        Input("client", building.client_kind or "not surveyed", "", job.line(building, "client-kind")),
        Input("contractors", job.work.contractors or "not surveyed", "", job.line(job.work, "contractors")),
    ]
    told = f"By size {row['notify']}."
    if crew is not None:
        inputs.append(Input("crew", crew, "", job.line(job.work, "crew")))
        if region in UK:
            both = f" or over {DAYS} days" if crew > CROWD else ""
            days = floor(PERSON_DAYS / crew)
            told = f"{crew} on site: it is notified only over {days} working days ({PERSON_DAYS} person-days){both}."
    says = f"{PLAN if region in UK else ''}{row['says']} {told}"
    grounds = Grounds(
        tuple(inputs), "the row of the table for region, client and contractors", row.name, sources=row.sources
    )
    yield RULES["construction-phase-plan"].told("advice", says, grounds=grounds)
    if building.client_kind is None and region in UK:
        yield RULES["client-not-surveyed"].lacking(
            "what the client is (in his own home, landlord, trust, firm, public)",
            "who holds the duties of a client",
            Where(line=job.line(building)),
            "building, client-kind.",
        )
    if several is None:
        yield RULES["contractors-not-surveyed"].lacking(
            "how many firms work on the site",
            "whether a principal contractor is to be named",
            mend="work, contractors.",
        )


def several_firms(job: Job) -> bool:
    """Whether the law wants one of several firms in control, and a safety file kept."""
    return _duty(job) is not None and bool(_several(job)) and at_work(job)


def client_duties(job: Job, sheet: Sheet) -> tuple[str, ...]:
    """What is asked of the client, said to him. Source: the table ``duties``."""
    row = _duty(job)
    if row is None or not at_work(job):
        return ()
    doors = [
        f"Please ask whoever answers for fire safety in the building about the {side.named(job)}: "
        f"{'it is' if side.opening.fire_door else 'it may be'} a fire door, and its trim is part of it."
        for side in doors_worked_at(job, sheet)
        if side.opening.fire_door or may_be_fire_door(job, side)
    ]
    register = [REGISTER] if register_asked(job) else []
    party = [NEIGHBOUR.format(walls=walls)] if (walls := party_walls(job)) else []
    return (row["client"], *register, *party, *doors)


def _several(job: Job) -> bool | None:
    return None if job.work.contractors is None else job.work.contractors > 1


def _duty(job: Job) -> Row | None:
    """The first row that fits region, client and count of contractors."""
    several = _several(job)
    for row in load_table(__package__, "duties"):
        fits_client = row.get("clients") is None or job.building.client_kind in row["clients"]
        fits_count = row.get("several") is None or row["several"] is several
        if job.building.region in row["regions"] and fits_client and fits_count:
            return row
    return None


def state_programmes(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """What the state or city asks beyond the federal rule; what is not known is to be asked."""
    building = job.building
    if building.region != "united-states" or not at_work(job):
        return
    where = Where(line=job.line(building, "state") or job.line(building))
    state = tables.states().row(building.state)["says"] if building.state else ""
    if not state:
        yield RULES["state-not-surveyed"].lacking(
            "the state", "whose own rules for lead, asbestos and historic review hold", where, "building, state."
        )
    for matter in _matters(job):
        rows = [row for row in load_table(__package__, "programmes") if _holds(row, job) and row["matter"] == matter]
        for row in rows:
            of = building.city if row.get("city") else state
            says = f"{of}: {row['asks']}. Ask {row['authority']} ({row['how']}, {row['checked']})."
            grounds = Grounds((Input("state", state, "", where.line),), sources=row.sources)
            yield RULES["state-programme"].told("caution", says, where, grounds)
        if not rows and matter in FEDERAL:
            what, federal = FEDERAL[matter]
            says = (
                f"On {what} {federal}; {state or 'the state'} or {building.city or 'the city'} may ask more, which is "
                "not known here. Ask the authority for that matter, and write down the answer, who gave it and the day."
            )
            yield RULES["ask-the-state"].told(
                "caution", says, where, mend="Ask, and keep the answer with this statement."
            )


def _holds(row: Row, job: Job) -> bool:
    building = job.building
    city = row.get("city", "").lower()
    return building.state in row["state"] and (not city or city == (building.city or "").lower())


def _matters(job: Job) -> list[str]:
    """What this job touches that a state or city may have rules about."""
    lead, asbestos = age(job, "lead") != "unlikely", age(job, "asbestos") != "unlikely"
    review = protection_of(job.building).asked
    return [
        *(["lead", "worker"] if lead else []),
        *(["asbestos"] if asbestos else []),
        *(["review"] if review else []),
    ]


def alone(job: Job, sheet: Sheet) -> Iterator[object]:
    """One person on site: what is never done alone. Source: INDG73 (seen); the list is our own setting."""
    if job.work.crew != 1 or not at_work(job):
        return
    never = ["tracing of live cables"]
    never += [hot[0]] if (hot := heat(job)) else []
    never += ["a ladder"] if job.work.access == "ladder" else []
    never += ["lengths that two carry"] if carried(job, sheet) else []
    because = "One person is on site."
    also = (f"never alone: {', '.join(never)} (our allowance)",)
    yield hazard("alone", because, Grounds((Input("crew", 1, "", job.line(job.work, "crew")),)), also=also)


def waste(job: Job, sheet: Sheet) -> Iterator[object]:
    """Where old paint is disturbed, or asbestos may be: where the waste goes."""
    doing = disturbed(job, sheet) if age(job, "lead") != "unlikely" else []
    if doing:
        yield hazard("waste", f"Old paint is disturbed: {'; '.join(doing)}.")


def emergency(job: Job) -> tuple[Emergency, ...]:
    """Whom to call, and what the firm fills in before work begins. Source: the table ``emergencies``."""
    region, rows = job.building.region, load_table(__package__, "emergencies")
    row = next((row for row in rows if region in row["regions"]), None)
    if row is None or not at_work(job):
        return ()
    grounds = Grounds(result=f"{row['how']}, {row['checked']}", sources=row.sources)
    calls = {
        "Fire, or somebody badly hurt": row["life"],
        "A smell of gas: out, do not switch anything, call from outside": row.get("gas") or "",
        "A cable struck, or the supply down": row.get("power") or "",
    }
    fill_in = (
        "Where the gas is shut off", "Where the electricity is shut off", "Where the water is shut off",
        "The nearest hospital with an emergency department", "First aid: who, and where the box is", "The way out",
        "Toilet, warm water to wash, a clean place to eat",
    )  # fmt: skip
    told = (Emergency(what=what, call=call or "", grounds=grounds) for what, call in calls.items())
    return (*told, *(Emergency(what=what) for what in fill_in))

"""What a building that others share or manage asks first: its asbestos register, the neighbour behind a party wall,
and the doors that keep a fire out of a flat.
"""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Where
from listel.core.contract.records import records_on
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import UK, Job
from listel.plugins.existing import Existing, at_work
from listel.plugins.safety.fabric import age
from listel.plugins.safety.hazards import named
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Side, opening_name, openings_once

RULES = load_rules(__package__)


def register_asked(job: Job) -> bool:
    """Whether whoever manages the building may have to keep an asbestos register, for its common parts at the least."""
    building = job.building
    homes = building.use in (None, "dwelling") and building.client_kind in (None, "domestic")
    return building.region in UK and age(job, "asbestos") != "unlikely" and not homes


def register(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """The asbestos register, until what is touched is surveyed."""
    looked_at = any(record.step == "asbestos-check" for record in records_on(sheet).counting)
    if at_work(job) and register_asked(job) and not looked_at:
        says = (
            "Whoever manages the common parts of flats, or a building that is no private home, keeps a register of its "
            "asbestos: it is read before the survey. It does not stand in for one: what it does not name was not "
            "looked at."
        )
        mend = "Ask the landlord, or who manages the building, for it."
        yield RULES["asbestos-register"].told("caution", says, Where(line=job.line(job.building)), mend=mend)


def party_walls(job: Job) -> str:
    """The walls at work that a neighbour shares, where the Act speaks of them."""
    shared = [(room, wall) for room, wall in job.walls_at_work if wall.party]
    return named(shared) if job.building.region in ("england", "wales") else ""


def party_wall_act(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Whether the neighbour is to be served notice."""
    if walls := party_walls(job):
        says = (
            f"A neighbour shares {walls}. As the government's booklet is quoted, plugs and screws for fittings want no "
            "notice under the Act; cutting into the wall, or a chase in it, does."
        )
        yield RULES["party-wall-act"].told("advice", says, mend="Tell the neighbour the days and hours all the same.")


def fire_doors(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """The fire doors that trim goes on or comes off, and in a flat the doors that may be such."""
    for side in doors_worked_at(job, sheet):
        door, where = side.named(job), Where(side.room.name, side.wall.name, line=job.line(side.opening))
        if side.opening.fire_door:
            says = (
                f"The {door} is a fire door: its lining, its architrave and what fills the gap behind them are part of "
                "it. Nothing is cut, packed or fixed there but as its test evidence has it, and the gap is never left "
                "open."
            )
            mend = "Ask whoever answers for the building's fire safety before its trim is touched."
            yield RULES["fire-door"].told("caution", says, where, mend=mend)
        elif may_be_fire_door(job, side):
            yield RULES["fire-door-not-surveyed"].lacking(
                f"whether the {door} is a fire door, as the entrance door of a flat in a block is",
                "what may be cut, packed and fixed round it",
                where,
                "Ask whoever answers for the building's fire safety.",
                "openings, fire-door",
            )


def may_be_fire_door(job: Job, side: Side) -> bool:
    """Whether a door of a flat leads to no room of the survey, and nobody has said that it is none."""
    leads_out = side.opening.leads_to not in {room.name for room in job.rooms}
    return job.building.use == "flat" and side.opening.fire_door is None and leads_out


def doors_worked_at(job: Job, sheet: Sheet) -> Iterator[Side]:
    """The doors that new trim goes to, or old trim comes off."""
    laid, existing = (sheet.get(SettingOut) or SettingOut()).laid, sheet.get(Existing) or Existing()
    for side in openings_once(job):
        room, wall, name = side.room.name, side.wall.name, opening_name(job, side.opening)
        new = any(run.opening == name for run in laid.of(room=room, wall=wall))
        mine = [piece for piece in existing.pieces_on(room, wall) if piece.opening == name]
        old = any(piece.comes_off or existing.mends_of(piece.label) for piece in mine)
        if side.opening.kind == "door" and (new or old):
            yield side

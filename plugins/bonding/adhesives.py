"""Which adhesive, if any, holds a trim to a wall, and whether the wet bead holds it alone."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians

from listel.core.contract.findings import Grounds, Input, Source
from listel.core.contract.tables import Row, Table, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.core.survey.units import show_fine
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import bead_volume, pressed_width, pressure, with_waste
from listel.plugins.bonding.results import Bond
from listel.plugins.bonding.walls import Face
from listel.plugins.setting_out import BowCheck
from listel.plugins.site import protection_of, tables

REFUSED = "bonding/adhesive-refused"
"""The finding that an adhesive chosen does not serve; a departure from it puts the choice first."""


@dataclass(frozen=True)
class Curve:
    """The bow of the wall behind a trim, if there is one."""

    bow: BowCheck | None = None

    @property
    def gap(self) -> float:
        """The gap left behind a piece that stays straight, mm; 0 where it is drawn in or made to the curve."""
        return self.bow.gap if self.bow and self.bow.way in ("scribe", "pack") else 0.0

    @property
    def pull(self) -> float:
        """The spring of a piece drawn in, N at the hardest-worked fixing."""
        return self.bow.pull(self.bow.spacing) if self.bow else 0.0


def adhesives() -> Table:
    """The table of adhesives."""
    return load_table(__package__, "adhesives")


def refusals(job: Job, face: Face, family: Row, curve: Curve) -> tuple[str, ...]:
    """Every reason why a family may not be used there."""
    return tuple(
        reason for reason in (*_wall_reasons(face, family), *_work_reasons(job, face, family, curve)) if reason
    )


def _wall_reasons(face: Face, family: Row) -> tuple[str, ...]:
    on, loose, makeup = tables.finishes_on(face.wall), tables.loose_finish(face.wall), tables.makeup(face.wall)
    lime = "lime plaster is weaker than the glue and comes away with it" if face.offers == "lime" else ""
    sealed = bool(on and on[0].get("sealed"))
    moisture = face.wall.moisture
    return (
        (lime or str(makeup.get("lets_go", f"it does not hold to {face.offers}") if makeup else ""))
        if face.offers and face.offers not in family["bonds"]
        else "",
        str(loose["lets_go"]) if loose else "",
        "it needs a bare or porous face, and this one is sealed" if sealed and not family["sealed"] else "",
        f"the wall is {face.condition}, and glue holds no better than what it is stuck to"
        if face.condition in (*tables.UNSOUND, "damp")
        else "",
        f"the wall reads {moisture:g} % and it takes {family['wettest']:g} % at the most"
        if moisture is not None and moisture >= family["wettest"]
        else "",
    )


def _work_reasons(job: Job, face: Face, family: Row, curve: Curve) -> tuple[str, ...]:
    day = job.climate.day.temperature if job.climate.day else None
    return (
        f"the day is {day:g} C and it is used from {family['coldest']:g} to {family['hottest']:g} C"
        if day is not None and not family["coldest"] <= day <= family["hottest"]
        else "",
        f"the gap behind the straight piece is {show_fine(curve.gap, job.units)} and it fills"
        f" {show_fine(family['gap'], job.units)}"
        if curve.gap > family["gap"]
        else "",
        "it stains a timber with so much tannin"
        if family.name == "casein" and tables.is_sour(face.trim.timber)
        else "",
    )


def no_glue_because(job: Job, face: Face) -> str:
    """Why a trim is held by its fixings alone where nobody asked for glue, or ""."""
    if face.trim.member == "architrave":
        return "an architrave is nailed to its lining and needs no glue on the wall"
    if tables.goes_through_openings(face.trim.member):
        return "a lining is held through its packing and touches no wall"
    protection = protection_of(job.building)
    if protection.inside:
        return "in a protected building the fixings alone hold it, so that it comes off and leaves the wall as it was"
    if protection.asked:
        return "the inside may be protected, so the fixings alone hold it until that is settled"
    if not face.offers:
        return "what the wall is made of was not surveyed, so nothing is glued to it"
    if face.offers == "lime":
        return "lime plaster is weaker than glue, which would pull it away: the fixings hold it"
    if protection.inside is None and job.building.built is not None and job.building.built < 1919:
        return "the building is old and its protection was not surveyed, so it is treated as protected"
    return ""


def bond_of(job: Job, face: Face, curve: Curve) -> Bond:
    """The adhesive of one trim on one wall: the choice, judged; else the easiest to undo that serves, or none."""
    judged = [(family, refusals(job, face, family, curve)) for family in adhesives()]
    told = {family.name: "; ".join(reasons) for family, reasons in judged if reasons}
    chosen = job.choices.adhesive
    if why := tables.left_alone(face.wall):
        return _none(job, face, why, ())
    if chosen == "none":
        return _none(job, face, "as chosen: the fixings hold it", ())
    if chosen is not None:
        if not face.offers:
            return _none(
                job, face, "what the wall is made of was not surveyed, so the adhesive chosen cannot be judged", ()
            )
        departure = job.departed(REFUSED, face.room.name, face.wall.name)
        if chosen in told and departure:
            why = f"as chosen, though {told[chosen]}; the departure says why: {departure.reason}"
            bond = _with(job, face, adhesives().row(chosen), curve, why, told)
            return replace(bond, reversible=f"{bond.reversible}; {told[chosen]}", harms=True)
        if chosen in told:
            why = f"the {adhesives().row(chosen)['title']} that was chosen is refused here: {told[chosen]}"
            return _none(job, face, why, ((chosen, told[chosen]),))
        return _with(
            job, face, adhesives().row(chosen), curve, "as chosen, and it serves here as a help to the fixings", told
        )
    why = no_glue_because(job, face)
    if why:
        return _none(job, face, why, ())
    for family, reasons in judged:
        if family["gun"] and not reasons:
            title = family["title"]
            return _with(job, face, family, curve, f"{title} is the easiest to undo of those that serve here", told)
    return _none(job, face, "no family serves here: the fixings hold it", tuple(told.items()))


def framed_bond(job: Job, face: Face) -> Bond:
    """Of what is framed on the bench: nothing is glued to the wall, so that it moves and comes off whole."""
    return _none(job, face, "framed on the bench, it moves as one and is held by its fixings alone", ())


def _grounds(job: Job, face: Face, result: str, sources: tuple[Source, ...], worked: str = "") -> Grounds:
    inputs = list(face.inputs(job))
    building = job.building
    if building.protection:
        inputs.append(Input("protection", building.protection, "", job.line(building, "protection")))
    if job.choices.adhesive:
        inputs.append(Input("adhesive chosen", job.choices.adhesive, "", job.line(job.choices, "adhesive")))
    if job.climate.day and job.climate.day.temperature is not None:
        day = job.climate.day
        inputs.append(Input("temperature of the day", day.temperature or 0.0, "C", job.line(day, "temperature")))
    return Grounds(
        tuple(inputs),
        "a family serves where wall, finish, moisture, gap and temperature are within its limits",
        worked,
        result,
        sources,
    )


def _none(job: Job, face: Face, why: str, refused: tuple[tuple[str, str], ...]) -> Bond:
    return Bond(
        room=face.room.name,
        wall=face.wall.name,
        trim=face.trim.name,
        adhesive="none",
        why=why,
        refused=refused,
        grounds=_grounds(job, face, f"fixings alone: {why}", tables.glue_sources(), "; ".join(r for _, r in refused)),
    )


def _with(job: Job, face: Face, family: Row, curve: Curve, why: str, told: dict[str, str]) -> Bond:
    low, high = family["open"]
    bond = Bond(
        room=face.room.name,
        wall=face.wall.name,
        trim=face.trim.name,
        adhesive=family.name,
        why=why + (f"; {family['mind']}" if family.get("mind") else ""),
        refused=tuple(told.items()),
        open_minutes=(low, high),
        cure_hours=(family["cure"][0], family["cure"][1]),
        holds_alone=False,
        props=props_of(job, family, None),
        reversible=family["undo"],
        harms=not family["reversible"],
        grounds=_grounds(job, face, f"{family['title']}: {why}", family.sources),
    )
    return _with_bead(job, face, family, curve, bond) if family["gun"] else bond


def _with_bead(job: Job, face: Face, family: Row, curve: Curve, bond: Bond) -> Bond:
    height = face.trim.section.height
    diameter = value("bead")
    beads, angle = bead_layout(height)
    length = face.length * beads / cos(radians(angle))
    volume = with_waste(bead_volume(length, diameter), value("waste"))
    load = wet_pressure(face, curve, beads, angle)
    grab = allowance("wet-grab")
    alone = None if load is None or grab["low"] < load <= grab["high"] else load <= grab["low"]
    laid = f"{beads} {'zig-zag ' if angle else 'straight '}bead{'s' if beads > 1 else ''} of {diameter:g} mm"
    pulls = "not known without the section" if load is None else f"{load:.2f} kPa on the wet bead, which holds"
    worked = f"{laid}; {pulls} {grab['low']:g} to {grab['high']:g} kPa" if load is not None else f"{laid}; pull {pulls}"
    density = (
        Input("density", face.trim.density, "kg/m3", job.line(face.trim, "density"))
        if face.trim.density is not None
        else Input("density", value("heavy-trim"), "kg/m3", 0, True, note=allowance("heavy-trim").note)
    )
    grounds = replace(
        bond.grounds,
        inputs=(*bond.grounds.inputs, density),
        worked=worked,
        sources=(*bond.grounds.sources, *allowance("wet-grab").sources),
    )
    return replace(
        bond,
        bead=diameter,
        length=length,
        volume=volume,
        holds_alone=alone,
        props=props_of(job, family, alone),
        grounds=grounds,
    )


def bead_layout(height: float | None) -> tuple[int, float]:
    """How many beads, and their zig-zag in degrees, for a piece of that height [mm]. Raises nothing. An allowance."""
    if height is None or height <= value("one-bead-to"):
        return 1, 0.0
    return (2 if height > value("two-beads-over") else 1), value("zig-zag")


def wet_pressure(face: Face, curve: Curve, beads: int, angle: float) -> float | None:
    """Pull on the wet bead, kPa, of the piece's weight and its spring; None without its section. Derived."""
    section = face.trim.section
    thickness = section.thick
    if section.height is None or thickness is None:
        return None
    density = face.trim.density if face.trim.density is not None else value("heavy-trim")
    weight = section.height / 1000 * thickness / 1000 * density * value("gravity")
    width = min(pressed_width(value("bead"), value("bead-pressed")) * beads / cos(radians(angle)), section.height)
    return pressure(weight, width, 1000) + pressure(curve.pull, width, value("hole-spacing"))


def props_of(job: Job, family: Row, alone: bool | None) -> str:
    """How the piece is held while the glue sets."""
    low, high = family["hold"]
    hours = f"{low:g} h" if low == high else f"{low:g} to {high:g} h"
    if alone:
        return f"the wet bead holds it; keep it still for {hours}"
    return (
        f"hold it for {hours}: its fixings, pins in skewed pairs, or wedged battens at 400 to 600 mm with padded ends"
    )

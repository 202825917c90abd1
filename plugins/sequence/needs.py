"""Which steps this job needs, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.bonding import Bonding
from listel.plugins.defects import DefectChecks
from listel.plugins.existing import Existing, at_work, stripped_by
from listel.plugins.fixings import FixingSchedule
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables

Applies = Callable[[Job, Sheet], str]

PAINTED = frozenset({"paint", "primed"})


def finishing(job: Job) -> Iterator[tuple[str, str]]:
    """By whole lines of a plan that mean them ("Wax the dining room") the finish coats of this job's trim."""
    for trim in job.trim:
        if trim.finish in ("paint", "wax", "oil"):
            for thing in (trim.name, *(place.room for place in trim.where)):
                yield "top-coat", f"{trim.finish} the {thing}"


def always(why: str) -> Applies:
    """A step that all new trim needs."""
    return lambda job, sheet: why if job.trim else ""


def laid_out(why: str) -> Applies:
    """A step that trim which runs somewhere needs; none that only mends old trim."""
    return lambda job, sheet: why if any(trim.where for trim in job.trim) else ""


def on_site(why: str) -> Applies:
    """A step of every job that works at anything, new trim or old."""
    return lambda job, sheet: why if at_work(job) else ""


def painted(job: Job) -> list[Trim]:
    """The trims that are to be painted; one whose finish was not surveyed counts, since most are."""
    return [trim for trim in job.trim if trim.finish is None or trim.finish in PAINTED]


def for_paint(why: str) -> Applies:
    """A step that painted trim needs, new or old."""
    return lambda job, sheet: why if painted(job) or _repainted(sheet) else ""


def _repainted(sheet: Sheet) -> bool:
    """Whether old painted trim is worked at and stays."""
    return bool((sheet.get(Existing) or Existing()).repainted())


def never(job: Job, sheet: Sheet) -> str:
    """A step that nothing in the survey asks for: a plan may name it, and house rules may add its reason."""
    return ""


def radiators(why: str) -> Applies:
    """A step for the radiators on walls that bear trim, but for those the survey says stay."""

    def applies(job: Job, sheet: Sheet) -> str:
        walls = {(room.name, wall.name): wall for trim in job.trim for room, wall, _, _ in job.places(trim)}
        where = [
            f"wall {name} of the {room}"
            for (room, name), wall in walls.items()
            if any(item.kind == "radiator" and item.taken_off is not False for item in wall.fittings)
        ]
        return f"{why} ({', '.join(where)})." if where else ""

    return applies


def strip_paint(job: Job, sheet: Sheet) -> str:
    """Old paint is stripped where the survey says so."""
    if not job.work.strip_paint or not job.trim:
        return ""
    way = stripped_by(job)
    how = f"by {way['says']}" if way else "not how"
    return f"The survey says that old paint is stripped, {how}."


def take_down(job: Job, sheet: Sheet) -> str:
    """Old trim that comes off the wall."""
    old = [piece.label for piece in (sheet.get(Existing) or Existing()).pieces if piece.comes_off]
    return f"Old trim comes off: {', '.join(old)}." if old else ""


def bad_plaster(job: Job) -> list[tuple[Room, Wall]]:
    """The walls at work whose plaster the survey found other than sound."""
    return [
        (room, wall)
        for room, wall in job.walls_at_work
        if wall.substrate and wall.substrate.condition not in (None, "sound")
    ]


def make_good(job: Job, sheet: Sheet) -> str:
    """Plaster is made good where it is not sound."""
    bad = [
        f"wall {wall.name} of the {room.name} ({wall.substrate.condition})"
        for room, wall in bad_plaster(job)
        if wall.substrate
    ]
    return f"The plaster is not sound on {', '.join(bad)}." if bad else ""


def seal_knots(job: Job, sheet: Sheet) -> str:
    """Knots of painted softwood are sealed, or they bleed through the paint."""
    trims = [trim.name for trim in painted(job) if trim.timber is None or tables.timber(trim.timber).get("knots")]
    return f"Knots in painted softwood bleed through if they are not sealed: {', '.join(trims)}." if trims else ""


def back_prime(job: Job, sheet: Sheet) -> str:
    """Trim is primed all round before it is fixed, so that it takes up moisture evenly."""
    trims = [trim.name for trim in painted(job)]
    return "Primed on all faces, the trim takes up moisture evenly and moves less." if trims else ""


def scribe(job: Job, sheet: Sheet) -> str:
    """Skirting is scribed to the floor, and any trim to a wall that it is not drawn to."""
    if any(trim.member == "skirting" and trim.where for trim in job.trim):
        return "Skirting is scribed to a floor that is not level."
    setting_out = sheet.get(SettingOut)
    if setting_out and any(bow.way in ("scribe", "pack") for bow in setting_out.bows):
        return "A bowed wall is scribed to rather than pulled at."
    return ""


def cope(job: Job, sheet: Sheet) -> str:
    """Ends that are coped rather than mitred, to new trim or to old."""
    pieces = (sheet.get(SettingOut) or SettingOut()).pieces
    coped = sum(end.kind == "cope" for piece in pieces for end in (piece.left, piece.right))
    ends = "One end is" if coped == 1 else f"{coped} ends are"
    return f"{ends} coped, so that internal corners stay shut as the timber moves." if coped else ""


def lead_holes(job: Job, sheet: Sheet) -> str:
    """Holes are drilled where a fixing needs one, and near every end."""
    schedule = sheet.get(FixingSchedule)
    if schedule is None or not schedule.lines:
        return "Holes are drilled before fixing, so that neither timber nor plaster splits." if job.trim else ""
    drilled = [line for line in schedule.lines if line.new_holes and (line.lead_hole or line.clearance_hole)]
    return "The fixing schedule gives a hole for each fixing." if drilled else ""


def adhesive(job: Job, sheet: Sheet) -> str:
    """Adhesive is laid where bonding chose one."""
    bonding = sheet.get(Bonding)
    kinds = sorted({bond.adhesive for bond in bonding.bonds if bond.adhesive not in ("", "none")}) if bonding else []
    return f"Adhesive ({', '.join(kinds)}) helps to hold the trim." if kinds else ""


def punch(job: Job, sheet: Sheet) -> str:
    """Heads are sunk below the face where they would show."""
    schedule = sheet.get(FixingSchedule)
    if schedule is not None and not any(line.kind for line in schedule.lines):
        return ""
    return "Heads are sunk so that they can be stopped." if job.trim else ""


def caulk(job: Job, sheet: Sheet) -> str:
    """Gaps at the wall are sealed where bonding chose something for them."""
    bonding = sheet.get(Bonding)
    if bonding is None:
        return ""
    gaps = [
        fill for fill in bonding.fills if fill.joint in ("wall-edge", "floor-edge") and fill.filler not in ("", "none")
    ]
    return "Gaps between trim and wall are sealed against dust and draught." if gaps else ""


def cutting_list(job: Job, sheet: Sheet) -> str:
    """A cutting list is settled before the first board is cut."""
    return "Boards are cut to a list, from the rack first." if job.trim else ""


def select_timber(job: Job, sheet: Sheet) -> str:
    """Boards are gone over before they are cut."""
    checks = sheet.get(DefectChecks)
    flawed = [board.board for board in checks.boards if board.verdicts] if checks else []
    if flawed:
        return f"Boards with defects ({', '.join(flawed)}) are cut round them."
    return "Face, grain and knots decide which board goes where." if job.trim else ""


APPLIES: dict[str, Applies] = {
    "survey": on_site("Everything rests on the survey."),
    "read-moisture": on_site("Timber fixed too wet or to a damp wall shrinks, moves and stains."),
    "carpets-up": never,
    "radiators-off": radiators("Trim runs on behind a radiator, or ends bare beside it"),
    "boxing-off": never,
    "paper-off": never,
    "strip-paint": strip_paint,
    "take-down": take_down,
    "make-good": make_good,
    "acclimatise": always("New timber comes to the moisture of the room before it is cut."),
    "set-out": laid_out("Every member is marked from one level line, since neither floor nor ceiling is level."),
    "measure-corners": laid_out("No corner is square: each is bevelled where the trim will run."),
    "select-timber": select_timber,
    "seal-knots": seal_knots,
    "back-prime": back_prime,
    "cutting-list": cutting_list,
    "cut": always("Pieces are cut to their long points."),
    "dry-fit": laid_out("A piece that does not fit dry will not fit wet."),
    "scribe": scribe,
    "cope": cope,
    "lead-holes": lead_holes,
    "adhesive": adhesive,
    "fix": laid_out("The trim is fixed."),
    "punch": punch,
    "fill": for_paint("Holes and joints of painted trim are stopped."),
    "sand": for_paint("Stopped places are rubbed flush before they are painted."),
    "prime": for_paint("Filled and bare places drink the paint if they are not primed."),
    "caulk": caulk,
    "undercoat": for_paint("Painted trim has an undercoat beneath its finish."),
    "top-coat": lambda job, sheet: (
        "The trim has its finish coats."
        if any(trim.finish not in ("none", "primed") for trim in job.trim) or _repainted(sheet)
        else ""
    ),
    "radiators-back": radiators("The radiators go back once the paint is hard"),
    "clean": on_site("Dust is not left behind."),
    "snag": on_site("Faults are found before the client finds them."),
    "handover": on_site("The owner keeps a record of what was done and how it comes off again."),
}
"""For each step of the table: why a job needs it, or "" if it does not."""

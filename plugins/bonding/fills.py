"""What goes into each joint and hole of a trim, and why that and nothing stiffer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import Units, show_fine, show_length
from listel.plugins.bonding.adhesives import Curve
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import with_waste
from listel.plugins.bonding.results import Fill
from listel.plugins.bonding.strain import fillers, joint_depth, least_class, least_width, refusal, strain
from listel.plugins.bonding.walls import Face
from listel.plugins.fixings import FixingSchedule
from listel.plugins.site import protection_of, tables
from listel.plugins.timber import JointOpening, TrimMovement

HARD = ("cellulose", "two-part")
GAP_ORDER = ("acrylic-caulk", "hybrid-polymer")


@dataclass(frozen=True, kw_only=True)
class Joint:
    """One joint as it stands: ``width`` [mm] taken, greatest and ``least`` movement [mm], the rest for grounds."""

    name: str
    width: float
    movement: float
    inputs: tuple[Input, ...]
    formula: str
    worked: str
    width_word: str = ""
    units: Units = "mm"
    least: float = 0.0

    def told(self, mm: float) -> str:
        """A small length in the job's units."""
        return show_fine(mm, self.units)


def seasonal(movement: float) -> Input:
    """The movement across the face that fills are judged by [mm]: what comes before, as the timber dries out from
    delivery, is waited for and not filled."""
    note = "between the seasons, once the timber has come to the moisture of the room"
    return Input("movement across the face", round(movement, 3), "mm", note=note)


def fixed_from_edge(trim: Trim, height: float, schedule: FixingSchedule | None, *place: str) -> tuple[float, Input]:
    """How far below its top edge a trim is held tight [mm], and whence: the upper row of the fixing schedule, on the
    wall of this ``place`` (room, wall) or anywhere; else an allowance."""
    lines = schedule.lines if schedule else ()
    rows = [
        line.rows_down[0]
        for line in lines
        if line.trim == trim.name and line.rows_down and not line.upright and not line.old
        if 0.0 <= line.rows_down[0] <= height
        if not place or (line.room, line.wall) == place
    ]
    if rows:
        note = "the upper row of the fixing schedule; only the stretch from it to that edge moves it"
        return max(rows), Input("fixed below the top edge", round(max(rows), 1), "mm", note=note)
    at_edge = tables.member(trim.member).get("at-edge", False)
    from_edge = min(value("fixed-from-edge"), height / 2) if at_edge else height / 2
    note = "only the stretch from the fixing to the sealed edge moves it"
    return from_edge, Input("fixed from the sealed edge", from_edge, "mm", 0, True, note=note)


def edge_joint(
    job: Job, trim: Trim, line: TrimMovement, gap: float, schedule: FixingSchedule | None, *place: str
) -> Joint | None:
    """The joint between the trim's edge and the wall; None without a height."""
    height = trim.section.height
    if height is None or line.width_high is None:
        return None
    from_edge, fixed = fixed_from_edge(trim, height, schedule, *place)
    movement = line.width_high * from_edge / height
    widths = allowance("edge-width")
    if gap > 0:
        width_input = Input("width now", gap, "mm", 0, False, note="the bow of the wall behind a straight piece")
        width = gap
    else:
        note = f"not surveyed: {_usual(job)} is usual; the narrowest is strained most"
        width_input = Input("width now", float(widths["low"]), "mm", 0, True, note=note)
        width = float(widths["low"])
    return Joint(
        name="wall-edge",
        width=width,
        movement=movement,
        inputs=(
            width_input,
            seasonal(line.width_high),
            fixed,
            Input("height on the wall", height, "mm", job.line(trim.section, "height")),
        ),
        formula="movement across the face x distance from fixing to edge / height; strain = movement / width",
        worked=f"{line.width_high:.2f} mm x {from_edge:.0f} mm / {height:.0f} mm = {movement:.2f} mm",
        width_word="" if gap > 0 else f"taken as the narrowest of {_usual(job)}",
        units=job.units,
        least=(line.width_low or 0.0) * from_edge / height,
    )


def _usual(job: Job) -> str:
    widths = allowance("edge-width")
    return f"{show_length(widths['low'], job.units)} to {show_length(widths['high'], job.units)}"


def hole_joint(job: Job, name: str, size: float, trim: Trim, line: TrimMovement, size_input: Input) -> Joint | None:
    """A hole of a size in the board, which moves as the board does; None without a movement."""
    height = trim.section.height
    if height is None or line.width_high is None or size <= 0:
        return None
    movement = line.width_high / height * size
    return Joint(
        name=name,
        width=size,
        movement=movement,
        inputs=(size_input, seasonal(line.width_high), Input("height", height, "mm")),
        formula="movement across the face / height x size of the hole; strain = movement / size",
        worked=f"{line.width_high:.2f} mm / {height:.0f} mm x {size:.1f} mm = {movement:.2f} mm",
        units=job.units,
        least=(line.width_low or 0.0) / height * size,
    )


def grounds_of(joint: Joint, filler: Row | None, why: str, refused: tuple[tuple[str, str], ...]) -> Grounds:
    """Why a joint is filled with that, with its strain, and why with nothing else."""
    return Grounds(
        joint.inputs,
        joint.formula,
        "; ".join(
            (joint.worked, f"strain {strain(joint.width, joint.movement):.1f} %", *(f"{n}: {w}" for n, w in refused))
        ),
        why,
        filler.sources if filler else fillers().row("acrylic-caulk").sources,
    )


def line_of(
    joint: Joint,
    trim: Trim,
    filler: Row | None,
    why: str,
    refused: tuple[tuple[str, str], ...],
    room: str = "",
    wall: str = "",
) -> Fill:
    """The fill of a joint with a filler, or left open."""
    percent = strain(joint.width, joint.movement)
    served = least_class(percent, "iso")
    sealant = filler is not None and "gap" in filler["serves"]
    return Fill(
        room=room,
        trim=trim.name,
        joint=joint.name,
        wall=wall,
        width=joint.width,
        movement=joint.movement,
        strain=percent,
        filler=filler.name if filler else "none",
        movement_class=served.name if sealant and served else "",
        least_width=least_width(joint.movement, filler["movement"]) if sealant and filler else None,
        depth=joint_depth(joint.width) if sealant else None,
        paintable=filler["paintable"] if filler else None,
        order=filler.get("clear" if trim.clear else "order", "") if filler else "",
        dry_hours=(filler["dry"][0], filler["dry"][1]) if filler else None,
        refused=refused,
        why=why,
        movement_low=joint.least,
        grounds=grounds_of(joint, filler, why, refused),
    )


def edge_choice(job: Job) -> str | None:
    """What the person chose for edges: the sealant, or a filler that is one; None where nothing was chosen."""
    filler = job.choices.filler
    caulk = filler is not None and filler != "none" and "gap" in fillers().row(filler)["serves"]
    return job.choices.sealant or (filler if caulk else None)


def edge_fill(job: Job, face: Face, line: TrimMovement, curve: Curve, schedule: FixingSchedule | None) -> Fill | None:
    """The edge of one trim against one wall: the sealant chosen, judged; else the stiffest that lives there."""
    trim = face.trim
    where = (face.room.name, face.wall.name)
    joint = edge_joint(job, trim, line, curve.gap, schedule, *where)
    if joint is None:
        return None
    if why := tables.left_alone(face.wall):
        return line_of(joint, trim, None, why, (), *where)
    chosen = edge_choice(job)
    if chosen == "none":
        hard = tuple(judged(joint, list(HARD)))
        moves = (
            f"{joint.told(joint.movement)}, {strain(joint.width, joint.movement):.1f} % of {joint.told(joint.width)}"
        )
        cannot = ", more than any hard filler follows" if hard else ""
        why = f"as chosen: scribed and left open. It moves {moves}{cannot}"
        return line_of(joint, trim, None, why, hard, *where)
    no_caulk = _no_caulk(job, face)
    opened = _opened(joint, fillers().row(chosen)) if chosen else joint
    refused = tuple(judged(opened, [chosen] if chosen else []))
    if chosen and no_caulk and (trim.clear or not refused) and chosen != "lime-putty":
        refused = ((chosen, no_caulk),)
    rule = f"bonding/{'sealant' if job.choices.sealant else 'filler'}-refused"
    departure = job.departed(rule, face.room.name, trim=trim.name) if refused else None
    if chosen and (departure or not refused):
        filler = fillers().row(chosen)
        why = (
            f"as chosen, though {refused[0][1]}; the departure says why: {departure.reason}"
            if departure
            else serves(opened, filler, "as chosen, and")
        )
        return _sized(job, face, line_of(opened, trim, filler, why, refused, *where))
    if no_caulk:
        why = f"{no_caulk}: scribe the back to the wall and leave the line open"
        return line_of(joint, trim, None, why, refused, *where)
    return _stiffest_that_lives(job, face, joint, refused)


def _stiffest_that_lives(job: Job, face: Face, joint: Joint, refused: tuple[tuple[str, str], ...]) -> Fill:
    """The first of caulk and sealant that bears the movement, hard fillers refused on the way; else left open."""
    where = (face.room.name, face.wall.name)
    reasons = dict(refused) | dict(judged(joint, list(HARD)))
    for name in GAP_ORDER:
        filler = fillers().row(name)
        opened = _opened(joint, filler)
        reason = dict(judged(opened, [name])).get(name)
        if reason is None:
            found = line_of(opened, face.trim, filler, serves(opened, filler, ""), tuple(reasons.items()), *where)
            return _sized(job, face, found)
        reasons.setdefault(name, reason)
    need = least_width(joint.movement, fillers().row(GAP_ORDER[-1])["movement"])
    near = show_length(value("fixed-from-edge"), job.units)
    why = (
        f"nothing serves: at {joint.told(joint.movement)} of movement even the best sealant needs {joint.told(need)} of"
        f" width. Fix the piece within {near} of the edge that is sealed, or scribe it and leave the line open"
        if joint.width < need
        else "the gap is wider than any sealant bridges: scribe the piece to the wall, or pack behind it and fit a slip"
    )
    return replace(line_of(joint, face.trim, None, why, tuple(reasons.items()), *where), least_width=need)


def _opened(joint: Joint, filler: Row) -> Joint:
    """The joint, raked out to the least width the sealant is laid at."""
    if joint.width >= filler["least"]:
        return joint
    return replace(joint, width=float(filler["least"]), width_word="opened to the least it is laid at")


def judged(joint: Joint, names: list[str]) -> Iterator[tuple[str, str]]:
    """The fillers that do not serve a joint, each with the reason."""
    for name in names:
        if name == "none":
            continue
        if reason := refusal(fillers().row(name), joint.width, joint.movement, joint.units):
            yield name, reason


def serves(joint: Joint, filler: Row, start: str) -> str:
    """Why a filler serves a joint, in words."""
    percent = strain(joint.width, joint.movement)
    words = f"{start} {filler['title']}".strip() if start else str(filler["title"])
    width = f" ({joint.width_word})" if joint.width_word else ""
    if percent > filler["movement"]:
        hairline = joint.told(value("hairline"))
        return f"{words} serves: the joint{width} moves {joint.told(joint.movement)}, within a hairline of {hairline}"
    moves = f"{joint.told(joint.movement)}, {percent:.1f} % of {joint.told(joint.width)}"
    return f"{words} serves: the joint{width} moves {moves}, and it takes {filler['movement']:g} %"


def _no_caulk(job: Job, face: Face) -> str:
    """Why no caulk goes along that edge, or ""."""
    if face.trim.clear:
        return "the timber is left to be seen, and so would caulk be"
    loose = tables.loose_finish(face.wall)
    if loose:
        return f"caulk lifts {loose['says']} when it moves"
    if face.offers == "lime" and protection_of(job.building).inside is not False:
        return "caulk on old lime plaster needs the agreement of whoever protects the building"
    return ""


def _sized(job: Job, face: Face, fill: Fill) -> Fill:
    if fill.width is None:
        return fill
    edges = int(tables.member(face.trim.member).get("edges", 1))
    depth = fill.depth if fill.depth is not None else fill.width
    volume = with_waste(fill.width * depth * face.length * edges / 1000, value("waste"))
    return replace(fill, volume=volume)


def floor_fill(job: Job, trim: Trim, line: TrimMovement, schedule: FixingSchedule | None) -> Fill | None:
    """The foot of a skirting on the floor, which is scribed and never sealed."""
    height = trim.section.height
    if trim.member != "skirting" or height is None or line.width_high is None:
        return None
    down, fixed = fixed_from_edge(trim, height, schedule)
    free = max(height - down, 0.0)
    joint = Joint(
        name="floor-edge",
        width=float(allowance("edge-width")["low"]),
        movement=line.width_high * free / height,
        inputs=(seasonal(line.width_high), fixed, Input("height", height, "mm")),
        formula="the edge away from the fixings takes the rest of the movement",
        worked=f"{line.width_high:.2f} mm x {free:.0f} mm / {height:.0f} mm",
        units=job.units,
        least=(line.width_low or 0.0) * free / height,
    )
    why = (
        f"scribed to the floor and left free: {joint.told(joint.movement)} of movement comes out here, and a filler"
        " would crack or lift the board"
    )
    return line_of(joint, trim, None, why, ())


def tight_fill(job: Job, trim: Trim, opening: JointOpening) -> Fill:
    """A mitre, cope or scarf, cut tight: glued, and not filled where it moves."""
    name, movement, width = opening.joint, opening.high, value("tight-joint")
    joint = Joint(
        name=name,
        width=width,
        movement=movement,
        inputs=(
            Input("width now", width, "mm", 0, True, note="cut tight"),
            Input("movement", round(movement, 3), "mm"),
        ),
        formula="opening of the joint between the seasons; strain = movement / width",
        worked=f"{movement:.2f} mm / {width:g} mm",
        units=job.units,
        least=opening.low,
    )
    glue = "PVA" if protection_of(job.building).inside is False else "hide glue"
    if name == "scarf":
        why = f"glue it with {glue} over a fixing: the long glue line holds the pieces together, so there is no gap"
        return replace(line_of(joint, trim, None, why, ()), glue=glue)
    chosen = [job.choices.filler] if job.choices.filler and job.choices.filler != "timber-pellet" else []
    refused = tuple(judged(joint, [*chosen, *(hard for hard in HARD if hard not in chosen)]))
    if chosen and chosen[0] != "none" and chosen[0] not in dict(refused):
        filler = fillers().row(chosen[0])
        return line_of(joint, trim, filler, serves(joint, filler, "as chosen, and"), refused)
    held = "back it off so that only its face touches" if name == "cope" else f"glue it with {glue} and pin it"
    why = (
        f"cut it tight; {held}. No hard filler follows {joint.told(movement)}: touch it in after the first heating"
        " season"
    )
    return replace(line_of(joint, trim, None, why, refused), glue="" if name == "cope" else glue)

"""The holes over the heads of a trim's fixings: which there are, how many, and what stops them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import pi

from listel.core.contract.findings import Input
from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.bonding.allowances import value
from listel.plugins.bonding.beads import with_waste
from listel.plugins.bonding.fills import Joint, hole_joint, judged, line_of, serves
from listel.plugins.bonding.results import Fill, hole_name
from listel.plugins.bonding.strain import fillers
from listel.plugins.bonding.walls import Face
from listel.plugins.fixings import FixingSchedule
from listel.plugins.site import protection_of
from listel.plugins.timber import TrimMovement

KINDS = {"nail-holes": ("nail-hole", "over a punched nail"), "screw-holes": ("screw-hole", "over a sunk screw")}
"""For each kind of hole, its allowance and what it lies over."""


@dataclass(frozen=True)
class Holes:
    """The holes of one kind in a trim: ``count`` is None where no schedule counts them."""

    name: str
    count: int | None = None


def holes_of(job: Job, trim: Trim, schedule: FixingSchedule | None) -> list[Holes]:
    """The holes this trim has: by its fixing schedule, else by the fixing that was chosen, else both kinds."""
    counts: dict[str, int] = {}
    for line in schedule.lines if schedule else ():
        if line.trim == trim.name and line.kind:
            name = hole_name(line.kind)
            counts[name] = counts.get(name, 0) + line.count
    if counts:
        return [Holes(name, counts[name] or None) for name in KINDS if name in counts]
    if job.choices.fixing:
        return [Holes(name) for name in dict.fromkeys(map(hole_name, job.choices.fixing))]
    return [Holes(name) for name in KINDS]


def hole_fills(
    job: Job, trim: Trim, line: TrimMovement, mine: list[Face], schedule: FixingSchedule | None
) -> Iterator[Fill]:
    """What stops each kind of hole of one trim, with how much of it."""
    for holes in holes_of(job, trim, schedule):
        row, note = KINDS[holes.name]
        across = value(row)
        size = Input("size of the hole", across, "mm", 0, True, note=note)
        joint = hole_joint(job, holes.name, across, trim, line, size)
        if joint is not None:
            fill = replace(filled_hole(job, trim, joint), count=holes.count)
            yield replace(fill, volume=_volume(fill, mine))


def filled_hole(job: Job, trim: Trim, joint: Joint) -> Fill:
    """The filler that was chosen, if it serves; else the first of the usual ones that does."""
    chosen = job.choices.filler
    if chosen == "none":
        return line_of(joint, trim, None, "as chosen: the heads are left to be seen", ())
    refused = dict(_refusals(joint, trim, [chosen] if chosen else []))
    departure = job.departed("bonding/filler-refused", trim=trim.name)
    meant = departure is not None and bool(chosen) and "hole" in fillers().row(str(chosen))["serves"]
    if chosen and refused and (meant or (not trim.clear and _only_strained(joint, trim, chosen))):
        shows = f"the departure says why: {departure.reason}" if departure else "under paint a hairline may show"
        why = f"as chosen, though {refused[chosen]}; {shows}"
        filler = fillers().row(chosen)
        return replace(line_of(joint, trim, filler, why, tuple(refused.items())), depth=value("hole-depth"))
    order = [chosen] if chosen and not refused else _order(job, trim, joint)
    if not chosen and protection_of(job.building).inside is not False and "linseed-putty" not in order:
        refused["linseed-putty"] = _slow(job)
    for name in order:
        filler = fillers().row(name)
        reasons = dict(_refusals(joint, trim, [name]))
        if "hole" in filler["serves"] and not reasons:
            start = "as chosen, and" if name == chosen else _called_for(job, trim) if name == "linseed-putty" else ""
            why = _why(joint, filler, start)
            if name == "timber-pellet" and name != chosen and not trim.clear:
                why += f"; sink the heads {show_length(value('pellet-depth'), job.units)} for it"
            depth = value("pellet-depth" if name == "timber-pellet" else "hole-depth")
            return replace(line_of(joint, trim, filler, why, tuple(refused.items())), depth=depth)
        refused.setdefault(name, reasons.get(name, "it is no filler for a hole"))
    return line_of(joint, trim, None, "nothing serves: leave the heads to be seen, in line", tuple(refused.items()))


def _only_strained(joint: Joint, trim: Trim, chosen: str) -> bool:
    """Whether nothing but its strain refuses a filler in a hole over a fixing, which paint covers."""
    return "hole" in fillers().row(chosen)["serves"] and not list(
        _refusals(replace(joint, movement=0.0), trim, [chosen])
    )


def _refusals(joint: Joint, trim: Trim, names: list[str]) -> Iterator[tuple[str, str]]:
    """What the movement refuses, and pellets over screws in timber too thin to sink their heads so deep."""
    yield from judged(joint, names)
    thick = trim.section.thick
    if "timber-pellet" in names and joint.name == "screw-holes" and thick is not None and thick < value("pellet-wood"):
        deep, wood = (show_length(value(name), joint.units) for name in ("pellet-depth", "pellet-wood"))
        yield "timber-pellet", f"a pellet needs the head sunk {deep}, which timber under {wood} does not bear"


def _order(job: Job, trim: Trim, joint: Joint) -> list[str]:
    """The usual fillers of a hole, the best first.

    Putty has to skin before it is painted, so under paint it is used only where something calls for it.
    """
    if trim.clear:
        first = ["timber-pellet"] if joint.name == "screw-holes" else []
        return [*first, "linseed-putty", "two-part", "timber-pellet"]
    if _called_for(job, trim):
        return ["linseed-putty", "glue-putty", "two-part", "timber-pellet"]
    return ["two-part", "cellulose", "timber-pellet"]


def _called_for(job: Job, trim: Trim) -> str:
    """What calls for putty under paint: linseed paint; "" if nothing does."""
    if trim.clear:
        return ""
    if job.choices.paint == "linseed-oil":
        return "the linseed paint calls for putty:"
    return ""


def _slow(job: Job) -> str:
    low, high = fillers().row("linseed-putty")["dry"]
    return (
        f"it skins for {low / 24:.0f} to {high / 24:.0f} days before it is painted, and no linseed paint calls for it"
    )


def _why(joint: Joint, filler: Row, start: str) -> str:
    if filler.name == "timber-pellet":
        return f"{start} a pellet of the same timber serves: it moves as the board moves".strip()
    return serves(joint, filler, start)


def _volume(fill: Fill, mine: list[Face]) -> float | None:
    """Filler of the holes [ml], waste included: by their count, else by the run and a usual spacing; derived."""
    if fill.width is None or fill.depth is None or fill.filler in ("none", "timber-pellet"):
        return None
    count = fill.count if fill.count is not None else sum(face.length / value("hole-spacing") + 1 for face in mine)
    return with_waste(count * pi / 4 * fill.width**2 * fill.depth / 1000, value("waste"))

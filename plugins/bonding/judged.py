"""What there is to say of the person's own choices, and of the facts that were not surveyed."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job
from listel.plugins.bonding.adhesives import adhesives
from listel.plugins.bonding.fills import HARD, edge_choice
from listel.plugins.bonding.holes import KINDS
from listel.plugins.bonding.results import Bond, Fill
from listel.plugins.bonding.strain import fillers
from listel.plugins.bonding.walls import Face
from listel.plugins.fixings import FixingSchedule
from listel.plugins.site import protection_of

RULES = load_rules(__package__)


def _list(names: list[str]) -> str:
    return ", ".join(sorted(set(names)))


def _walls(names: list[str]) -> str:
    """Walls in words: "wall A", "walls A, B and C"."""
    *most, last = sorted(set(names))
    return f"walls {', '.join(most)} and {last}" if most else f"wall {last}"


def adhesive_findings(job: Job, bonds: tuple[Bond, ...]) -> Iterator[Finding]:
    """Holds on a chosen adhesive: refused on some wall, or not the way of a protected building."""
    chosen = job.choices.adhesive
    if chosen in (None, "none"):
        return
    line = job.line(job.choices, "adhesive")
    title = adhesives().row(str(chosen))["title"]
    refused: dict[tuple[str, str, str], list[Bond]] = {}
    for bond in bonds:
        reason = dict(bond.refused).get(str(chosen))
        if reason:
            departed = bond.wall if bond.adhesive == chosen else ""
            refused.setdefault((bond.room, reason, departed), []).append(bond)
    for (room, reason, _), those in refused.items():
        walls = _walls([bond.wall for bond in those])
        yield RULES["adhesive-refused"].told(
            "hold",
            f"The {title} that was chosen is refused on {walls}: {reason}.",
            Where(room, those[0].wall if len({bond.wall for bond in those}) == 1 else "", line=line),
            those[0].grounds,
            "Hold the trim by its fixings alone, choose another adhesive, or record a departure with its reason.",
        )
    protection = protection_of(job.building)
    if protection.asked:
        building = "a protected building" if protection.inside else "a building that may be protected inside"
        for room in dict.fromkeys(bond.room for bond in bonds if bond.adhesive == chosen):
            grounds = next(bond.grounds for bond in bonds if bond.room == room and bond.adhesive == chosen)
            yield RULES["adhesive-in-protected-building"].told(
                "hold",
                f"{title[0].upper()}{title[1:]} in {building}: it "
                f"{adhesives().row(str(chosen))['undo']}, so the fixings are preferred. Glue is a departure "
                "that needs a reason.",
                Where(room, line=line),
                grounds,
                "Hold it by fixings alone, or record a departure with its reason, which the authority agreed to.",
            )


def filler_findings(job: Job, fills: tuple[Fill, ...]) -> Iterator[Finding]:
    """Holds on a chosen filler or sealant that the movement of the timber, or the paint, refuses."""
    for kind, chosen in (("filler", job.choices.filler), ("sealant", job.choices.sealant)):
        if chosen in (None, "none"):
            continue
        rule = RULES["filler-refused"] if kind == "filler" else RULES["sealant-refused"]
        by_trim: dict[tuple[str, str, bool], list[Fill]] = {}
        for fill in fills:
            if _concerns(job, kind, fill) and chosen in dict(fill.refused):
                departed = job.departed(rule.name, fill.room, trim=fill.trim) is not None
                by_trim.setdefault((fill.trim, fill.room if departed else "", departed), []).append(fill)
        for (trim, _, departed), those in by_trim.items():
            those.sort(key=lambda fill: -(fill.strain or 0.0))
            title = fillers().row(str(chosen))["title"]
            joints = _list([fill.joint.replace("-", " ") for fill in those])
            reason = next(why for name, why in those[0].refused if name == chosen)
            room = those[0].room if len({fill.room for fill in those}) == 1 else ""
            where = Where(room, trim=trim, line=job.line(job.choices, kind))
            strain = those[0].strain or 0.0
            if not departed and all(fill.filler == chosen for fill in those):
                says = f"The {title} that was chosen for the {joints} of the {trim}: {reason}; under paint a hairline."
                mend = "Touch it in after the first heating season, or pellet the heads with the same timber."
                yield RULES["filler-refused"].told("advice", says, where, those[0].grounds, mend, strain=strain)
                continue
            says = f"The {title} that was chosen is refused on the {trim} ({joints}): {reason}."
            mend = "" if departed else f"Instead: {those[0].why.removeprefix(f'{reason}: ')}."
            yield rule.told("hold", says, where, those[0].grounds, mend, strain=strain)


def _concerns(job: Job, kind: str, fill: Fill) -> bool:
    """Whether the choice was meant for that joint: a sealant for edges, as is a filler that is one where no sealant
    was chosen; a filler for holes. Mitres and copes are told in their lines."""
    if fill.joint == "wall-edge":
        return kind == "sealant" or (job.choices.sealant is None and edge_choice(job) is not None)
    return kind == "filler" and fill.joint.endswith("holes")


def old_findings(job: Job, fills: tuple[Fill, ...], schedule: FixingSchedule | None) -> Iterator[Finding]:
    """What filler goes over the heads in old trim of a protected building, where none was chosen and a hard one is
    usual."""
    old = {line.trim for line in schedule.lines if line.old and line.kind} if schedule else set()
    hard = [fill for fill in fills if fill.trim in old and fill.joint in KINDS and fill.filler in HARD]
    if not hard or job.choices.filler or not protection_of(job.building).asked:
        return
    row, putty = fillers().row(hard[0].filler), fillers().row("linseed-putty")
    low, high = (hours / 24 for hours in putty["dry"])
    yield RULES["old-filler-not-chosen"].lacking(
        "the filler over the fixings of the old trim",
        f"whether it comes out again: {row['title']} is taken, which is {row['out']} and marks the face; "
        f"{putty['title']} comes out more easily, and skins for {low:.0f} to {high:.0f} days before it is painted",
        Where(trim=hard[0].trim, line=job.line(job.choices)),
    )


def narrow_findings(fills: tuple[Fill, ...]) -> Iterator[Finding]:
    """Cautions for edges that no sealant serves."""
    for fill in fills:
        if fill.joint == "wall-edge" and fill.filler == "none" and fill.least_width is not None:
            yield RULES["edge-not-sealed"].told(
                "caution",
                f"The {fill.trim} against wall{'s' if ',' in fill.wall else ''} {fill.wall}: {fill.why}.",
                Where(fill.room, fill.wall, fill.trim),
                fill.grounds,
                "Fix it nearer the edge that is sealed, or leave the line open.",
                least_width=fill.least_width,
            )


def missing_findings(job: Job, faces: tuple[Face, ...], bonds: tuple[Bond, ...]) -> Iterator[Finding]:
    """One finding for each fact that was not surveyed, grouped by room."""
    glued = any(bond.adhesive != "none" for bond in bonds)
    if faces and protection_of(job.building).inside is None:
        yield RULES["protection-not-surveyed"].lacking(
            "whether the inside of the building is protected",
            "whether adhesive may be used at all, and how far the work must come off again",
            Where(line=job.line(job.building)),
        )
    if glued and (job.climate.day is None or job.climate.day.temperature is None):
        used = next(adhesives().row(bond.adhesive) for bond in bonds if bond.adhesive != "none")
        yield RULES["day-not-surveyed"].lacking(
            f"the temperature on the day ({used['title']} is used from {used['coldest']:g} to {used['hottest']:g} C)",
            "whether the adhesive sets",
            Where(line=job.line(job.climate)),
        )
    for trim in job.trim:
        if trim.finish is None:
            yield RULES["finish-not-surveyed"].lacking(
                f"the finish of the {trim.name}",
                "whether fillers are painted over or seen; it is taken as painted",
                Where(trim=trim.name, line=job.line(trim)),
            )
    yield from _room_findings(job, faces)


def _room_findings(job: Job, faces: tuple[Face, ...]) -> Iterator[Finding]:
    for room in job.rooms:
        mine = [face for face in faces if face.room.name == room.name]
        unknown = [face.wall.name for face in mine if not face.offers]
        if unknown:
            yield RULES["wall-not-surveyed"].lacking(
                f"what {_walls(unknown)} {'are' if len(set(unknown)) > 1 else 'is'} made of",
                "whether anything may be glued there; until then the fixings alone hold",
                Where(room.name, line=job.line(room)),
            )
        bare = [face.wall.name for face in mine if face.offers in ("masonry", "gypsum") and face.finish is None]
        if bare:
            yield RULES["wall-finish-not-surveyed"].lacking(
                f"the finish on {_walls(bare)}",
                "whether adhesive or caulk holds: neither holds to limewash, distemper or paper",
                Where(room.name, line=job.line(room)),
            )

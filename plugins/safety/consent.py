"""Consent: who decides, how each part of this job is usually seen, and what to have in hand. Never legal advice."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Job, Room, Trim
from listel.plugins.bonding import Bonding
from listel.plugins.conservation import OfficerTable
from listel.plugins.existing import NEW, Existing, at_work, made_of, upper_part
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety.fabric import earliest
from listel.plugins.safety.hazards import fixing_lines, named
from listel.plugins.safety.results import Consent
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import protection_of, tables

RULES = load_rules(__package__)

OLD_VIEWS = {"refix": "refix", "repair": "piece-in", "replace": "replaced", "set-aside": "replaced"}
"""The row of the table ``views`` for what happens to an old piece."""
NOT_LEGAL = "This is advice on what to ask, not legal advice; the authority decides."

ADHESIVES = ("solvent-grab", "acrylic-grab", "hybrid-polymer", "polyurethane")
"""Adhesives that do not come off plaster without taking its face with them."""


ALIKE = 2.0
"""mm by which a section may differ and be taken for the same: so well an old one is measured under its paint."""


def law_of(job: Job) -> Row:
    """The row of the table ``consents`` for the job's protection and region."""
    table = load_table(__package__, "consents")
    if may_be_exempt(job) and job.building.exempt:
        return table.row("exempt")
    if job.building.protection == "scheduled":
        return table.find(f"scheduled-{job.building.region}") or table.row("scheduled")
    return table.find(job.building.region or "") or table.row("elsewhere")


def may_be_exempt(job: Job) -> bool:
    """Whether it is a listed church where the law exempts some denominations. A monument is never exempt."""
    building = job.building
    return building.use == "church" and building.region in ("england", "wales") and building.protection != "scheduled"


def proposals(job: Job, sheet: Sheet) -> Iterator[tuple[str, str]]:
    """What this job does, as (row of the table ``views``, the trims or products), in survey order; a trim with its
    rooms where it is not seen alike in all of them."""
    views: dict[str, list[str]] = {}
    existing, laid = sheet.get(Existing) or Existing(), (sheet.get(SettingOut) or SettingOut()).laid
    for piece in existing.pieces:
        if piece.intent in OLD_VIEWS:
            view, mends = OLD_VIEWS[piece.intent], existing.mends_of(piece.label)
            later = view == "replaced" and piece.original == "later"
            whole = view == "piece-in" and mends and not any(mend.kind in NEW for mend in mends)
            views.setdefault("later-out" if later else "mended" if whole else view, []).append(piece.label)
    only_mend = existing.only_mend(job.trim, (run.trim for run in laid))
    for trim in (trim for trim in job.trim if trim.name not in only_mend):
        rooms: dict[str, list[str]] = {}
        for room in dict.fromkeys(place.room for place in trim.where):
            rooms.setdefault(_trim_view(job, existing, job.room(room), trim), []).append(room)
        for view, alike in rooms.items():
            told = f" in the {' and the '.join(alike)}" if len(rooms) > 1 else ""
            views.setdefault(view, []).append(f"{trim.name}{told}")
    yield from ((view, ", ".join(names)) for view, names in views.items())
    if job.work.strip_paint:
        yield "strip", ""
    schedule = sheet.get(FixingSchedule)
    if schedule.new_holes if schedule else at_work(job):
        table = sheet.get(OfficerTable) or OfficerTable()
        yield "plaster-holes", ", ".join(dict.fromkeys(each.piece for each in table.drilled if each.piece))
    holed = {(line.room, line.wall) for line in fixing_lines(sheet) if line.new_holes}
    walls = [(room, wall) for room in job.rooms for wall in room.walls if (room.name, wall.name) in holed]
    if covered := [pair for pair in walls if tables.kept_finishes(pair[1])]:
        kept = dict.fromkeys(row["says"] for _, wall in covered for row in tables.kept_finishes(wall))
        yield "covering-holes", f"{', '.join(kept)} on {named(covered)}"
    bonding = sheet.get(Bonding)
    sticks = {bond.adhesive for bond in bonding.bonds} if bonding else {job.choices.adhesive}
    glued = sorted(name for name in sticks if name in ADHESIVES)
    if glued:
        yield "adhesive", " and ".join(name.replace("-", " ") for name in glued)


def _trim_view(job: Job, existing: Existing, room: Room, trim: Trim) -> str:
    if not _proved(job, existing, room, trim):
        return "unproved"
    return "unlike" if _unlike(job, room, trim) else "like-for-like"


def _unlike(job: Job, room: Room, trim: Trim) -> bool:
    """Whether a trim is of other stuff or another section than what stands of it in the room: than the original, where
    any is, for what was put in later departs from that itself."""
    if trim.timber and tables.timber(trim.timber)["kind"] == "board":
        return True
    stands = [old for wall in room.walls for old in wall.existing if old.member == trim.member]
    for old in [old for old in stands if old.original == "original"] or stands:
        was = old.section
        mine = (made_of(job, trim, room.name, was.height).height, trim.section.projection)
        sizes = zip(mine, (was.height, was.projection), strict=True)
        if any(a is not None and b is not None and abs(a - b) > ALIKE for a, b in sizes):
            return True
        if trim.timber and old.timber and trim.timber != old.timber:
            return True
    return False


def _proved(job: Job, existing: Existing, room: Room, trim: Trim) -> bool:
    """Whether anything of the room itself speaks for a trim: a trace speaks for its own room."""
    stands = (
        old.member for wall in room.walls for old in (*wall.existing, *(o for w in wall.openings for o in w.existing))
    )
    return trim.member in {*(trace.member for trace in room.evidence), *stands} or any(
        upper_part(job, trim, room.name, piece) for piece in existing.pieces_on(room.name)
    )


def consents(job: Job, sheet: Sheet) -> Iterator[Consent]:
    """Each part of the job as it is usually seen; none where nobody is to be asked."""
    if not protection_of(job.building).asked:
        return
    law, views = law_of(job), load_table(__package__, "views")
    federal = () if job.building.region == "united-states" else (views.sources["standards"],)
    for name, of in proposals(job, sheet):
        row = views.row(name)
        what = f"{row['what']} ({of})" if of else row["what"]
        inputs = (Input("protection", job.building.protection or "", "", job.line(job.building, "protection")),)
        advised = tuple(source for source in row.sources if source not in federal)
        grounds = Grounds(inputs, row["why"], result=row["view"], sources=(*advised, *law.sources))
        yield Consent(
            what=what, view=row["view"], decides=law["decides"], have=law["have"], law=law["law"], grounds=grounds
        )


def _in_grounds(job: Job, law: Row) -> Iterator[Finding]:
    """Whether a building without protection of its own is protected with another in whose grounds it stands."""
    building, year = job.building, earliest(job)
    late = year is not None and year > law.get("grounds_to", year)
    if protection_of(building).asked or not law.get("grounds") or late or not job.works:
        return
    where = Where(line=job.line(building, "curtilage" if building.curtilage else "protection"))
    if building.curtilage is None:
        yield RULES["curtilage"].lacking(
            "whether the building stands in the grounds of a protected one",
            f"whether it is protected with it: {law['grounds']}",
            where,
            "Look for a house or church that it went with, and ask the planning authority.",
            "building, curtilage",
        )
    elif building.curtilage:
        says = f"The building stands in the grounds of a protected one, and {law['grounds']}. {NOT_LEGAL}"
        mend = "Survey its protection as that of the building it goes with; or have the authority say that it is free."
        yield RULES["curtilage"].told("hold", says, where, Grounds(sources=law.sources), mend)


def consent_findings(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Whether consent is needed: held where the inside is protected, until the decision that grants it is recorded."""
    building = job.building
    where = Where(line=job.line(building, "protection"))
    if building.protection in (None, "unknown"):
        if job.works:
            yield RULES["protection-not-surveyed"].lacking(
                "how the building is protected",
                "whether consent is needed, and so whether to begin is an offence",
                where,
                "Look in the list, or ask the planning authority.",
                "building, protection",
            )
        return
    law = law_of(job)
    yield from _in_grounds(job, law)
    protection, inputs = protection_of(building), (Input("protection", building.protection, "", where.line),)
    if building.protection == "conservation-area":
        sources = protection.row.sources if protection.row else ()
        grounds = Grounds(inputs, "what the law of the place controls inside", sources=sources)
        says = (
            "The building stands in a conservation area, which as a rule does not control the inside; confirm that "
            f"it is not listed as well. {NOT_LEGAL}"
        )
        yield RULES["conservation-area"].told("advice", says, where, grounds)
        return
    if not protection.asked or not job.works:
        return
    grounds = Grounds(inputs, law["law"].rstrip("."), sources=law.sources)
    alters = [c.what for c in consents(job, sheet) if c.view == "likely alteration"]
    told = f" Likely alteration: {'; '.join(alters)}." if alters else ""
    says = f"The building is {protection.says}. {law['law']} Who decides: {law['decides']}.{told} {NOT_LEGAL}"
    mend = f"Have in hand before work: {law['have']}. That none is needed is the authority's to say, in writing."
    yield RULES["consent"].told("hold", says, where, grounds, mend)
    if may_be_exempt(job) and building.exempt is None:
        yield RULES["exemption-not-surveyed"].lacking(
            "whether the church is worshipped in by a denomination that the law exempts (a minister's house is not "
            "exempt, nor a church that is lived in)",
            "whether the planning authority decides, or the denomination's own body by its faculty",
            where,
            "Ask the denomination first.",
            "building, exempt",
        )

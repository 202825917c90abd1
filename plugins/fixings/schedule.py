"""The stages: every run fixed and scheduled; what was set brought in step; the schedule judged as it then stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.core.survey.units import show_fine, show_length
from listel.plugins.fixings.along import fewer_than_two
from listel.plugins.fixings.bearing import Bearing, Place, bearing
from listel.plugins.fixings.choice import on_choice, too_short
from listel.plugins.fixings.judge import found_by_run, overloaded
from listel.plugins.fixings.line import Reckoned, chosen, fixing_line, grounds_of, has_choice, ours, reckon, unnamed
from listel.plugins.fixings.metal import metal
from listel.plugins.fixings.missing import missing_facts, unknown_substrate
from listel.plugins.fixings.results import Fixing, FixingSchedule
from listel.plugins.fixings.runs import places
from listel.plugins.fixings.size import sized
from listel.plugins.fixings.strength import code_of
from listel.plugins.fixings.wood import trim_timber
from listel.plugins.site import tables
from listel.plugins.timber import Movement

RULES = load_rules(__package__)
SET_KEYS = ("kind", "diameter", "length", "most_spacing")


def examine(job: Job, sheet: Sheet) -> Iterator[FixingSchedule]:
    """The schedule: a line for each run, in order."""
    yield FixingSchedule(tuple(given(place, sheet) for place in runs(job, sheet)))


def runs(job: Job, sheet: Sheet) -> list[Place]:
    """Every run that gets a line."""
    return [place for place in places(job, sheet) if isinstance(place, Place)]


def given(place: Place, sheet: Sheet) -> Fixing:
    """The line of a run as the person's choice, or we, have it."""
    found = bearing(place)
    if found is None or found.kind == "none":
        return unnamed(place)
    return fixing_line(used_here(place, found, sheet))


def used_here(place: Place, found: Bearing, sheet: Sheet) -> Reckoned:
    """The fixing of a run that the person chose, else ours."""
    return chosen(place, found, sheet) if has_choice(place.job.choices) else ours(place, found, sheet)


def follow(job: Job, sheet: Sheet, schedule: FixingSchedule) -> FixingSchedule:
    """The schedule with what follows from set keys in step: holes, embedment, points, load and what it may carry.

    Where no fixing can be named none can be set.
    """
    lines = zip(runs(job, sheet), sheet[FixingSchedule].lines, schedule.lines, strict=True)
    return FixingSchedule(
        tuple(
            was
            if now == was or found is None or found.kind == "none"
            else fixing_line(as_set(place, found, sheet, was, now))
            for place, was, now in lines
            for found in [bearing(place)]
        )
    )


def as_set(place: Place, found: Bearing, sheet: Sheet, was: Fixing, now: Fixing) -> Reckoned:
    """The run with the fixing that was set; what was not set stays as the survey chose it, or is sized for it."""
    person = place.job.choices
    fresh = {key: getattr(now, key) for key in SET_KEYS if getattr(now, key) != getattr(was, key)}
    sizes = fresh if "kind" in fresh else {key: getattr(now, key) for key in SET_KEYS}
    choices = replace(
        person,
        fixing=(now.kind,),
        fixing_diameter=sizes.get("diameter", person.fixing_diameter),
        fixing_length=sizes.get("length", person.fixing_length),
        spacing=fresh.get("most_spacing", person.spacing),
    )
    place, timber = replace(place, job=replace(place.job, choices=choices)), trim_timber(place.job, place.trim)
    size = sized(place, found, now.kind, timber, choices)
    return reckon(place, found, size, timber, sheet, sizes.get("most_spacing", person.spacing))


def judge(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Findings about the fixings of the job as they stand in the end, each said once for its place."""
    serve: list[Finding] = []
    for finding in RULES.hardest(judged(job, sheet), job.units):
        if finding.rule == "fixings/choice-serves":
            serve.append(finding)
        else:
            yield finding
    if serve:
        yield served(serve)
    if sheet[FixingSchedule].lines:
        yield by_code(job)


def served(found: list[Finding]) -> Finding:
    """One finding that the choice serves, for all the trims it serves for."""
    if len(found) == 1:
        return found[0]
    *most, last = dict.fromkeys(f"the {one.where.trim}" for one in found)
    trims = f"{', '.join(most)} and {last}" if most else last
    first = found[0].grounds
    grounds = replace(
        first,
        inputs=tuple(dict.fromkeys(given for one in found for given in one.grounds.inputs)),
        worked="; ".join(dict.fromkeys(f"{one.where.trim}: {one.grounds.worked}" for one in found)),
        sources=tuple(dict.fromkeys(source for one in found for source in one.grounds.sources)),
    )
    says = (
        f"The fixing chosen serves for {trims} wherever nothing else is said; the schedule gives its length wall by "
        "wall."
    )
    return replace(found[0], says=says, where=Where(line=found[0].where.line), grounds=grounds)


def judged(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """The findings of each run, in order."""
    lines = iter(sheet[FixingSchedule].lines)
    for place in places(job, sheet):
        if isinstance(place, Finding):
            yield place
            continue
        line, found = next(lines), bearing(place)
        if found is None or found.kind == "none":
            if found is None:
                yield unknown_substrate(place)
            continue
        yield from missing_facts(place, found)
        ours_here = ours(place, found, sheet)
        if place.old:
            yield from overloaded(ours_here, line)
            yield from fewer_than_two(ours_here, ours_here.layout) if ours_here.layout else ()
            continue
        used = chosen(place, found, sheet) if has_choice(job.choices) else ours_here
        if any(getattr(line, key) != value for key, value in used.settable.items()):
            used = as_set(place, found, sheet, fixing_line(used), line)
        yield from found_by_run(used, line)
        if used is not ours_here:
            yield from on_choice(used, ours_here)
        else:
            yield from too_short(used, ours_here)
            yield from drawn_in(used)
        yield from stained(used)
        yield from rows_apart(used, sheet)


def by_code(job: Job) -> Finding:
    """Which timber code the schedule is reckoned by."""
    choices, building = job.choices, job.building
    name = "the NDS" if code_of(choices.code, building.region) == "nds" else "Eurocode 5"
    if choices.code:
        known = Input("code", choices.code, line=job.line(choices, "code"))
    elif building.region:
        known = Input("region", building.region, line=job.line(building, "region"))
    else:
        known = Input("code", "eurocode-5", assumed=True, note="neither the region nor a code was surveyed")
    return RULES["timber-code"].told(
        "record",
        f"Fixings in timber are reckoned after {name}. Trim is not structure: this ranks and warns, and certifies "
        "nothing.",
        grounds=Grounds((known,), "the person's choice, else the NDS in the United States, else Eurocode 5"),
    )


def drawn_in(used: Reckoned) -> Iterator[Finding]:
    """Where the load, not the custom, sets how far apart our fixings stand."""
    place = used.place
    if used.most >= used.row["most"]:
        return
    yield RULES["spacing-set-by-load"].told(
        "record",
        f"The fixings of {place.trim.name} on wall {place.wall.name} stand closer than custom asks, because of "
        f"what they carry.",
        Where(place.room.name, place.wall.name, place.trim.name, line=place.job.line(place.wall)),
        grounds_of(used),
    )


def rows_apart(used: Reckoned, sheet: Sheet) -> Iterator[Finding]:
    """A tall solid board is held in two rows, and may shrink and swell between them."""
    trim, out, job = used.place.trim, used.layout, used.place.job
    limit, height = used.row.get("two_rows_over"), trim.section.height
    two = limit is not None and out is not None and len(out.down) == 2
    if not two or height is None or out is None or tables.timber_kind(trim.timber) == "board":
        return
    movement = sheet.get(Movement)
    whole = next((line.width_high for line in (movement.lines if movement else ()) if line.trim == trim.name), None)
    apart = out.down[1] - out.down[0]
    between = None if whole is None else whole * apart / height
    length, fine = partial(show_length, units=job.units), partial(show_fine, units=job.units)
    line = job.line(trim, "section")
    known = (
        Input("height of the section", height, "mm", line),
        Input("rows apart", apart, "mm"),
        Input("seasonal movement", "not reckoned" if whole is None else whole, "" if whole is None else "mm"),
    )
    moves = "" if between is None else f", and between them it moves by up to {fine(between)} between seasons"
    yield RULES["two-rows"].told(
        "advice",
        f"The {trim.name} is a tall solid board, fixed in two rows, {length(out.down[0])} and {length(out.down[1])} "
        f"down from its top edge{moves}: held tight along both it may split.",
        Where(trim=trim.name, line=line),
        Grounds(
            known,
            f"solid boards over {limit} mm have two rows; movement x distance between them / height",
            result="" if between is None else f"{between:.2f} mm",
            sources=used.row.sources,
        ),
        "Fix the upper row tight; make the holes of the lower row as much longer up and down"
        + (" as it moves" if between is None else f", {fine(between)},")
        + " and leave its screws a hair slack, or nail it, for a nail gives.",
        moves=between or 0.0,
    )


def stained(used: Reckoned) -> Iterator[Finding]:
    """What acid timber does to plain steel."""
    row, why = metal(used.place, used.timber)
    if row.name != "acid":
        return
    trim = used.place.trim
    yield RULES["acid-timber"].told(
        "advice",
        f"The {trim.name} is of an acid timber: use {row['metal']}, for {row['why']}.",
        Where(trim=trim.name, line=used.place.job.line(trim, "timber")),
        Grounds(why, "acid timber first, then damp, then lime", sources=row.sources),
    )

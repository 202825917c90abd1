"""What the zones say of the rail and the fixings, and what was not surveyed to tell them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.core.survey.units import show_length
from listel.plugins.fixings import Fixing, FixingPoint, loose_end
from listel.plugins.safety.crossings import bands
from listel.plugins.safety.hazards import fixing_lines
from listel.plugins.safety.relations import penetration
from listel.plugins.safety.results import Crossing
from listel.plugins.safety.rows import board_height, clear_heights
from listel.plugins.safety.services import Face, near, walls_in_words
from listel.plugins.safety.zones import ceilings, in_words, policy, reverse_counts, rule_of

RULES = load_rules(__package__)

SEARCH = "Have the wall searched, and what runs in it isolated and proved dead."


def service_findings(job: Job, sheet: Sheet, found: Sequence[Face]) -> Iterator[Finding]:
    """What the zones say of the rail, the fixings, and what was not surveyed."""
    if not found:
        return
    yield always(job, found)
    yield from moved_told(job, sheet)
    yield from rows_told(job, sheet)
    yield from passed_over(job, found)
    yield from stood_findings(job, sheet, found)
    yield from deep(job, sheet)
    yield from unknown(job, sheet, found)


def always(job: Job, found: Sequence[Face]) -> Finding:
    """The caution that goes with every set of zones: old wiring may ignore them."""
    rule = rule_of(job)
    region = job.building.region
    inputs = (Input("region", region or "not surveyed", "", job.line(job.building, "region"), region is None),)
    lead = "" if region else "The region was not surveyed. "
    mend = "Search every wall on both faces with the circuits live, then isolate and prove dead, before the first hole."
    grounds = Grounds(inputs, sources=rule.sources)
    return RULES["old-wiring"].told("caution", f"{lead}{rule['warning']}", grounds=grounds, mend=mend)


def moved_told(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Which fixings were moved out of a zone, room by room."""
    lines = Lines(fixing_lines(sheet))
    for room in job.rooms:
        moved = [(line, p) for line in lines.of(room=room.name) for p in line.points if p.moved]
        if not moved:
            continue
        inputs = (
            Input("clear of a zone", policy("clear"), "mm", assumed=True, note="our own setting"),
            Input("farthest first fixing", loose_end(job.units), "mm", assumed=True, note="our own setting"),
        )
        worked = "; ".join(
            f"{trim}, wall {wall}: {', '.join(_moved_from(job, line, point) for line, point in points)}"
            for (trim, wall), points in _by_run(moved).items()
        )
        formula = "to the nearest place outside every zone that the spacing, the ends and what bears the fixing allow"
        count = "One fixing was" if len(moved) == 1 else f"{len(moved)} fixings were"
        walls = by_trim((line.trim, line.wall) for line, _ in moved)
        says = f"{count} moved out of service zones in the {room.name}, within the spacing allowed: {walls}."
        where = Where(room.name, line=job.line(room))
        grounds = Grounds(inputs, formula, worked, sources=(GEOMETRY,))
        yield RULES["fixings-moved"].told("record", says, where, grounds)


def rows_told(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Each row of fixings that was moved up or down its board."""
    for line in fixing_lines(sheet):
        pairs = [(was, now) for was, now in zip(line.rows_first, line.rows_down, strict=False) if was != now]
        if not pairs:
            continue
        how = _and([f"from {show_length(was, job.units)} to {show_length(now, job.units)}" for was, now in pairs])
        yield RULES["rows-moved"].told(
            "record",
            f"A row of fixings of the {line.trim} on wall {line.wall} was moved out of a service zone, {how} down from "
            "its top edge.",
            Where(line.room, line.wall, line.trim, station=line.start),
            Grounds(
                tuple(
                    Input(says, policy(name), "mm", assumed=True, note="our own setting")
                    for name, says in (("clear", "clear of a zone"), ("row-edge", "least from the edge of the board"))
                ),
                "to the nearest height outside every zone along it: one row in the middle half of the board, each of "
                "several in its own share",
                sources=(GEOMETRY, *RULES["rows-moved"].sources),
            ),
            moved=max(abs(now - was) for was, now in pairs),
        )


def _moved_from(job: Job, line: Fixing, point: FixingPoint) -> str:
    return f"{_stands(job, line, point)} from {show_length(point.first or 0.0, job.units)}"


def _by_run(moved: Sequence[tuple[Fixing, FixingPoint]]) -> dict[tuple[str, str], list[tuple[Fixing, FixingPoint]]]:
    runs: dict[tuple[str, str], list[tuple[Fixing, FixingPoint]]] = {}
    for line, point in moved:
        runs.setdefault((line.trim, line.wall), []).append((line, point))
    return runs


def by_trim(pairs: Iterable[tuple[str, str]]) -> str:
    """Trims with their walls in words: "skirting and dado rail on walls A and B; picture rail on wall C"."""
    walls: dict[str, dict[str, None]] = {}
    for trim, wall in pairs:
        walls.setdefault(trim, {})[wall] = None
    together: dict[tuple[str, ...], list[str]] = {}
    for trim, on in walls.items():
        together.setdefault(tuple(on), []).append(trim)
    return "; ".join(f"{_and(trims)} on {_wall_names(list(on))}" for on, trims in together.items())


def _stands(job: Job, line: Fixing, point: FixingPoint) -> str:
    if line.upright and point.height is not None:
        return f"{show_length(point.height, job.units)} up"
    return show_length(point.station, job.units)


def stood_findings(job: Job, sheet: Sheet, found: Sequence[Face]) -> Iterator[Finding]:
    """Fixings left in a zone, wall by wall; those on gas are another's to take out, so they are told apart. A wall that
    is drilled outside every zone is searched too."""
    lines = Lines(fixing_lines(sheet))
    for face in found:
        gas = [crossing for crossing in face.in_zone if crossing.kind == "gas"]
        others = [crossing for crossing in face.in_zone if crossing.kind != "gas"]
        if others:
            until = "a cable or pipe may run", "until it is searched, isolated and proved dead"
            mend = SEARCH
            mend += _heights_clear(job, sheet, face, others)
            yield _held(job, face, others, RULES["fixing-in-zone"], until, mend)
        elif points := sum(len(line.points) for line in lines.of(room=face.room.name, wall=face.wall.name)):
            yield _unsearched(job, face, points)
        if gas:
            until = "a gas pipe runs", "while it is there, dead or not"
            mend = (
                "Have a gas engineer take it out, and leave it out of the survey; or leave those fixings out, and hold "
                "the trim above or below the pipe."
            )
            mend += _heights_clear(job, sheet, face, gas)
            yield _held(job, face, gas, RULES["fixing-on-gas"], until, mend)


def _heights_clear(job: Job, sheet: Sheet, face: Face, crossed: Sequence[Crossing]) -> str:
    """Which heights on each board are outside the zones that its fixings stand in, in words; empty where none is."""
    words, trims = {crossing.zone for crossing in crossed}, {crossing.trim for crossing in crossed}
    zones = [zone for zone in face.zones if in_words(zone) in words]
    clear: dict[str, None] = {}
    for line in Lines(fixing_lines(sheet)).of(room=face.room.name, wall=face.wall.name):
        height = board_height(job, line) if line.trim in trims else None
        spans = clear_heights(line, face.site, zones, height) if height else []
        between = [f"{show_length(a, job.units)} to {show_length(b, job.units)}" for a, b in spans]
        if between:
            clear[f" Of the {line.trim} {_and(between)} down from its top edge is clear of that."] = None
    return "".join(clear)


def _unsearched(job: Job, face: Face, points: int) -> Finding:
    """The hold on a wall whose fixings all stand outside the zones."""
    says = (
        f"Wall {face.wall.name} of the {face.room.name} takes {'one fixing' if points == 1 else f'{points} fixings'}. "
        f"{'It stands' if points == 1 else 'All stand'} where no cable or pipe is expected, but old wiring keeps to no "
        "zone: nothing is drilled or nailed there until it is searched on both faces."
    )
    mend = SEARCH
    where = Where(face.room.name, face.wall.name, line=job.line(face.wall))
    return RULES["wall-not-searched"].told("hold", says, where, Grounds(sources=rule_of(job).sources), mend)


def _held(job: Job, face: Face, crossed: Sequence[Crossing], rule: Rule, until: tuple[str, str], mend: str) -> Finding:
    """The hold on fixings of one wall; ``until``: what is there, and until when nothing is drilled."""
    zones = list(dict.fromkeys(crossing.zone for crossing in crossed))
    first = min(crossed, key=lambda crossing: crossing.start)
    trims = list(dict.fromkeys(crossing.trim for crossing in crossed))
    where = Where(
        face.room.name,
        face.wall.name,
        trims[0] if len(trims) == 1 else "",
        station=first.start,
        height=first.height,
        line=job.line(face.wall),
    )
    fixings = {(crossing.trim, crossing.start, crossing.height) for crossing in crossed}
    stations = [show_length(x, job.units) for x in sorted({crossing.start for crossing in crossed})]
    says = (
        f"{'Some fixings' if len(fixings) > 1 else 'A fixing'} of the {_and(trims)} on wall {face.wall.name} of "
        f"the {face.room.name} would have to go where {until[0]}: at {_and(stations)}, in {_and(zones)}. No drilling "
        f"or nailing there {until[1]}."
    )
    return rule.told("hold", says, where, _grounds(face, crossed), mend)


def _wall_names(names: list[str]) -> str:
    return f"{'wall' if len(names) == 1 else 'walls'} {_and(names)}"


def passed_over(job: Job, found: Sequence[Face]) -> Iterator[Finding]:
    """Where trim passes over zones without a fixing in them, room by room."""
    for room in job.rooms:
        here = [face for face in found if face.room.name == room.name and face.crossings]
        over = by_trim((c.trim, face.wall.name) for face in here for c in face.crossings)
        if not over:
            continue
        says = f"In the {room.name} trim passes over service zones: {over}. Add no fixing there on site."
        sources = tuple(dict.fromkeys(s for face in here for zone in face.zones for s in zone.grounds.sources))
        grounds = Grounds(formula="a place lies in a zone within its bounds, the bounds included", sources=sources)
        where = Where(room.name, line=job.line(room))
        yield RULES["rail-crosses-zone"].told("record", says, where, grounds)


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _grounds(face: Face, crossed: Sequence[Crossing]) -> Grounds:
    words = {crossing.zone for crossing in crossed}
    found = {
        f"wall {face.wall.name}, {in_words(zone)}: {zone.grounds.result}": zone
        for zone in face.zones
        if in_words(zone) in words
    }
    inputs = tuple(dict.fromkeys(item for zone in found.values() for item in zone.grounds.inputs))
    sources = tuple(dict.fromkeys(source for zone in found.values() for source in zone.grounds.sources))
    formula = "a place lies in a zone within its bounds, the bounds included"
    return Grounds(inputs, formula, "; ".join(found), sources=sources)


def deep(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Fixings that reach as deep as cables need no zone: they may meet one anywhere on the wall."""
    rule, trims = rule_of(job), {trim.name: trim for trim in job.trim}
    reaching: dict[str, tuple[float, Grounds]] = {}
    for line in fixing_lines(sheet):
        trim = trims.get(line.trim)
        thick = trim.section.thick if trim else None
        if line.length is None or thick is None or not line.points:
            continue
        into = penetration(line.length, thick + line.off, policy("punch"))
        if into < rule["deep"] or into <= reaching.get(line.trim, (0.0, Grounds()))[0]:
            continue
        inputs = (
            Input("length of the fixing", line.length, "mm"),
            Input("thickness of the trim", thick, "mm"),
            *([Input("what it stands on the face of", line.off, "mm")] if line.off else []),
            Input("sunk below the face", policy("punch"), "mm", assumed=True, note="custom"),
        )
        trims_off = f"{thick:g} mm" + (f" - {line.off:g} mm" if line.off else "")
        worked = f"{line.length:g} mm - {trims_off} + {policy('punch'):g} mm = {into:g} mm"
        reaching[line.trim] = (
            into,
            Grounds(inputs, "length, less the trim, plus the depth sunk", worked, f"{into:g} mm", rule.sources),
        )
    if not reaching:
        return
    depths = _and([f"{show_length(into, job.units)} of the {name}" for name, (into, _) in reaching.items()])
    says = (
        f"Fixings go deep into the wall: {depths}. From {show_length(rule['deep'], job.units)} on {rule['rule']} "
        "lets a cable run unguarded, so being outside a zone does not clear them."
    )
    mend = "Use a shorter fixing where the bearing allows, or trace what runs in the wall."
    (_, first), worked = next(iter(reaching.values())), "; ".join(f"{n}: {g.worked}" for n, (_, g) in reaching.items())
    of_all = tuple(dict.fromkeys(item for _, grounds in reaching.values() for item in grounds.inputs))
    where = Where(trim=next(iter(reaching)) if len(reaching) == 1 else "")
    grounds = Grounds(of_all, first.formula, worked, sources=first.sources)
    yield RULES["deep-fixing"].told("caution", says, where, grounds, mend, into=max(i for i, _ in reaching.values()))


def unknown(job: Job, sheet: Sheet, found: Sequence[Face]) -> Iterator[Finding]:
    """What was not surveyed, one finding for each fact: fittings, the other face, heights and lengths."""
    bare = [face for face in found if not face.wall.fittings and not face.record]
    if bare:
        what = f"any fitting on {walls_in_words(bare)} (none were noted, which is not the same as none there)"
        mend = "Note every socket, switch, light and pipe, or have the wall searched."
        yield RULES["fittings-not-surveyed"].lacking(what, "where cables may run", _where(job, bare), mend)
    backs = [face for face in found if reverse_counts(job, face.wall) and not face.wall.behind and not face.record]
    if backs:
        what = f"the fittings on the other face of {walls_in_words(backs)}"
        yield RULES["other-face-not-surveyed"].lacking(
            what, "whether their cables run in the same wall", _where(job, backs)
        )
    table = load_table(__package__, "fittings")
    low = [f for f in found if any(item.height is None and item.kind in table for item in near(job, f.wall))]
    if low:
        yield RULES["fitting-height"].lacking(
            f"the height of some fittings on {walls_in_words(low)}",
            "the zone level with them",
            _where(job, low),
        )
    tall = [face for face in found if not ceilings(face.room, face.site)]
    if tall and rule_of(job).get("top"):
        yield RULES["wall-height"].lacking(
            f"the height of {walls_in_words(tall)}",
            "the zone below the top of the wall",
            _where(job, tall),
        )
    long = [face for face in found if face.wall.length is None]
    if long:
        yield RULES["wall-length"].lacking(
            f"the length of {walls_in_words(long)}",
            "the zone at the far corner",
            _where(job, long),
        )
    unknown_heights = sorted({band.trim for band in bands(job, sheet) if not band.knots})
    if unknown_heights:
        what = f"the height of the {_and(unknown_heights)}"
        yield RULES["rail-height"].lacking(
            what, "whether it lies level with a fitting or in the zone below the top of the wall"
        )


def _where(job: Job, some: Sequence[Face]) -> Where:
    if len(some) == 1:
        return Where(some[0].room.name, some[0].wall.name, line=job.line(some[0].wall))
    rooms = {face.room.name for face in some}
    return Where(rooms.pop() if len(rooms) == 1 else "", line=job.line(some[0].wall))

"""Where a run may be jointed because no board is long enough, and why there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job, Trim
from listel.plugins.setting_out.bows import check_bows
from listel.plugins.setting_out.ends import along_rake, return_pieces, scarf_overlap
from listel.plugins.setting_out.faces import Faces
from listel.plugins.setting_out.old_work import splices
from listel.plugins.setting_out.on_faces import framed_stretch
from listel.plugins.setting_out.pieces import cut_room, labelled
from listel.plugins.setting_out.results import Piece, Run, RunKey
from listel.plugins.setting_out.runs import Laid
from listel.plugins.setting_out.settings import allowance, lengths, longest_piece
from listel.plugins.setting_out.spans import EyeLines
from listel.plugins.setting_out.whole import LongRun, Places, WholeRuns
from listel.plugins.site import Site, WallSite, tables

RULES = load_rules(__package__)
GRID = 50.0


def bearers(wall: WallSite, run: Run) -> tuple[list[float], str, bool]:
    """Stations where a joint can be fixed soundly, what they are, and whether they were surveyed."""
    inside = (run.start + GRID, run.end - GRID)
    if run.board:
        return grid(run), f"the {run.board} behind it", True
    if studs := [at for at in wall.studs if inside[0] < at < inside[1]]:
        return studs, "a stud", True
    if any(_behind(ground.height, ground.width, run) and ground.start is None for ground in wall.grounds):
        return grid(run), "the timber ground", True
    if len(plugs := [at for at in wall.plugs if inside[0] < at < inside[1]]) > 1:
        return plugs, "an old plug", True
    if tables.bears_anywhere(wall.wall):
        return grid(run), "solid wall", True
    return grid(run), "a stud or other sound fixing", False


def grid(run: Run) -> list[float]:
    """Stations all along a run."""
    return [run.start + GRID * n for n in range(1, int((run.end - run.start) / GRID))]


def _behind(height: float, width: float | None, run: Run) -> bool:
    """Whether a ground at that height lies behind the run."""
    half = (width or 0.0) / 2
    return (
        run.top is not None
        and run.underside is not None
        and run.underside <= height + half
        and height - half <= run.top
    )


def whole_runs(job: Job, sheet: Sheet, laid: Laid, eye_lines: EyeLines) -> WholeRuns:
    """What is laid out, every run in one piece but those that no board makes: cut in the middle for the time being, so
    that the ends of all pieces are as they will be."""
    trims = {trim.name: trim for trim in job.trim}
    longest = {trim.name: longest_piece(job, trim)[0] for trim in job.trim}
    rooms = sheet[Site].rooms
    panelled = [run for run in laid.runs if tables.goes_in_frames(run.member)]
    shuttered = [run for run in laid.runs if tables.goes_at_windows(run.member)]
    laid.runs = [run for run in laid.runs if run not in (*panelled, *shuttered)]
    runs = Lines(laid.runs)
    bows, _ = check_bows(job, runs)
    along = {key_of(run): run for run in laid.runs if not tables.framed(run.member)}
    halved: dict[RunKey, tuple[float, ...]] = {}
    cut: dict[str, list[Piece]] = {}
    ends: dict[RunKey, Piece] = {}
    asked = [room.name for room in job.rooms]
    while asked:
        cut |= {name: cut_room(job, job.room(name), runs, halved, set(), bows).pieces for name in asked}
        ends |= _by_start(piece for name in asked for piece in cut[name])
        more = [key for key in along if key not in halved and ends[key].overall > longest[key[2]]]
        halved |= {key: ((along[key].start + along[key].end) / 2,) for key in more}
        asked = list(dict.fromkeys(key[0] for key in more))
    pieces = labelled(job, [piece for made in cut.values() for piece in made])
    ends = _by_start(pieces)
    faces = Faces(job, sheet, (*laid.runs, *panelled))
    long = [
        _long(
            sheet[Site].wall(*key[:2]),
            along[key],
            trims[key[2]],
            longest[key[2]],
            ends[key],
            ends[(*key[:3], middle)],
            eye_lines,
            next((bow.longer for bow in bows.of(room=key[0], wall=key[1], trim=key[2])), 0.0),
            faces,
        )
        for key, (middle,) in halved.items()
    ]
    jointed = {id(half) for run in long for half in run.halves}
    whole = [piece for piece in pieces if id(piece) not in jointed]
    return WholeRuns(
        runs=tuple(laid.runs),
        panelled=tuple(framed_stretch(rooms[run.room], run) for run in panelled),
        shuttered=tuple(shuttered),
        blocked=tuple(laid.blocked),
        notched=tuple(laid.notched),
        pieces=(*whole, *return_pieces(pieces), *splices(job, sheet)),
        long=tuple(long),
    )


def _by_start(pieces: Iterable[Piece]) -> dict[RunKey, Piece]:
    """The pieces along walls by what they are of and where they start."""
    return {(piece.room, piece.wall, piece.trim, piece.start): piece for piece in pieces if not piece.upright}


def key_of(run: Run) -> RunKey:
    """What names a run."""
    return run.room, run.wall, run.trim, run.start


def _long(
    wall: WallSite,
    run: Run,
    trim: Trim,
    longest: float,
    first: Piece,
    last: Piece,
    eye_lines: EyeLines,
    longer: float,
    faces: Faces,
) -> LongRun:
    """One run that must be jointed: over something sound; clear of radiator ends and of what a door looks straight at,
    as far as the fewest joints allow; on a block let in behind where nothing sound stands right; before panelling
    wherever it stands on that. ``longer``: what a board over the whole wall gains round its bow [mm]."""
    lap = scarf_overlap(trim)
    rake = along_rake(1.0, run.pitch) + (longer / wall.length if wall.length else 0.0)
    total = first.overall + last.overall - lap
    fewest = max(1, ceil((total - longest - 1e-9) / max(longest - lap, allowance("least-piece"))))
    seen = eye_lines.get((run.room, run.wall))
    stations, over, found = bearers(wall, run)
    kinds = [(stations, over, found), (grid(run), "a block let in behind", False)]
    before = [(faces.backed(run, there), over, found) for there, over, found in kinds] if run.off else []
    places = [_places(wall, run, *kind, seen or ()) for kind in (*before, *kinds)]
    return LongRun(
        room=run.room,
        wall=run.wall,
        trim=run.trim,
        start=run.start,
        end=run.end,
        total=total,
        before=first.overall - lap / 2 - (first.end - first.start) * rake,
        rake=rake,
        lap=lap,
        least=min(allowance("least-jointed"), total / (fewest + 1) / 2),
        longest=longest,
        places=tuple(places),
        seen=seen,
        apart=allowance("stagger"),
        halves=(first, last),
    )


def _places(wall: WallSite, run: Run, stations: list[float], over: str, found: bool, seen: tuple[float, ...]) -> Places:
    out_of_sight = [at for at in stations if not near([at], seen, allowance("eye-line"))]
    ends, least = radiator_ends(wall, run), allowance("radiator-end")
    clear = [at for at in out_of_sight if not near([at], ends, least)]
    return Places(over=over, found=found, tiers=(tuple(clear), tuple(out_of_sight), tuple(stations)))


def radiator_ends(wall: WallSite, run: Run) -> list[float]:
    """Both ends of every radiator that reaches up to the run."""
    usual = load_table(__package__, "clearances").row("radiator")["width"]
    return [
        end
        for fitting in wall.fittings
        if fitting.kind == "radiator"
        and (run.underside is None or fitting.height is None or run.underside < fitting.height + (fitting.depth or 0.0))
        for end in (fitting.at, fitting.at + (usual if fitting.width is None else fitting.width))
    ]


def near(stations: Iterable[float], others: Iterable[float], distance: float) -> bool:
    """Whether any of these stations lies nearer than that to one of the others."""
    others = list(others)
    return any(abs(at - other) < distance for at in stations for other in others)


def joint_findings(job: Job, long: Iterable[LongRun], chosen: Mapping[RunKey, tuple[float, ...]]) -> Iterable[Finding]:
    """Where each long run is jointed, over what, and what else holds of it."""
    trims = {trim.name: trim for trim in job.trim}
    by_wall: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for (room, wall, trim, _), placed in chosen.items():
        by_wall.setdefault((room, wall), []).extend((trim, at) for at in placed)
    for run in long:
        stations = chosen.get(run.key, ())
        if stations:
            others = [at for trim, at in by_wall[run.room, run.wall] if trim != run.trim]
            yield _joint_finding(job, trims[run.trim], run, stations, others)


def _joint_finding(job: Job, trim: Trim, run: LongRun, stations: tuple[float, ...], others: list[float]) -> Finding:
    show = lengths(job)
    places = next((each for each in run.places if set(stations) <= set(each.tiers[-1])), run.places[-1])
    where = Where(run.room, run.wall, run.trim, station=stations[0])
    says = (
        f"The {run.trim} on wall {run.wall} is longer than one board: scarf it at "
        f"{', '.join(show(at) for at in stations)}, over {places.over}"
    )
    if run.seen is not None:
        clear = not near(stations, run.seen, allowance("eye-line"))
        says += ", out of the straight view through a door" if clear else ", although a door looks straight at it"
    says += "; a joint of another member stands close by." if near(stations, others, run.apart) else "."
    needs = Input("the run from long point to long point", run.total, "mm")
    formula = "as few joints as the boards allow, over something sound; of those the ones whose boards cost least"
    grounds = Grounds((needs, longest_piece(job, trim)[1]), formula, sources=(PRACTICE,))
    if places.found:
        return RULES["joint-placed"].told("record", says, where, grounds)
    return RULES["joint-bearer-unknown"].told(
        "advice",
        says + " What is behind the wall there was not surveyed.",
        where,
        grounds,
        mend="find the stud or a sound fixing, and move the joint to it",
    )

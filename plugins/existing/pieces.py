"""Old trim piece by piece: what the survey says of each, and what happens to it."""

from __future__ import annotations

from math import cos, radians

from listel.core.contract.findings import Grounds, Input, Where
from listel.core.contract.tables import Row, open_table
from listel.core.survey.job import Damage, ExistingTrim, Job, OldTrim, Room, Trim, Wall
from listel.core.survey.units import show_length
from listel.plugins.existing import figures
from listel.plugins.existing.results import OldPiece
from listel.plugins.site import Site, flight_of, tables

PAINTED = (None, "paint")


def place(piece: OldPiece) -> Where:
    """Where a finding about a piece stands."""
    at = None if piece.opening else piece.start
    return Where(piece.room, piece.wall, piece.trim, piece.label, at, line=piece.line)


def span(old: OldTrim) -> tuple[float, float | None]:
    """Where it begins and ends: as surveyed, else all of what bears it; the end None where that was not taped."""
    said, start = old.said, old.said.start or 0.0
    if said.end is not None:
        return start, said.end
    if old.opening is None:
        return start, old.wall.length.value if old.wall.length else None
    width = old.opening.architrave or said.section.height or 0.0
    across, up = old.opening.width + 2 * width, old.opening.height
    if said.side == "head":
        return start, across
    leg = None if up is None else up + width
    return start, leg if said.side or leg is None else 2 * leg + across


def trim_of(job: Job, old: OldTrim) -> Trim | None:
    """The trim whose timber mends it: the one it names, else that of its member on its wall or in its room, else the
    only one of its member in the job."""
    if old.said.trim:
        return next((trim for trim in job.trim if trim.name == old.said.trim), None)
    mine = [trim for trim in job.trim if trim.member == old.said.member]
    for room, name in ((old.room.name, old.wall.name), (old.room.name, "")):
        for trim in mine:
            if any(name in ("", wall.name) for _, wall, _, _ in job.places(trim, room)):
                return trim
    return mine[0] if len(mine) == 1 else None


def seen_from(site: Site, old: OldTrim) -> list[tuple[Room, Wall]]:
    """The wall it is on; of a lining the wall it is seen from in the other room too."""
    through = old.opening is not None and tables.goes_through_openings(old.said.member)
    other = site.other_side(old.room, old.wall, old.opening) if through and old.opening else None
    return [(old.room, old.wall), *([(other.room, other.wall)] if other else [])]


def told_of(job: Job, site: Site, old: OldTrim) -> list[str]:
    """The names of the trims that what stands there tells of: the one that it is for, or is mended from; else those of
    its member that come into its room."""
    if old.said.trim or old.said.intent == "repair":
        trim = trim_of(job, old)
        return [trim.name] if trim else []
    rooms = [room.name for room, _ in seen_from(site, old)]
    return [trim.name for room in rooms for trim in job.trims_in(room) if trim.member == old.said.member]


def sizes(job: Job, old: OldTrim) -> tuple[float | None, float | None, tuple[Input, ...]]:
    """Height and thickness of its section, with what they rest on; taken as those of the new trim, and shown so, where
    they were not surveyed; what stands is no higher than its top edge."""
    said, trim = old.said.section, trim_of(job, old)
    as_new = trim.section.height if trim else None
    if as_new is not None and old.said.top is not None and tables.member(old.said.member).get("stands"):
        as_new = min(as_new, old.said.top)
    given: list[Input] = []
    values: list[float | None] = []
    for name, own, theirs, key in (
        ("height", said.height, as_new, "height"),
        ("thickness", said.thick, trim.section.thick if trim else None, "projection"),
    ):
        value = theirs if own is None else own
        values.append(value)
        if value is not None:
            note = "as the new trim's" if own is None else ""
            given.append(Input(name, value, "mm", job.line(said, key), assumed=own is None, note=note))
    return values[0], values[1], tuple(given)


def piece_of(job: Job, old: OldTrim) -> OldPiece:
    """One piece of old trim with what happens to it."""
    said, (start, end) = old.said, span(old)
    row = figures.intent(said.intent) if said.intent else None
    height, thick, given = sizes(job, old)
    trim = trim_of(job, old)
    by_window = tables.goes_at_windows(said.member)
    length = 0.0 if by_window else None if end is None else max(0.0, end - start) / _slope(old)
    stays, off = row is None or bool(row.get("stays")), comes_off(said, row)
    member = tables.member(said.member)["says"]
    return OldPiece(
        label=old.label,
        member=said.member,
        room=old.room.name,
        wall=old.wall.name,
        opening=_opening_key(job, old),
        side=said.side or "",
        flight=old.flight.name if old.flight else "",
        trim=trim.name if trim else "",
        start=start,
        end=end,
        length=length,
        height=height,
        thick=thick,
        out=said.section.projection,
        top=said.top if said.top is not None else height if tables.member(said.member).get("stands") else None,
        state=said.state or "",
        intent=said.intent or "",
        stays=stays,
        comes_off=off,
        painted=said.finish in PAINTED,
        paint=said.paint or "",
        original=said.original or "",
        what=f"{member}, {figures.state(said.state)['says'] if said.state else 'its state not surveyed'}",
        where=old.where + _stations(job, old, start, end),
        worth=worth(said),
        happens=row["says"] if row else "not decided: it stays until it is",
        why=why(said),
        given=bool(said.reason),
        hides=said.hides,
        arsenic=any(open_table(__package__, "finds").row(name).get("arsenic") for name in said.hides),
        alive=alive(old),
        spreads=any(figures.damage(each.kind).get("spreads") for each in said.damage),
        considered=said.considered,
        agreed=said.agreed,
        refixing=refixing(job, said) if off and stays else "",
        undone=row["undone"] if row else "nothing to undo",
        kept_at=said.kept_at,
        counted=row["total"] if row else "not decided",
        photos=said.photos,
        line=job.line(said),
        grounds=Grounds(
            (
                Input("state", said.state or "not surveyed", line=job.line(said, "state")),
                Input("intent", said.intent or "not surveyed", line=job.line(said, "intent")),
                *given,
            ),
            "keep before refix, refix before repair, repair before replace",
            sources=row.sources if row else (),
        ),
    )


def _opening_key(job: Job, old: OldTrim) -> str:
    if old.opening is None:
        return ""
    return old.opening.name or f"{old.opening.kind} at {show_length(old.opening.at, job.units)}"


def _slope(old: OldTrim) -> float:
    pitch = flight_of(old.flight).pitch if old.flight else None
    return cos(radians(pitch)) if pitch else 1.0


def _stations(job: Job, old: OldTrim, start: float, end: float | None) -> str:
    """From where to where it goes, in words; of what is round an opening only where it is not all of it."""
    if end is None or (old.opening and old.said.start is None and old.said.end is None):
        return ""
    up = " up from its foot" if old.said.side in ("left", "right") else ""
    return f", {show_length(start, job.units)} to {show_length(end, job.units)}{up}"


def comes_off(said: ExistingTrim, row: Row | None) -> bool:
    """Whether it comes off the wall: by its intent, or to be mended from behind where it is loose or decayed."""
    if row is None:
        return False
    return bool(row.get("off")) or (row.name == "repair" and said.state in ("loose", "decayed"))


def worth(said: ExistingTrim) -> str:
    """Its age and worth, in words."""
    words = {"original": "original to the room", "later": "later than the room", "unknown": "of unknown age"}
    age = words.get(said.original or "", "age not surveyed")
    return f"{age}; {said.note.rstrip('.')}" if said.note else age


def rotten(said: ExistingTrim) -> list[Damage]:
    """Its damage that is decay."""
    return [each for each in said.damage if figures.damage(each.kind).get("decay")]


def alive(old: OldTrim) -> bool:
    """Whether decay may go on in it: its cause is not told to be gone, or it is wet."""
    rot = rotten(old.said)
    if not rot:
        return old.said.state == "decayed"
    return any(not each.cured for each in rot) or wet(old)


def wet(old: OldTrim) -> bool:
    """Whether the old timber, or its wall, reads over the line where decay stops. What the wall reads is not what the
    timber does: a dry wall tells nothing of it."""
    readings = (old.said.moisture, old.wall.moisture)
    return any(reading is not None and reading > figures.value("decay-stops") for reading in readings)


def why(said: ExistingTrim) -> str:
    """Why that happens to it, in words."""
    if said.reason:
        return said.reason
    if said.intent is None or said.state is None:
        return "not surveyed"
    least = figures.intent(figures.state(said.state)["least"])
    step = figures.intent(said.intent)["step"]
    if step < least["step"]:
        return f"it is {said.state} and wants more than is done; no reason is given"
    if step == least["step"]:
        return f"it is {said.state}; no more is done than it needs"
    return "no reason is given"


def refixing(job: Job, said: ExistingTrim) -> str:
    """How it goes back, in words: by its old holes first."""
    bite = sum(1 for hole in said.holes if hole.bites is not False)
    if not said.holes:
        return "back into its old holes; how many still bite is told when it is off"
    new = len(said.holes) - bite
    clear = show_length(figures.value("hole-off"), job.units)
    more = f"; {new} new straight over those that no longer bite, {clear} off" if new else "; no new one"
    return f"back into {bite} old hole{'s' if bite != 1 else ''}{more}"

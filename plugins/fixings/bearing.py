"""What bears the fixings of one run: studs, battens, a ground, masonry, blocks, panelling, a door lining, or the trim
in front of which it stands."""

from __future__ import annotations

from listel.core.contract.findings import Input
from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Ground, Job, Room, Substrate, Trim, Wall
from listel.plugins.existing import OldHole
from listel.plugins.setting_out import Run
from listel.plugins.site import Site, WallSite, tables

GROUND_THICKNESS = 20.0
PACKING = (0.0, 20.0)
"""What a lining is packed out from the side of its opening, least and greatest [mm]; common practice, no source."""
FRAMED = ("studs", "battens")
TIMBER = ("studs", "battens", "ground", "panelling", "lining", "trim")


@dataclass(frozen=True, kw_only=True)
class Place:
    """One run with the trim, wall and room it belongs to. ``old``: the old piece it puts back, or the splice; empty of
    new trim; ``holes``: where the old piece was fixed, along the wall, or up it; behind a splice those that
    bite."""

    job: Job
    site: Site
    room: Room
    wall: Wall
    trim: Trim
    run: Run
    old: str = ""
    holes: tuple[OldHole, ...] = ()

    @property
    def face(self) -> WallSite:
        """Its wall, as the site tells of it."""
        return self.site.wall(self.room.name, self.wall.name)

    @property
    def rails(self) -> tuple[tuple[float, float], ...]:
        """Of panelling the edges of each rail it is fixed through, above its foot, lower first; none of other trim."""
        framing, run = self.trim.framing, self.run
        if framing is None or run.top is None or run.underside is None or not tables.goes_in_frames(self.trim.member):
            return ()
        return framing.rails(run.top - run.underside)

    @property
    def splice(self) -> bool:
        """Whether it is a splice, which hangs on its glued scarfs, and not an old piece put back whole."""
        return "/" in self.old

    @property
    def reused(self) -> tuple[float, ...]:
        """Where a splice is fixed again by the old holes behind it, along the wall, or up it [mm]."""
        return tuple(hole.at for hole in self.holes if self.splice)

    @property
    def inside(self) -> bool | None:
        """Whether the law protects the inside of the building; None where that is not known."""
        return self.site.protection.inside


@dataclass(frozen=True, kw_only=True)
class Bearing:
    """What a run is fixed to.

    ``kind``: studs, battens, ground, masonry, blocks, panelling, lining, trim (that in front of which it stands),
    board, or none (nothing may be fixed there);
    ``base``: its row of the pull-out table ("" for timber). ``plaster`` and ``void``: least and greatest, mm,
    equal where surveyed; of a ground ``plaster`` is what covers it. ``stations`` where studs were surveyed; ``plugs``
    old ones, and old holes used again, along the run; ``thick``: what bears, surveyed or assumed, None where there is
    enough; ``covers``: plaster and hollow, each surveyed or assumed; ``heights`` of grounds; ``off``: what the
    panelling on whose face it stands is thick [mm].
    """

    kind: str
    into: str
    row: Row
    base: str = ""
    plaster: tuple[float, float] = (0.0, 0.0)
    off: float = 0.0
    void: tuple[float, float] = (0.0, 0.0)
    stations: tuple[float, ...] = ()
    plugs: tuple[float, ...] = ()
    thick: Input | None = None
    covers: tuple[Input, ...] = ()
    heights: tuple[float, ...] = ()

    @property
    def thickness(self) -> float | None:
        """How thick what bears is, mm; None where there is enough."""
        return None if self.thick is None else float(self.thick.value)

    def takes(self, kind: Row) -> bool:
        """Whether a kind of fixing (a row of the table ``kinds``) may be used in it at all."""
        return self.kind in kind["suits"] and (self.kind != "masonry" or kind.name not in self.row.get("refuses", ()))

    @property
    def gap(self) -> tuple[float, float]:
        """Panelling, plaster, board and void that a fixing crosses, least and greatest, mm; as if none gave it support,
        which is on the safe side."""
        return self.off + self.plaster[0] + self.void[0], self.off + self.plaster[1] + self.void[1]


def thickness_of(surveyed: float | None, usual: list[float]) -> tuple[float, float]:
    """A surveyed thickness twice, or the usual range."""
    return (surveyed, surveyed) if surveyed is not None else (float(usual[0]), float(usual[1]))


def cover(
    job: Job, name: str, span: tuple[float, float], told: Substrate | Ground | None, key: str
) -> tuple[Input, ...]:
    """What covers what bears, by its least and greatest [mm], as surveyed under ``key`` or as assumed; none of 0 mm."""
    if span[1] == 0:
        return ()
    known = getattr(told, key, None) is not None
    value: float | str = span[1] if span[0] == span[1] else f"{span[0]:g} to {span[1]:g}"
    line = job.line(told, key) if told is not None and known else 0
    return (Input(name, value, "mm", line, not known, note="" if known else "not surveyed; the usual range"),)


def batten(place: Place, row: Row) -> Input | None:
    """How thick what bears is: battens as the hollow between them is deep, since they stand on the wall and carry the
    lath (common practice, no source), the least that is usual where nobody measured it; None where there is enough."""
    substrate, hollow = place.wall.substrate, float(row["void"][0])
    if row["bearer"] != "battens":
        usual = row.get("thickness")
        note = "not surveyed; as is usual"
        return (
            None if usual is None else Input(f"thickness of the {row['bearer']}", usual, "mm", assumed=True, note=note)
        )
    if substrate is not None and substrate.void is not None:
        line = place.job.line(substrate, "void")
        return Input("thickness of the battens", substrate.void, "mm", line, note="as the hollow between them is deep")
    note = "the hollow between them was not surveyed; the least that is usual"
    return Input("thickness of the battens", hollow, "mm", assumed=True, note=note) if hollow else None


def on_grounds(place: Place, row: Row, plaster: tuple[float, float], grounds: list[Ground]) -> Bearing:
    """Timber grounds as what bears, with what covers them: ``plaster``, or none, where nobody says whether they are
    flush with it."""
    job = place.job
    spans = [(0.0, plaster[1]) if each.behind is None else (max(0.0, each.behind),) * 2 for each in grounds]
    covered = (min(low for low, _ in spans), max(high for _, high in spans))
    told = next((each for each in grounds if each.behind is None), grounds[-1])
    thin = min(grounds, key=thick_of)
    key = "thickness" if thin.thickness is not None else "behind" if thin.proud else ""
    note = "" if key else "not surveyed; our own setting"
    return Bearing(
        kind="ground",
        into="the timber ground behind",
        row=row,
        plaster=covered,
        off=max(0.0, place.run.off - min(each.proud for each in grounds)),
        plugs=place.reused,
        thick=Input("thickness of the ground", thick_of(thin), "mm", job.line(thin, key), not key, note=note),
        covers=cover(job, "plaster over the ground", covered, told, "behind"),
        heights=tuple(sorted(each.height for each in grounds)),
    )


def thick_of(ground: Ground) -> float:
    """How thick a ground is, mm: as surveyed; packing as it stands out; else our own setting."""
    return ground.thickness if ground.thickness is not None else ground.proud or GROUND_THICKNESS


def band(place: Place) -> tuple[float, float] | None:
    """Underside and top of a run above the floor at its start, mm; None where its height is unknown."""
    run, size = place.run, place.trim.section.height
    low, high = run.underside, run.top
    if low is None and high is not None and size is not None:
        low = high - size
    if high is None and low is not None and size is not None:
        high = low + size
    return (low, high) if low is not None and high is not None else None


def grounds_behind(place: Place) -> list[Ground]:
    """Grounds that lie behind a level run for all its length; of panelling one behind each rail, or none."""
    edges = band(place)
    if edges is None or place.run.upright:
        return []
    along = [ground for ground in place.face.grounds if covers(ground, place.run)]
    touches = edges if place.trim.section.foot is None else (edges[0], edges[0] + place.trim.section.foot)
    rails = [(edges[0] + low, edges[0] + high) for low, high in place.rails]
    behind = [[each for each in along if low <= each.height <= high] for low, high in rails or [touches]]
    if not place.rails:
        return behind[0]
    return [found[0] for found in behind] if all(behind) else []


def covers(ground: Ground, run: Run) -> bool:
    """Whether a ground runs on behind the whole of a run."""
    return (ground.start is None or ground.start <= run.start) and (ground.end is None or ground.end >= run.end)


def bearing(place: Place) -> Bearing | None:
    """What a run is fixed to; None where the wall's make-up was not surveyed.

    The hollow between studs or battens is not crossed at them, and that behind panelling lies behind what bears, so it
    does not count there.
    """
    substrate = place.wall.substrate
    row = tables.makeup(place.wall)
    if row is None or substrate is None:
        return None
    if tables.left_alone(place.wall):
        return Bearing(kind="none", into=row["into"], row=row)
    if place.run.board:
        return into_trim(place, row)
    plaster = thickness_of(substrate.plaster, row["plaster"])
    off = place.run.off
    framed = row["bearer"] in FRAMED
    if tables.goes_through_openings(place.trim.member):
        return reveal(place, row, framed)
    void = (0.0, 0.0) if framed or row["bearer"] == "panelling" else thickness_of(substrate.void, row["void"])
    if tables.goes_round_openings(place.trim.member):
        into = (
            f"the lining at the inner edge; {'a stud or ground' if framed else 'a ground, or the wall,'} at the outer"
        )
        plaster = plaster if framed else (0.0, 0.0)
        covers = cover(place.job, "plaster", plaster, substrate, "plaster")
        return Bearing(kind="lining", into=into, row=row, plaster=plaster, plugs=place.reused, covers=covers)
    if grounds := grounds_behind(place):
        return on_grounds(place, row, plaster, grounds)
    kind = row["bearer"]
    return Bearing(
        kind=kind,
        into=row["into"],
        row=row,
        base=row.get("base", ""),
        plaster=plaster,
        off=off,
        void=void,
        stations=place.face.studs if kind in FRAMED else (),
        plugs=place.reused if place.run.upright else (*place.face.plugs, *place.reused),
        thick=batten(place, row),
        covers=(
            *cover(place.job, "plaster", plaster, substrate, "plaster"),
            *cover(place.job, "void", void, substrate, "void"),
        ),
    )


def reveal(place: Place, row: Row, framed: bool) -> Bearing:
    """What a jamb of a lining is fixed to through its packing: the stud beside the opening, or the
    wall's own reveal, plugged as its face is."""
    packing = cover(place.job, "packing", PACKING, None, "")
    if framed:
        into = "the stud at the side of the opening"
        return Bearing(kind="ground", into=into, row=row, void=PACKING, plugs=place.reused, covers=packing)
    into = f"{row['into']} at the side of the opening"
    base = row.get("base", "")
    return Bearing(kind=row["bearer"], into=into, row=row, base=base, void=PACKING, plugs=place.reused, covers=packing)


def into_trim(place: Place, row: Row) -> Bearing:
    """The board in front of which a trim stands, which bears anywhere along it; nothing else is crossed."""
    thick = place.run.board_thick
    return Bearing(
        kind="trim",
        into=f"the {place.run.board} behind it",
        row=row,
        thick=None if thick is None else Input(f"thickness of the {place.run.board}", thick, "mm"),
    )


def on_board(place: Place, found: Bearing) -> Bearing:
    """The same wall, but fixed to its board alone with cavity fixings."""
    return Bearing(
        kind="board",
        into="the plasterboard alone",
        row=found.row,
        base="plasterboard",
        plaster=found.plaster,
        off=found.off,
        void=found.void,
        covers=found.covers,
    )

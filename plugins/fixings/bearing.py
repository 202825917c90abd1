"""What bears the fixings of one run: studs, battens, a ground, masonry, blocks, panelling or a door lining."""

from __future__ import annotations

from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Ground, Job, Room, Trim, Wall
from listel.plugins.existing import OldHole
from listel.plugins.setting_out import Run
from listel.plugins.site import Site, WallSite, tables

GROUND_THICKNESS = 20.0
PACKING = (0.0, 20.0)
"""What a lining is packed out from the side of its opening, least and greatest [mm]; common practice, no source."""
FRAMED = ("studs", "battens")
TIMBER = ("studs", "battens", "ground", "panelling", "lining")


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

    ``kind``: studs, battens, ground, masonry, blocks, panelling, lining, board, or none (nothing may be fixed there);
    ``base``: its row of the pull-out table ("" for timber). ``plaster`` and ``void``: least and greatest, mm,
    equal where surveyed. ``stations`` where studs were surveyed; ``plugs`` old ones, and old holes used again, along
    the run; ``thickness`` of what bears, None where there is enough; ``heights`` of grounds; ``off``: what the
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
    thickness: float | None = None
    heights: tuple[float, ...] = ()

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
    rails = [(edges[0] + low, edges[0] + high) for low, high in place.rails]
    behind = [[each for each in along if low <= each.height <= high] for low, high in rails or [edges]]
    if not place.rails:
        return behind[0]
    return [found[0] for found in behind] if all(behind) else []


def covers(ground: Ground, run: Run) -> bool:
    """Whether a ground runs on behind the whole of a run."""
    return (ground.start is None or ground.start <= run.start) and (ground.end is None or ground.end >= run.end)


def bearing(place: Place) -> Bearing | None:
    """What a run is fixed to; None where the wall's make-up was not surveyed.

    The hollow between studs or battens is not crossed at them, so it does not count there.
    """
    substrate = place.wall.substrate
    row = tables.makeup(place.wall)
    if row is None or substrate is None:
        return None
    plaster = thickness_of(substrate.plaster, row["plaster"])
    off = place.run.off
    if row.get("hold"):
        return Bearing(kind="none", into=row["into"], row=row)
    framed = row["bearer"] in FRAMED
    if tables.goes_through_openings(place.trim.member):
        return reveal(place, row, framed)
    void = (0.0, 0.0) if framed else thickness_of(substrate.void, row["void"])
    if tables.goes_round_openings(place.trim.member):
        into = (
            f"the lining at the inner edge; {'a stud or ground' if framed else 'a ground, or the wall,'} at the outer"
        )
        plaster = plaster if framed else (0.0, 0.0)
        return Bearing(kind="lining", into=into, row=row, plaster=plaster, plugs=place.reused)
    if grounds := grounds_behind(place):
        thick = min(ground.thickness if ground.thickness is not None else GROUND_THICKNESS for ground in grounds)
        return Bearing(
            kind="ground",
            into="the timber ground behind",
            row=row,
            off=off,
            plugs=place.reused,
            thickness=thick,
            heights=tuple(sorted(g.height for g in grounds)),
        )
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
        thickness=row.get("thickness"),
    )


def reveal(place: Place, row: Row, framed: bool) -> Bearing:
    """What a jamb of a lining is fixed to through its packing: the stud beside the opening, or the
    wall's own reveal, plugged as its face is."""
    if framed:
        into = "the stud at the side of the opening"
        return Bearing(kind="ground", into=into, row=row, void=PACKING, plugs=place.reused)
    into = f"{row['into']} at the side of the opening"
    base = row.get("base", "")
    return Bearing(kind=row["bearer"], into=into, row=row, base=base, void=PACKING, plugs=place.reused)


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
    )

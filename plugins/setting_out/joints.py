"""Where a run is jointed because no board is long enough, and why there."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from math import ceil

from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import allowance
from listel.plugins.site import WallSite, tables

GRID = 50.0


@dataclass(frozen=True, slots=True)
class Joints:
    """Stations of the joints of one run [mm], what they come over, whether that was found by survey, whether
    they keep out of the straight view through a door (None: not known), and clear of other members' joints."""

    stations: tuple[float, ...]
    over: str
    found: bool
    clear_of_door: bool | None = None
    staggered: bool = True


def bearers(wall: WallSite, run: Run) -> tuple[list[float], str, bool]:
    """Stations where a joint can be fixed soundly, what they are, and whether they were surveyed."""
    inside = (run.start + GRID, run.end - GRID)
    if studs := [at for at in wall.studs if inside[0] < at < inside[1]]:
        return studs, "a stud", True
    grid = [run.start + GRID * n for n in range(1, int((run.end - run.start) / GRID))]
    if any(_behind(ground.height, ground.width, run) and ground.start is None for ground in wall.grounds):
        return grid, "the timber ground", True
    if len(plugs := [at for at in wall.plugs if inside[0] < at < inside[1]]) > 1:
        return plugs, "an old plug", True
    if tables.bears_anywhere(wall.wall):
        return grid, "solid wall", True
    return grid, "a stud or other sound fixing", False


def _behind(height: float, width: float | None, run: Run) -> bool:
    """Whether a ground at that height lies behind the run."""
    half = (width or 0.0) / 2
    return (
        run.top is not None
        and run.underside is not None
        and run.underside <= height + half
        and height - half <= run.top
    )


def place_joints(
    run: Run,
    wall: WallSite,
    longest: float,
    overlap: float,
    beyond: tuple[float, float],
    seen: tuple[float, ...] | None,
    others: tuple[float, ...],
) -> Joints:
    """The joints of a run that needs more than the longest piece: as few as will do, over something sound, out of the
    eye-line of a door (``seen``), staggered from the joints of other members (``others``), and the pieces as even as
    that allows. ``beyond``: how far the long points at its two ends stand past the run; each side of a joint stands
    half of the ``overlap`` past its station.

    Found by dynamic programming over the stations where a joint can be fixed. All mm.
    """
    slope = run.length / (run.end - run.start)
    stations, over, found = bearers(wall, run)
    first, last = beyond[0] + overlap / 2, beyond[1] + overlap / 2
    each = max(longest - overlap, allowance("least-piece"))
    fewest = max(1, ceil((run.length + sum(beyond) - longest - 1e-9) / each))
    limits = ((longest - first) / slope, each / slope, (longest - last) / slope)
    for count in range(fewest, fewest + 4):
        chosen = _best(run, stations, count, limits, seen or (), others)
        if chosen is not None:
            clear = None if seen is None else not _near(chosen, seen, allowance("eye-line"))
            return Joints(chosen, over, found, clear, not _near(chosen, others, allowance("stagger")))
    even = (run.length + first + last + overlap * (fewest - 1)) / (fewest + 1)
    places = (even - first + (even - overlap) * number for number in range(fewest))
    return Joints(tuple(run.start + place / slope for place in places), "a block let in behind", False)


def _near(stations: tuple[float, ...], others: tuple[float, ...], distance: float) -> bool:
    return any(abs(at - other) < distance for at in stations for other in others)


def _best(
    run: Run,
    stations: list[float],
    count: int,
    limits: tuple[float, float, float],
    seen: tuple[float, ...],
    others: tuple[float, ...],
) -> tuple[float, ...] | None:
    """The cheapest way to put one or more joints at these stations so that no piece is too long or too short, or None.

    ``limits``: the most that the first piece, one between, and the last may take of the run [mm].
    """
    first, between, last = limits
    least = min(allowance("least-jointed"), (run.end - run.start) / (count + 1) / 2)
    even = (run.end - run.start) / (count + 1)
    eye_line, stagger = allowance("eye-line"), allowance("stagger")

    def cost(at: float, number: int) -> float:
        bad = 10.0 * any(abs(at - other) < eye_line for other in seen) + 5.0 * any(
            abs(at - other) < stagger for other in others
        )
        return bad + abs(at - (run.start + even * (number + 1))) / even

    best: dict[float, tuple[float, tuple[float, ...]]] = {run.start: (0.0, ())}
    for number in range(count):
        most = between if number else first
        step: dict[float, tuple[float, tuple[float, ...]]] = {}
        placed = sorted(best)
        for at in stations:
            near = placed[bisect_left(placed, at - most - 1) : bisect_right(placed, at - least + 1)]
            ways = [best[before] for before in near if least <= at - before <= most]
            if ways:
                price, path = min(ways)
                step[at] = (price + cost(at, number), (*path, at))
        best = step
    ends = [way for at, way in best.items() if least <= run.end - at <= last]
    return min(ends)[1] if ends else None

"""Moving fixings out of service zones: each to the nearest place where it may stand.

A fixing may stand where its bearer goes on (a stud, an old plug, or anywhere on masonry and grounds), outside every
zone, no nearer an end than the schedule has it, no farther from its neighbours than the greatest spacing allows. Where
one fixing cannot leave a zone without opening too wide a gap, two may: one to each side.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from itertools import pairwise
from math import ceil, inf, radians, tan
from operator import itemgetter

from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.fixings import Fixing, FixingPoint, loose_end, respaced
from listel.plugins.safety.crossings import holds_point, joined, left_by, met, rows_of
from listel.plugins.safety.results import Zone
from listel.plugins.safety.zones import Span, in_words, policy, zones_of
from listel.plugins.site import Site, WallSite, arrises

SLACK = 1e-6
PASSED = 80
"""The most edges of zones that one even stretch of a row may pass."""
Row = list[tuple[float, float]]
"""Fixings in order along the wall, each as (station now, station at first)."""


@dataclass(frozen=True, kw_only=True)
class Rule:
    """Where the fixings of one row may stand: outside the ``zones``, which are in order and apart, by the ``clear``
    distance, ``most`` and
    ``least`` apart, the
    whole row from ``low`` to ``high``, its first fixing within ``first`` and its last beyond ``last``. ``places``:
    by the
    station a fixing first stood at, the only stations it may take (of studs or old plugs); it may stand anywhere where
    its station is not listed."""

    zones: tuple[Span, ...]
    low: float
    high: float
    most: float
    least: float
    first: float
    last: float
    clear: float = 0.0
    places: Mapping[float, tuple[float, ...]] = field(default_factory=dict)


def allowed(rule: Rule, first: float, before: Sequence[float], after: Sequence[float]) -> list[Span]:
    """Where the fixing that stood at ``first`` may stand between those before and after it, as spans (a place has
    no width).
    """
    low, high = rule.low, rule.high
    if before:
        low, high = max(low, before[-1] + rule.least), min(high, before[-1] + rule.most)
    if after:
        low, high = max(low, after[0] - rule.most), min(high, after[0] - rule.least)
    high = high if before else min(high, rule.first)
    low = low if after else max(low, rule.last)
    if low > high:
        return []
    open_spans = left_by([(a - rule.clear, b + rule.clear) for a, b in _about(rule, low, high)], low, high)
    if first not in rule.places:
        return open_spans
    return [(x, x) for x in rule.places[first] if any(a <= x <= b for a, b in open_spans)]


def _about(rule: Rule, low: float, high: float) -> Sequence[Span]:
    """The zones of a rule that may reach into a stretch."""
    reach = rule.clear + 1.0
    first = bisect_left(rule.zones, low - reach, key=itemgetter(1))
    return rule.zones[first : bisect_right(rule.zones, high + reach, key=itemgetter(0))]


def nearest(spans: Sequence[Span], x: float) -> float | None:
    """The place in some spans nearest to ``x`` (the lower of two as near); None if there are no spans."""
    spots = [min(max(x, a), b) for a, b in spans]
    return min(spots, key=lambda spot: (abs(spot - x), spot), default=None)


def moved_row(stations: Sequence[float], rule: Rule) -> Row:
    """A row of fixings as (station now, station at first), those in a zone moved out where the rule lets them.

    A fixing that stays in a zone has no place to go while the others stand where they end.
    """
    row = [(x, x) for x in sorted(stations)]
    for _ in range(len(row) + 1):
        before, number = row, 0
        while number < len(row):
            if in_zone(rule, row[number][0]):
                row = _step(row, number, rule)
            number += 1
        if row == before:
            break
    return row


def uncrowded_row(stations: Sequence[float], rule: Rule, crowded: float) -> Row:
    """A row moved as by :func:`moved_row`, its fixings ``crowded`` mm apart where that leaves no more in a zone."""
    apart = min([crowded, *(b - a for a, b in pairwise(sorted(stations)))])
    rows = (moved_row(stations, replace(rule, least=least)) for least in (max(apart, rule.least), rule.least))
    return min(rows, key=lambda row: sum(in_zone(rule, at) for at, _ in row))


def in_zone(rule: Rule, station: float) -> bool:
    """Whether a station of the row lies in a zone, bounds included."""
    before = bisect_right(rule.zones, station, key=itemgetter(0))
    return before > 0 and station <= rule.zones[before - 1][1]


def thinned(row: Row, rule: Rule, crowded: float) -> Row:
    """The row without those moved fixings that stand ``crowded`` mm or less from a neighbour, where the spacing still
    holds and two fixings are left.
    """
    number = 1
    while number < len(row) and len(row) > 2:
        if row[number][0] - row[number - 1][0] <= crowded:
            spare = next((each for each in (number, number - 1) if _may_go(row, each, rule)), None)
            if spare is not None:
                row = [*row[:spare], *row[spare + 1 :]]
                number = max(number - 1, 1)
                continue
        number += 1
    return row


def evened(marks: Sequence[float], row: Row, rule: Rule, joints: Sequence[float]) -> Row:
    """A moved row laid out afresh between its outermost fixings: the pairs at its ends kept, one at each joint, the
    rest evenly; where that would put one in a zone, evenly on each side of it. Empty where no such row clears every
    zone.
    """
    first, last = row[0][0], row[-1][0]
    pair = marks[1] - marks[0] if len(marks) > 3 else inf
    paired = pair < inf and pair < marks[2] - marks[1] - 1.0 and last - first >= 4 * pair
    zones = [(a - rule.clear, b + rule.clear) for a, b in rule.zones]
    near, far = (_beside(first, pair, zones), -_beside(-last, pair, _turned_spans(zones))) if paired else (first, last)
    if far - near < rule.least or max(near - first, last - far) > rule.most:
        return []
    fixed = [at for at in joints if near + rule.least <= at <= far - rule.least and not in_zone(rule, at)]
    middle = _even_row(near, far, fixed, zones, rule)
    if not middle:
        return []
    even = sorted({first, last, *middle})
    if any(in_zone(rule, at) for at in even):
        return []
    return [(at, at if at in marks else min(marks, key=lambda mark: abs(mark - at))) for at in even]


def _beside(end: float, pair: float, zones: Sequence[Span]) -> float:
    """Where the second fixing of a pair stands: ``pair`` past the one at the end, or past the zone that is there."""
    return next((b for a, b in joined(zones) if a < end + pair < b), end + pair)


def _turned_spans(spans: Sequence[Span]) -> list[Span]:
    return [(-b, -a) for a, b in spans]


def _even_row(near: float, far: float, fixed: Sequence[float], zones: Sequence[Span], rule: Rule) -> list[float]:
    """Stations from ``near`` to ``far`` outside all zones, no farther apart than the rule has it: of few fixings and
    few changes of spacing the least, then the most even; one at each of ``fixed``. Empty where there are none.

    Spacing changes only at the edge of a zone and at the fixed ones. Source: shortest way through such places, derived.
    """
    edges = {edge for zone in joined(zones) for edge in zone if near + rule.least <= edge <= far - rule.least}
    places = sorted({near, *edges, *fixed, far})
    stops, begins, ends = {far, *fixed}, [a + SLACK for a, _ in zones], [b - SLACK for _, b in zones]
    best: dict[float, tuple[int, int, float, list[float]]] = {near: (1, 1, 0.0, [near])}
    for number, start in enumerate(places):
        if start not in best:
            continue
        cost, count, uneven, so_far = best[start]
        for end in places[number + 1 : number + 1 + PASSED]:
            for row in _even_rows(start, end, begins, ends, rule):
                spread, more = len(row) * (row[0] - start) ** 2, len(row) + (end not in stops)
                tried = (cost + more, count + len(row), uneven + spread)
                if end not in best or tried <= best[end][:3]:
                    best[end] = min(best.get(end, (*tried, [*so_far, *row])), (*tried, [*so_far, *row]))
            if end in fixed:
                break
    return best[far][3] if far in best else []


def _even_rows(
    start: float, end: float, begins: Sequence[float], ends: Sequence[float], rule: Rule
) -> Iterator[list[float]]:
    """Even rows after ``start`` up to ``end`` that no zone takes a fixing of, with as few spaces as will do and up to
    two more. ``begins``, ``ends``: of the zones, in order."""
    fewest = max(1, ceil((end - start) / rule.most - 1e-6))
    for spaces in range(fewest, fewest + 3):
        if (end - start) / spaces < rule.least - SLACK:
            return
        row = []
        for at in (start + (end - start) * place / spaces for place in range(1, spaces)):
            begun = bisect_left(begins, at)
            if begun and at < ends[begun - 1]:
                break
            row.append(at)
        else:
            yield [*row, end]


def _may_go(row: Row, number: int, rule: Rule) -> bool:
    """Whether a fixing was moved, and its neighbours stand near enough to each other, or to the end, without it."""
    at, first = row[number]
    before, after = [x for x, _ in row[:number]], [x for x, _ in row[number + 1 :]]
    if at == first:
        return False
    if not before or not after:
        return after[0] <= rule.first if after else before[-1] >= rule.last
    return after[0] - before[-1] <= rule.most


def _step(row: Row, number: int, rule: Rule) -> Row:
    others = [at for at, _ in row[:number]], [at for at, _ in row[number + 1 :]]
    origin, first = row[number]
    spot = nearest(allowed(rule, first, *others), origin)
    if spot is not None:
        return [*row[:number], (spot, first), *row[number + 1 :]]
    pushed = _pushed(row, number, rule) or _turned(_pushed(_turned(row), len(row) - 1 - number, _turned_rule(rule)))
    if pushed:
        return pushed
    pair = _pair(rule, first, *others, origin)
    return [*row[:number], *((at, first) for at in pair), *row[number + 1 :]]


def _pushed(row: Row, number: int, rule: Rule) -> Row:
    """The row with one fixing moved on past its zone and those after it pushed along to make room; empty if it
    cannot be.
    """
    placed = row[:number]
    ahead = replace(rule, last=rule.low)
    for place, (at, first) in enumerate(row[number:], number):
        if place > number and at >= placed[-1][0] + rule.least and not in_zone(rule, at):
            return [*placed, *row[place:]] if at - placed[-1][0] <= rule.most else []
        spans = allowed(ahead, first, [x for x, _ in placed[-1:]], [])
        spot = nearest([(max(a, at), b) for a, b in spans if b >= at], at)
        if spot is None:
            return []
        placed.append((spot, first))
    return placed if placed[-1][0] >= rule.last else []


def _turned(row: Row) -> Row:
    return [(-at, -first) for at, first in reversed(row)]


def _turned_rule(rule: Rule) -> Rule:
    return replace(
        rule,
        zones=tuple((-b, -a) for a, b in reversed(rule.zones)),
        low=-rule.high,
        high=-rule.low,
        first=-rule.last,
        last=-rule.first,
        places={-first: tuple(-x for x in places) for first, places in rule.places.items()},
    )


def _pair(rule: Rule, first: float, before: list[float], after: list[float], origin: float) -> tuple[float, ...]:
    """Two places for one fixing, either side of the zone it stands in; its own place if there are none."""
    left = nearest([(a, b) for a, b in allowed(replace(rule, last=rule.low), first, before, []) if b <= origin], origin)
    if left is None:
        return (origin,)
    right = nearest([(a, b) for a, b in allowed(rule, first, [*before, left], after) if a >= origin], origin)
    return (origin,) if right is None else (left, right)


def rule_for(line: Fixing, job: Job, wall: WallSite, zones: Sequence[Zone]) -> Rule:
    """The rule of one line of the schedule on its wall: along the wall, or up it on the leg of an architrave.

    No fixing comes nearer to the arris of an external corner than it bears. End distances and spacing are the
    schedule's own; where a gap is already wider than allowed, or an end farther, moving may not widen it. The distance
    kept clear of a zone, and the farthest first fixing, are our own settings.
    """
    marks = marks_of(line)
    gaps = [b - a for a, b in pairwise(marks)]
    loose = loose_end(job.units)
    margin = line.from_ends or policy("least-apart")
    start, end = (marks[0] - margin, marks[-1] + margin) if line.upright else (line.start, line.end)
    left, right = (0.0, 0.0) if line.upright else arrises(job.room(line.room), wall.wall)
    placed = {} if line.upright else bearers(wall, line.points)
    near = min([marks[0] - start, end - marks[-1], line.from_ends or marks[0] - start])
    return Rule(
        zones=tuple(joined(upright_spans(line, wall, zones) if line.upright else level_spans(line, wall, zones))),
        low=max(start + near, min(left, marks[0])),
        high=min(end - near, max((wall.length or end) - right, marks[-1])),
        most=max([line.most_spacing or 0.0, *gaps]),
        least=min([policy("least-apart"), *gaps]),
        first=max(start + loose, marks[0]),
        last=min(end - loose, marks[-1]),
        clear=policy("clear"),
        places=placed,
    )


def marks_of(line: Fixing) -> list[float]:
    """Where the fixings of a line stand along it, each place once: stations, or heights where it is upright."""
    return sorted({mark for point in line.points if (mark := _mark(line, point)) is not None})


def _mark(line: Fixing, point: FixingPoint) -> float | None:
    return point.height if line.upright else point.station


def level_spans(line: Fixing, wall: WallSite, zones: Sequence[Zone]) -> list[Span]:
    """The stretches of wall on which a row of fixings lies in a zone."""
    return [span for row in rows_of(wall, line) for zone in zones for span in met(zone, row)]


def upright_spans(line: Fixing, wall: WallSite, zones: Sequence[Zone]) -> list[Span]:
    """The heights above the floor at which the fixings of an upright lie in a zone."""
    stations = {point.station for point in line.points}
    return [
        (zone.y0 - wall.rise(x), zone.y1 - wall.rise(x)) for zone in zones for x in stations if zone.x0 <= x <= zone.x1
    ]


def bearers(wall: WallSite, points: Sequence[FixingPoint]) -> dict[float, tuple[float, ...]]:
    """For each station whose fixing bears in a stud, a batten or an old plug: the stations where it finds another."""
    found: dict[float, tuple[float, ...]] = {}
    for station, on in {point.station: point.on for point in points}.items():
        if any(word in on for word in ("stud", "batten")):
            found[station] = tuple(sorted({*wall.studs, station}))
        elif "plug" in on:
            found[station] = tuple(sorted({*wall.plugs, station}))
    return found


def moved_line(job: Job, site: Site, line: Fixing) -> Fixing:
    """A line of the schedule with its fixings moved out of the zones of its wall where they can be; those of old trim
    stay in their holes.

    Moves that would ask more of a fixing than it may carry are not made.
    """
    wall = site.wall(line.room, line.wall)
    zones = zones_of(job, job.room(line.room), wall)
    marks = marks_of(line)
    if line.old or not marks or not any(in_any(zones, wall, point) for point in line.points):
        return line
    rule = rule_for(line, job, wall, zones)
    crowded = policy("crowded")
    row = uncrowded_row(marks, rule, crowded)
    if [at for at, _ in row] == marks:
        return line
    asked = replace(rule, most=line.most_spacing or rule.most)
    joints = sorted({mark for point in line.points if point.joint and (mark := _mark(line, point)) is not None})
    even = [] if rule.places else evened(marks, row, asked, joints)
    for kept in filter(None, (even, thinned(row, asked, crowded), row)):
        points = tuple(point for at, first in kept for point in _points_at(line, wall, zones, at, first))
        moved = respaced(line, points)
        if moved.ratio is None or moved.ratio <= max(1.0, line.ratio or 0.0):
            return moved
    return line


def in_any(zones: Sequence[Zone], wall: WallSite, point: FixingPoint) -> list[Zone]:
    """The zones in which a fixing stands."""
    height = None if point.height is None else point.height + wall.rise(point.station)
    return [zone for zone in zones if holds_point(zone, point.station, height)]


def _points_at(line: Fixing, wall: WallSite, zones: Sequence[Zone], at: float, first: float) -> Iterator[FixingPoint]:
    """The points that stood at one mark of the line, carried to where it now is."""
    for point in (point for point in line.points if _mark(line, point) == first):
        if at == first:
            yield point
            continue
        left = dict.fromkeys(in_words(zone) for zone in in_any(zones, wall, point))
        why = f"out of {', '.join(left)}" if left else "to make room for its neighbour"
        if line.upright:
            yield replace(point, height=at, moved=why, first=first)
        else:
            yield replace(point, station=at, height=height_along(line, wall, point, at), moved=why, first=first)


def height_along(line: Fixing, wall: WallSite, point: FixingPoint, at: float) -> float | None:
    """The height above the floor of a point carried along its run to a station: with the slope, over the floor
    there.
    """
    if point.height is None:
        return None
    climb = (at - point.station) * tan(radians(line.pitch))
    return point.height + climb + wall.rise(point.station) - wall.rise(at)

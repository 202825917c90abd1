"""Where long runs are jointed: the stage ``joints`` chooses joints and boards together, before anything is cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import ceil

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.cutting.demand import parts, served, widest_kerf
from listel.plugins.cutting.free import Chosen, choose
from listel.plugins.cutting.problem import GRID, Problem, Solution, Stretch, steps_down, steps_up
from listel.plugins.cutting.results import JointPlans
from listel.plugins.cutting.search import WATCH
from listel.plugins.cutting.supply import Supply, bench, supply_of
from listel.plugins.cutting.ways import Runs, Stations, fewest_joints
from listel.plugins.defects import DefectChecks
from listel.plugins.setting_out import Joints, LongRun, Piece, RunKey, TrimJoints, WholeRuns

Beside = dict[tuple[str, str], list[float]]
"""The stations of joints made before, by room and wall."""
MOST_RUNS = 150
"""Runs and single pieces of one trim; where there are more, the joints are even."""
MOST_LEFT = 3
"""Lengths of what a board of the rack leaves that are tried as the longest piece, at most."""


def examine_joints(job: Job, sheet: Sheet) -> Iterator[object]:
    """The :class:`Joints` of a job, and the :class:`JointPlans` that came of choosing them."""
    whole, checks = sheet[WholeRuns], sheet.get(DefectChecks) or DefectChecks()
    saw = bench(job)
    lines: list[TrimJoints] = []
    plans: list[tuple[Problem, Solution]] = []
    beside: Beside = {}
    for trim in job.trim:
        long = [run for run in whole.long if run.trim == trim.name]
        if not long:
            continue
        supply = supply_of([board for board in checks.boards if board.trim == trim.name], saw)
        pieces, _ = served([piece for piece in whole.pieces if piece.trim == trim.name])
        kerf = widest_kerf([*pieces, *(half for run in long for half in run.halves)], saw.kerf)
        given = {run.key: at for run in long if (at := _given(job, run))}
        free = [run for run in long if run.key not in given]
        line = TrimJoints(trim=trim.name)
        if free:
            line, chosen = _jointed(free, pieces, supply, (kerf, saw.keep, job.cutting.spare or 0.0), beside)
            plans += [(chosen.problem, chosen.solution)] if chosen else []
        bound = None if given else line.bound
        lines.append(replace(line, stations=(*line.stations, *given.items()), bound=bound))
        for key, placed in lines[-1].stations:
            beside.setdefault(key[:2], []).extend(placed)
    yield Joints(tuple(lines))
    yield JointPlans(tuple(plans))


def _given(job: Job, run: LongRun) -> tuple[float, ...]:
    """Where the survey says that a run is jointed."""
    here = [each.at for each in job.joints if (each.room, each.wall, each.trim) == (run.room, run.wall, run.trim)]
    return tuple(sorted(at for places in here for at in places if run.start < at < run.end))


def _jointed(
    long: Sequence[LongRun],
    pieces: list[Piece],
    supply: Supply,
    saw: tuple[float, float, float],
    beside: Beside,
) -> tuple[TrimJoints, Chosen | None]:
    """The joints of one trim, and the plan that they were chosen with. ``saw``: kerf and shortest remnant kept [mm],
    spare timber [%]. Those boards that there are few of are counted on first; where they do not make it all,
    the joints are for boards that there are enough of. Where no boards are known the joints are even."""
    new = [stretch for stretch in supply.stretches if not stretch.rack]
    known = bool(new)
    if not known:
        new = [Stretch(max(steps_down(run.longest) for run in long), 1)]
        supply = Supply(stretches=tuple(new), sources=(), priced=False, scale=1.0)
    kerf, keep, spare = saw
    problem = Problem((1,), (1,), supply.stretches, steps_up(kerf), steps_up(keep))
    most = max(stretch.room for stretch in new)
    found: tuple[tuple[RunKey, tuple[float, ...]], ...] = ()
    for sure in dict.fromkeys((most, max((s.room for s in new if s.limit is None), default=most))):
        placed = [(run, stations) for run in long if (stations := _stations(run, sure, beside))]
        cut, _ = parts(pieces, kerf, supply.longest, None)
        whole = [Stations(total=part.length) for part in cut if steps_up(part.length) <= sure]
        told = [*(stations for _, stations in placed), *whole]
        ways_to_try = [Runs(each, problem, sure) for each in _with_spares(told, problem, sure, spare)]
        runs, chosen = ways_to_try[0], None
        if known and 0 < len(runs.ways) <= MOST_RUNS:
            tried = [(choose(each, WATCH.get()), each) for each in ways_to_try]
            chosen, runs = min(tried, key=lambda one: (not one[0].made, one[0].cost))
        paths = chosen.paths if chosen else [ways.even() for ways in runs.ways]
        found = tuple(
            (run.key, tuple(run.station(at) for at in ways.stations(path)))
            for (run, _), ways, path in zip(placed, runs.ways, paths, strict=False)
        )
        if chosen is None or chosen.made:
            bound = chosen.bound / supply.scale if chosen and placed and not spare else None
            return TrimJoints(trim=long[0].trim, stations=found, bound=bound), chosen
    return TrimJoints(trim=long[0].trim, stations=found), None


def _with_spares(runs: list[Stations], problem: Problem, sure: int, spare: float) -> Iterator[list[Stations]]:
    """The runs with spares as long as their longest piece: that is no longer than with even joints, or else what is
    left of a run beside a piece that goes on a board of the rack."""
    if not spare or not runs:
        yield runs
        return
    lengths = [take - problem.kerf for ways in Runs(runs, problem, sure).ways for take in ways.takes(ways.even())]
    most = max(lengths) / GRID
    left = sorted({length for length in _beside_the_rack(runs, problem) if most < length <= sure / GRID})
    for longest in (most, *left[:MOST_LEFT]):
        spares = [Stations(total=longest)] * ceil(sum(lengths) / GRID * spare / 100 / longest - 1e-9)
        yield [*(replace(run, longest=min(run.longest, longest)) for run in runs), *spares]


def _beside_the_rack(runs: list[Stations], problem: Problem) -> Iterator[float]:
    """What is left of each run beside the longest piece that goes on each board of the rack, at its left or right."""
    rooms = {stretch.room / GRID for stretch in problem.stretches if stretch.rack}
    for run, room in product(runs, rooms):
        lap = run.overlap / 2
        starts = [run.total - at for at in run.stations if run.least <= at <= room - lap]
        ends = [at for at in run.stations if run.least <= run.total - at <= room - lap]
        yield from (min(pieces) + lap for pieces in (starts, ends) if pieces)


def _stations(run: LongRun, sure: int, beside: Beside) -> Stations | None:
    """The stations for one run: of the first kind of places that make it possible, the best that do with the fewest
    joints of that kind, and away from the joints of other members ``beside`` it where those allow it too."""

    def at(places: tuple[float, ...]) -> Stations:
        return Stations(
            total=run.total,
            stations=tuple(run.along(place) for place in places),
            overlap=run.lap,
            least=run.least,
            longest=run.longest,
        )

    near = beside.get((run.room, run.wall), ())
    for places in run.places:
        fewest = fewest_joints(at(places.tiers[-1]), sure)
        if fewest is None:
            continue
        for tier in places.tiers:
            staggered = tuple(place for place in tier if all(abs(place - other) >= run.apart for other in near))
            for some in (staggered, tier):
                if fewest_joints(at(some), sure) == fewest:
                    return at(some)
    return None

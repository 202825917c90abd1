"""The reckoner ``joints``: where long runs are jointed so that the boards for them cost least."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.plugins.cutting.free import choose
from listel.plugins.cutting.problem import GRID, Problem, Stretch, steps_down, steps_up
from listel.plugins.cutting.reckon import LENGTH, SAW, boards_bought
from listel.plugins.cutting.ways import Runs, Stations


def joints(given: Mapping[str, Any]) -> Reckoning:
    """The joints of runs, and the boards, chosen together: the fewest joints, then the least cost, then joints as even
    as that allows.

    ``length``: stock lengths [mm]; ``run``: texts LENGTHxCOUNT from long point to long point; ``kerf``, ``end_trim``,
    ``overlap`` of a joint, ``grid`` between the places where a joint may come, ``least`` piece of a jointed run [mm].
    Results: ``boards``, ``bound``, ``proven`` (of plans with this few joints at these places), ``bought`` (boards by
    length), ``joints`` (of each run, mm from its left long point). Raises ValueError for a text that is no run, a grid
    or piece that is not above 0, or a run that no joints make possible.
    """
    lengths = sorted(set(given["length"]))
    rooms = [steps_down(length - 2 * given["end_trim"]) for length in lengths]
    if given["grid"] < 1 or given["least"] <= 0 or rooms[0] <= 0:
        raise ValueError("the grid is 1 mm or more, and pieces and boards are longer than nothing")
    one = len(lengths) == 1
    stretches = tuple(
        Stretch(room, 1 if one else steps_up(length)) for room, length in zip(rooms, lengths, strict=True)
    )
    runs = [
        Stations(
            total=total,
            stations=tuple(given["grid"] * n for n in range(1, int(total / given["grid"]))),
            overlap=given["overlap"],
            least=given["least"],
        )
        for total, count in given["run"]
        for _ in range(count)
    ]
    if len(runs) > MOST_RUNS:
        raise ValueError(f"no more than {MOST_RUNS} runs are jointed at a time")
    problem = Problem((1,), (1,), stretches, steps_up(given["kerf"]), max(rooms) + 1)
    free = Runs(runs, problem)
    chosen = choose(free)
    plan = chosen.solution.patterns
    bought = Counter(lengths[number] for number, _ in plan)
    stations = [ways.stations(path) for ways, path in zip(free.ways, chosen.paths, strict=True)]
    proven = chosen.cost == chosen.bound
    bound = chosen.bound if one else chosen.bound / GRID
    results = {
        "boards": len(plan),
        "bound" if one else "bound_length": bound,
        "proven": proven,
        "bought": boards_bought(lengths, map(bought.__getitem__, lengths)),
        "joints": [{"run": run.total, "joints": list(at)} for run, at in zip(runs, stations, strict=True)],
    }
    claim = (
        "no plan with this few joints at these places costs less"
        if proven
        else f"no plan with this few joints at these places needs less than {bound:g}{' boards' if one else ' mm'}"
    )
    says = f"{len(plan)} boards, {sum(map(len, stations))} joints; {claim}"
    inputs = tuple(
        Input(name.replace("_", " "), given[name], "mm") for name in ("kerf", "end_trim", "overlap", "grid", "least")
    )
    grounds = Grounds(inputs, "fewest joints, then least cost, then even joints", says, says, (GEOMETRY,))
    return Reckoning(results, (grounds,), (says,))


MOST_RUNS = 60
JOINTS = Reckoner(
    "joints",
    "where long runs are jointed so that they take the fewest boards",
    (
        LENGTH,
        Option(
            "run",
            "lengths",
            "LENGTHxCOUNT, as 5990x2; give it again for more",
            required=True,
            many=True,
            least=20,
            most=200000,
        ),
        *SAW,
        Option(
            "overlap", "length", "how far the pieces of a joint lap along the wall", default=0.0, least=0, most=2000
        ),
        Option("grid", "length", "between the places where a joint may come", default=50.0, least=1, most=2000),
        Option("least", "length", "shortest piece of a jointed run", default=600.0, least=1, most=30000),
    ),
    joints,
    {"mm": "bound_length board run joints"},
)

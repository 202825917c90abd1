"""The reckoner ``stock``: pieces out of stock lengths, without a survey."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.plugins.cutting.problem import GRID, Pattern, Problem, Stretch, steps_down, steps_up
from listel.plugins.cutting.search import solve


def stock(given: Mapping[str, Any]) -> Reckoning:
    """How many boards of the stock lengths make the pieces.

    ``length``: stock lengths [mm]; ``piece``: texts LENGTHxCOUNT; ``kerf`` and ``end_trim`` [mm]. Results: ``boards``,
    ``bound`` (the linear bound on boards of one length) or ``bound_length`` (that on the length bought, mm),
    ``proven``, ``bought`` (boards by length), ``patterns`` (each with its board, cuts and count), ``waste_share``.
    Raises ValueError for a text that is no piece, or a piece longer than every board.

    Source: the cutting-stock problem of Gilmore and Gomory, Operations Research 9, 1961, and 11, 1963 (published
    from memory).
    """
    kerf, trim = given["kerf"], given["end_trim"]
    wanted: dict[int, int] = {}
    for length, count in given["piece"]:
        wanted[steps_up(length)] = wanted.get(steps_up(length), 0) + count
    lengths = sorted(set(given["length"]))
    sizes = sorted(wanted, reverse=True)
    rooms = [steps_down(length - 2 * trim) for length in lengths]
    if sizes[0] > max(rooms):
        need = sizes[0] / GRID + 2 * trim
        raise ValueError(f"a piece of {sizes[0] / GRID:g} mm fits no board; the shortest that would do is {need:g} mm")
    one = len(lengths) == 1
    prices = [1] if one else [steps_up(length) for length in lengths]
    stretches = tuple(Stretch(room, price) for room, price in zip(rooms, prices, strict=True) if room > 0)
    lengths = [length for length, room in zip(lengths, rooms, strict=True) if room > 0]
    problem = Problem(tuple(sizes), tuple(wanted[size] for size in sizes), stretches, steps_up(kerf), max(rooms) + 1)
    solution = solve(problem)
    proof = solution.proofs[0]
    linear = float(proof.bound or 0) if solution.linear is None else solution.linear
    counted: dict[Pattern, int] = {}
    for pattern in solution.patterns:
        counted[pattern] = counted.get(pattern, 0) + 1
    bought = [sum(many for (stretch, _), many in counted.items() if stretch == at) for at in range(len(lengths))]
    total = sum(length * count for length, count in zip(lengths, bought, strict=True))
    used = sum(size * count for size, count in wanted.items()) / GRID
    results = {
        "boards": len(solution.patterns),
        "bound" if one else "bound_length": linear if one else linear / GRID,
        "proven": proof.proven,
        "bought": boards_bought(lengths, bought),
        "length_bought": total,
        "waste_share": 1 - used / total if total else 0.0,
        "patterns": [
            {
                "board": lengths[stretch],
                "cuts": [{"length": sizes[size] / GRID, "count": many} for size, many in cuts],
                "count": count,
            }
            for (stretch, cuts), count in sorted(counted.items())
        ],
    }
    least = f"{linear:.2f} boards" if one else f"{linear / GRID:.0f} mm"
    claim = "proven the least" if proof.proven else f"no plan needs less than {least}"
    says = f"{len(solution.patterns)} boards, {total:.0f} mm; {claim}"
    inputs = (Input("kerf", kerf, "mm"), Input("end trim", trim, "mm"))
    grounds = Grounds(inputs, "pieces and the kerfs between them fit each board", says, says, (GEOMETRY,))
    return Reckoning(results, (grounds,), (says,))


def boards_bought(lengths: Sequence[float], counts: Iterable[int]) -> list[dict[str, float]]:
    """How many boards of each length, as a result."""
    return [{"board": length, "count": count} for length, count in zip(lengths, counts, strict=True)]


LENGTH = Option(
    "length", "length", "a stock length; give it again for more", required=True, many=True, least=50, most=30000
)
SAW = (
    Option("kerf", "length", "saw kerf", default=3.0, least=0, most=20),
    Option("end-trim", "length", "trimmed off each board end", default=0.0, least=0, most=300),
)
STOCK = Reckoner(
    "stock",
    "how many boards make these pieces",
    (
        LENGTH,
        Option(
            "piece",
            "lengths",
            "LENGTHxCOUNT, as 1200x3; give it again for more",
            required=True,
            many=True,
            least=10,
            most=30000,
        ),
        *SAW,
    ),
    stock,
    {"mm": "bound_length length_bought board length"},
)

"""Cutting-stock and bin-packing instances whose best plans are published. The source of each stands in its id."""

from __future__ import annotations

import pytest

from listel.plugins.cutting.demand import both_ends, kerf_along, widest_kerf
from listel.plugins.cutting.greedy import longest_first
from listel.plugins.cutting.problem import GRID, Problem, Stretch
from listel.plugins.cutting.reckon import STOCK
from listel.plugins.setting_out import Piece, PieceEnd

CASES = [
    pytest.param(
        100,
        {45: 97, 36: 610, 31: 395, 14: 211},
        453,
        452.25,
        id="Gilmore and Gomory's method worked by hand: Chvatal, Linear Programming, 1983, chapter 13 (from memory)",
    ),
    pytest.param(
        5600,
        dict(
            zip(
                (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200),
                (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20),
                strict=True,
            )
        ),
        73,
        None,
        id="Paper rolls: the article Cutting stock problem, Wikipedia: 73 rolls, 0.401 % lost (from memory)",
    ),
    pytest.param(
        1000,
        {510: 6, 270: 6, 260: 6, 230: 12},
        9,
        9,
        id="Johnson, Demers, Ullman, Garey and Graham, SIAM Journal on Computing 3, 1974: 9 bins (from memory)",
    ),
]


@pytest.mark.parametrize(("length", "pieces", "boards", "bound"), CASES)
def test_boards_of_one_length(length: float, pieces: dict[int, int], boards: int, bound: float | None) -> None:
    given = {
        "length": (float(length),),
        "kerf": 0.0,
        "end_trim": 0.0,
        "piece": tuple((float(size), count) for size, count in pieces.items()),
    }
    results = STOCK.reckon(given).results
    assert results["boards"] == boards
    assert results["proven"]
    if bound is not None:
        assert results["bound"] == pytest.approx(bound)
    assert sum(pattern["count"] for pattern in results["patterns"]) == boards
    used = sum(size * count for size, count in pieces.items())
    assert results["waste_share"] == pytest.approx(1 - used / (boards * length))


def test_paper_rolls_lose_what_is_published() -> None:
    """The article Cutting stock problem, Wikipedia (from memory): 0.401 % of 73 rolls of 5600."""
    _, pieces, boards, _ = CASES[1].values
    used = sum(size * count for size, count in pieces.items())
    assert 100 * (1 - used / (boards * 5600)) == pytest.approx(0.401, abs=5e-4)


def test_longest_first_falls_short_by_two_elevenths() -> None:
    """Johnson and others, 1974 (from memory): longest first takes 11 bins where 9 would do."""
    pieces = {510: 6, 270: 6, 260: 6, 230: 12}
    problem = Problem(tuple(s * GRID for s in pieces), tuple(pieces.values()), (Stretch(1000 * GRID, 1),), 0, 10**6)
    assert len(longest_first(problem)) == 11


@pytest.mark.parametrize(
    ("angle", "bevel", "along"),
    [(90, 0, 3), (45, 0, 4.2426), (None, 0, 4.2426), (90, 60, 6), (45, 35.264, 5.1962), (5, 0, 30)],
)
def test_a_kerf_along_the_board(angle: float | None, bevel: float, along: float) -> None:
    """Plane geometry: a kerf of 3 mm over the sine of the cut and the cosine of the tilt. A cut nobody surveyed is
    taken as a mitre; ten times the kerf is the most that is charged (our own setting)."""
    assert kerf_along(3, angle, bevel) == pytest.approx(along, abs=0.001)


def test_a_splice_is_cut_off_square_and_its_scarf_at_the_bench() -> None:
    """A scarf of 1 in 6 lies 9.46 degrees off its length (geometry); who makes one does so on the bench, from a length
    that was cut off square (common practice, no source), so it widens no kerf of the others."""
    mitre, scarf = (
        PieceEnd(kind="external-mitre", cut_angle=45.0),
        PieceEnd(kind="scarf", cut_angle=9.4623, saw_reading=80.54),
    )
    square, lap = PieceEnd(kind="square", cut_angle=90.0), PieceEnd(kind="scarf", cut_angle=45.0, saw_reading=45.0)

    def piece(left: PieceEnd, right: PieceEnd) -> Piece:
        return Piece(
            label="S",
            room="R",
            wall="A",
            trim="T",
            start=0,
            end=560,
            back=560,
            face=560,
            overall=560,
            left=left,
            right=right,
        )

    assert widest_kerf([piece(scarf, scarf), piece(square, square)], 3) == pytest.approx(3)
    assert widest_kerf([piece(scarf, scarf), piece(square, mitre)], 3) == pytest.approx(4.2426, abs=1e-3)
    assert both_ends(piece(scarf, lap)) == ("scarf 1 in 6, at the bench", "scarf, saw at 45°")

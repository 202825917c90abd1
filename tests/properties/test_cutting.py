"""Laws of the cutting list, over problems small enough to try every plan, and over larger ones."""

from __future__ import annotations

import importlib.util
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from listel.plugins.cutting import branch, trying
from listel.plugins.cutting.bounds import purchase_bound
from listel.plugins.cutting.columns import generate
from listel.plugins.cutting.demand import Part
from listel.plugins.cutting.gather import gathered
from listel.plugins.cutting.greedy import (
    by_lot,
    longest_board,
    longest_first,
    smallest_offcut_first,
    start_plan,
    swapped,
)
from listel.plugins.cutting.plan import Laid
from listel.plugins.cutting.problem import Pattern, Problem, Score, Solution, Stretch
from listel.plugins.cutting.recut import recut
from listel.plugins.cutting.search import search, solve
from listel.plugins.cutting.small import solve_small
from listel.plugins.cutting.supply import Source
from listel.plugins.defects import BoardCheck

# ---------------------------------------------------------------- an outside checker and a search by trying everything


def check_plan(problem: Problem, patterns: tuple[Pattern, ...]) -> None:
    """Every piece once, every stretch long enough for its pieces and the kerfs between them, every limit kept."""
    made: Counter[int] = Counter()
    taken: Counter[int] = Counter()
    for stretch, cuts in patterns:
        lengths = [problem.sizes[size] for size, count in cuts for _ in range(count)]
        assert lengths
        assert sum(lengths) + problem.kerf * (len(lengths) - 1) <= problem.stretches[stretch].room
        taken[stretch] += 1
        for size, count in cuts:
            made[size] += count
    assert tuple(made[size] for size in range(len(problem.sizes))) == problem.wanted
    for number, stretch in enumerate(problem.stretches):
        assert stretch.limit is None or taken[number] <= stretch.limit


def filled(problem: Problem, stretch: Stretch, lengths: list[int]) -> Score | None:
    """What one filled stretch scores, reckoned from the words of the problem; None: the lengths do not fit."""
    over = sum(lengths) + problem.kerf * (len(lengths) - 1) - stretch.room
    if over > 0:
        return None
    left = max(0, -over - problem.kerf)
    worth = {length: (length * length // 4000 if length >= problem.keep else 0) for length in (left, stretch.room)}
    return stretch.price, (worth[stretch.room] if stretch.rack else 0) - worth[left], 1


def ways(pieces: list[int], boards: int) -> Iterator[list[list[int]]]:
    """Every way of parting pieces among ``boards`` that are told apart and any number that are not."""
    if not pieces:
        yield [[] for _ in range(boards)]
        return
    for way in ways(pieces[1:], boards):
        for place in range(len(way)):
            yield [*way[:place], [pieces[0], *way[place]], *way[place + 1 :]]
        yield [*way, [pieces[0]]]


def brute(problem: Problem) -> Score | None:
    """The best score of all plans, every one tried."""
    pieces = [problem.sizes[size] for size, count in enumerate(problem.wanted) for _ in range(count)]
    single = [stretch for stretch in problem.stretches for _ in range(stretch.limit or 0)]
    endless = [stretch for stretch in problem.stretches if stretch.limit is None]
    best: Score | None = None
    for way in ways(pieces, len(single)):
        total = (0, 0, 0)
        for place, lengths in enumerate(way):
            if not lengths:
                continue
            offers = [single[place]] if place < len(single) else endless
            scores = [score for stretch in offers if (score := filled(problem, stretch, lengths)) is not None]
            if not scores:
                break
            total = tuple(a + b for a, b in zip(total, min(scores), strict=True))  # type: ignore[assignment]
        else:
            best = total if best is None else min(best, total)
    return best


# ---------------------------------------------------------------- problems


@st.composite
def problems(draw: st.DrawFn, most: int = 6, offcuts: int = 2) -> Problem:
    lengths = draw(st.lists(st.integers(200, 2400), min_size=1, max_size=most))
    sizes = tuple(sorted(set(lengths), reverse=True))
    new = draw(
        st.lists(
            st.tuples(st.integers(2400, 5000), st.integers(100, 900)), min_size=1, max_size=2, unique_by=lambda b: b[0]
        )
    )
    rack = sorted(set(draw(st.lists(st.integers(300, 2600), max_size=offcuts))))
    stretches = [Stretch(room, price) for room, price in sorted(new)] + [Stretch(r, limit=1, rack=True) for r in rack]
    kerf, keep = draw(st.integers(0, 12)), draw(st.integers(200, 1500))
    return Problem(sizes, tuple(lengths.count(size) for size in sizes), tuple(stretches), kerf, keep)


def house(pieces: int, offcuts: int, seed: int) -> Problem:
    """A larger problem like a joiner's, by lot."""
    lots = Random(seed)
    lengths = [
        lots.choice((lots.randint(500, 1800), lots.randint(1800, 4600), lots.randint(4600, 9000)))
        for _ in range(pieces)
    ]
    sizes = tuple(sorted(set(lengths), reverse=True))
    stock = [
        Stretch(length * 2 - 60, round(length * (0.64 if length > 4000 else 0.61))) for length in range(2400, 5400, 600)
    ]
    rack = [Stretch(room, limit=1, rack=True) for room in sorted({lots.randint(1000, 5600) for _ in range(offcuts)})]
    return Problem(sizes, tuple(lengths.count(size) for size in sizes), (*stock, *rack), 6, 1200)


def scores(solution: Solution) -> Score:
    first, second, third = solution.proofs
    return first.value, second.value, third.value


# ---------------------------------------------------------------- the best plan


@given(problems())
def test_small_groups_are_as_good_as_trying_everything(problem: Problem) -> None:
    solution = solve_small(problem)
    assert solution is not None
    check_plan(problem, solution.patterns)
    assert scores(solution) == brute(problem) == problem.total(solution.patterns)


@settings(max_examples=25)
@given(problems(most=7, offcuts=3))
def test_the_solver_is_as_good_as_the_programme_for_small_groups(problem: Problem) -> None:
    exact = solve_small(problem)
    assume(exact is not None)
    assert exact is not None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trying, "MOST_PACKED", 0)
        solution = search(problem)
    check_plan(problem, solution.patterns)
    assert solution.proofs[0].bound == solution.proofs[0].value == exact.proofs[0].value
    assert scores(solution) >= scores(exact)


@given(problems(most=8, offcuts=3))
def test_trying_the_numbers_of_boards_never_claims_what_is_not_so(problem: Problem) -> None:
    exact = solve_small(problem)
    assume(exact is not None)
    assert exact is not None
    plan, bound = trying.tried(problem, longest_first(problem), 0)
    check_plan(problem, plan)
    assert bound <= exact.proofs[0].value <= problem.total(plan)[0]
    few = trying.cost_hangs_on_numbers(problem, longest_first(problem)) and problem.pieces < 5
    assert bound == problem.total(plan)[0] or not few


@settings(max_examples=25)
@given(problems(most=8, offcuts=3))
def test_numbers_bought_prove_what_trying_everything_finds(problem: Problem) -> None:
    """The same where HiGHS, not a search by trying, puts the pieces into the boards settled on."""
    exact = solve_small(problem)
    assume(exact is not None)
    assert exact is not None
    plan = longest_first(problem)
    linear = generate(problem, plan)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trying, "MOST_PACKED", 0)
        found, bound = branch.branched(problem, plan, linear)
    check_plan(problem, found)
    assert bound == problem.total(found)[0] == exact.proofs[0].value


@given(problems(most=12, offcuts=4), st.integers(0, 99))
def test_every_rule_makes_a_plan_no_cheaper_than_the_bounds(problem: Problem, seed: int) -> None:
    plans = [rule(problem) for rule in (smallest_offcut_first, longest_board, longest_first)]
    plans += [swapped(problem, plan) for plan in plans] + [by_lot(problem, Random(seed))]
    for plan in plans:
        check_plan(problem, plan)
        assert problem.total(plan)[0] >= max(problem.area_bound(), purchase_bound(problem))


@given(problems(most=7, offcuts=3))
def test_bounds_hold_at_the_optimum(problem: Problem) -> None:
    best = solve_small(problem)
    assume(best is not None)
    assert best is not None
    assert problem.area_bound() <= best.proofs[0].value
    assert purchase_bound(problem) <= best.proofs[0].value


@pytest.mark.parametrize("seed", range(3))
def test_larger_groups_are_proven_and_can_be_cut(seed: int) -> None:
    problem = house(24, 8, seed)
    solution = search(problem)
    check_plan(problem, solution.patterns)
    assert solution.proofs[0].proven
    assert solution.linear is not None
    assert problem.area_bound() <= solution.linear + 1e-6 <= solution.proofs[0].value + 1e-5


def test_a_large_group_stands_near_its_bound() -> None:
    problem = house(320, 20, 1)
    solution = search(problem)
    check_plan(problem, solution.patterns)
    assert solution.proofs[0].value <= 1.0005 * solution.proofs[0].bound


def test_cutting_again_betters_a_plan_and_leaves_no_piece_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("listel.plugins.cutting.recut.TIMES", 2)
    monkeypatch.setattr("listel.plugins.cutting.recut.PIECES", 50)
    problem = house(120, 20, 1)
    plan = start_plan(problem)
    again = recut(problem, plan, generate(problem, plan, loose=1e-4))
    check_plan(problem, again)
    assert problem.total(again)[0] < problem.total(plan)[0]


spec = importlib.util.spec_from_file_location(
    "bench_one_length", Path(__file__).parents[1] / "benchmarks" / "bench_one_length.py"
)
assert spec is not None and spec.loader is not None
one_length = importlib.util.module_from_spec(spec)
spec.loader.exec_module(one_length)


@pytest.mark.parametrize(
    "problem",
    [
        pytest.param(one_length.schwerin(7, 100), id="after Schwerin and Waescher, 1997 (from memory)"),
        pytest.param(one_length.waescher(3), id="after Waescher and Gau, 1996 (from memory)"),
        pytest.param(one_length.triplets(5, 20), id="triplets after Falkenauer, 1996 (from memory)"),
    ],
)
def test_pieces_of_one_stock_length_are_solved_to_the_last_board(problem: Problem) -> None:
    """Drawn by lot in the manner of published classes; the whole hundred is a benchmark."""
    solution = search(problem)
    check_plan(problem, solution.patterns)
    assert solution.proofs[0].proven


# ---------------------------------------------------------------- laws


def cost(problem: Problem) -> int:
    solution = solve(problem)
    assert solution.proofs[0].proven
    return solution.proofs[0].value


@settings(max_examples=25)
@given(problems(), st.integers(300, 2600))
def test_an_offcut_more_never_costs_more(problem: Problem, room: int) -> None:
    assume(all(stretch.room != room for stretch in problem.stretches))
    more = replace(problem, stretches=(*problem.stretches, Stretch(room, limit=1, rack=True)))
    assert cost(more) <= cost(problem)


@settings(max_examples=25)
@given(problems(), st.integers(0, 12))
def test_a_narrower_kerf_never_costs_more(problem: Problem, kerf: int) -> None:
    assert cost(replace(problem, kerf=min(kerf, problem.kerf))) <= cost(problem)


@settings(max_examples=25)
@given(problems(), st.data())
def test_a_piece_less_never_costs_more(problem: Problem, data: st.DataObject) -> None:
    size = data.draw(st.integers(0, len(problem.sizes) - 1))
    wanted = tuple(count - (number == size) for number, count in enumerate(problem.wanted))
    assume(any(wanted))
    assert cost(replace(problem, wanted=wanted)) <= cost(problem)


@settings(max_examples=25)
@given(problems(), st.integers(2, 5))
def test_the_cost_goes_with_the_prices(problem: Problem, times: int) -> None:
    dearer = tuple(replace(stretch, price=stretch.price * times) for stretch in problem.stretches)
    assert cost(replace(problem, stretches=dearer)) == times * cost(problem)


@settings(max_examples=25)
@given(problems(offcuts=1), st.integers(50, 900), st.integers(1, 60))
def test_a_defect_in_an_offcut_never_saves(problem: Problem, at: int, wide: int) -> None:
    assume(problem.stretches[-1].rack and problem.stretches[-1].room > at + wide + 1)
    whole = problem.stretches[-1]
    rooms = sorted({at, whole.room - at - wide})
    ends = tuple(Stretch(room, limit=1 if len(rooms) == 2 else 2, rack=True) for room in rooms)
    assert cost(replace(problem, stretches=(*problem.stretches[:-1], *ends))) >= cost(problem)


@settings(max_examples=40)
@given(st.integers(1200, 6000), st.integers(1, 2000))
def test_using_up_the_smallest_offcut_loses_least(room: int, piece: int) -> None:
    """The worth of a stretch is convex: of two offcuts that would do, cutting from the shorter loses less."""
    problem = Problem(
        (piece,), (1,), (Stretch(room, limit=1, rack=True), Stretch(room + 900, limit=1, rack=True)), 6, 1200
    )
    assume(piece <= room and room - piece - 6 >= problem.keep)
    solution = solve(problem)
    assert solution.patterns[0][0] == 0


# ---------------------------------------------------------------- houses gathered on boards


boards_of = st.lists(
    st.lists(st.tuples(st.integers(300, 1800), st.sampled_from("abc")), min_size=1, max_size=3), min_size=1, max_size=6
)


@settings(max_examples=60)
@given(boards_of, st.integers(0, 250))
def test_pieces_that_change_places_leave_every_board_holding_its_own(
    held: list[list[tuple[int, str]]], spare: int
) -> None:
    kerf, keep = 4.0, 300.0
    laid, owner = [], {}
    for board, on in enumerate(held):
        parts = [Part(f"{board}-{n}", float(length)) for n, (length, _) in enumerate(on)]
        owner |= {part.name: house for part, (_, house) in zip(parts, on, strict=True)}
        room = sum(length + kerf for length, _ in on) - kerf + spare
        check = BoardCheck(board=f"B{board}", trim="rail", rack=False, length=room, clear=((0.0, room),))
        laid.append(Laid(Source(check, 0.0, room), tuple(parts)))
    after = gathered(laid, lambda part: owner[part.name], kerf, keep)
    assert sorted(p.name for one in after for p in one.parts) == sorted(p.name for one in laid for p in one.parts)
    for one, before in zip(after, laid, strict=True):
        assert sum(part.length + kerf for part in one.parts) <= one.source.length + kerf + 1e-6
        assert len(one.parts) == len(before.parts)
    assert _incidences(after, owner) <= _incidences(laid, owner)


def _incidences(laid: list[Laid], owner: dict[str, str]) -> int:
    return sum(len({owner[part.name] for part in one.parts}) for one in laid)


def test_two_boards_of_two_houses_each_are_parted_by_house() -> None:
    check = BoardCheck(board="B", trim="rail", rack=False, length=2100.0, clear=((0.0, 2100.0),))
    owner = {"a1": "a", "a2": "a", "b1": "b", "b2": "b"}
    mixed = [
        Laid(Source(check, 0.0, 2100.0), (Part("a1", 1000.0), Part("b1", 1010.0))),
        Laid(Source(check, 0.0, 2100.0), (Part("a2", 1005.0), Part("b2", 1015.0))),
    ]
    after = gathered(mixed, lambda part: owner[part.name], 4.0, 300.0)
    assert [{owner[part.name] for part in one.parts} for one in after] in ([{"a"}, {"b"}], [{"b"}, {"a"}])

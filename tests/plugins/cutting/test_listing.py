"""The cutting list of a job: what fits, what is held, what is said, and where each cut falls."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Board, Cutting, Defect, Job, Trim
from listel.core.survey.units import Units
from listel.plugins.cutting import CuttingList, TrimCutting
from listel.plugins.cutting.demand import kerf_along, parts
from listel.plugins.cutting.files import cuts_csv, rack_yaml
from listel.plugins.cutting.greedy import start_plan
from listel.plugins.cutting.listing import examine
from listel.plugins.cutting.packing import packed
from listel.plugins.cutting.reckon import STOCK
from listel.plugins.cutting.short import short_pieces
from listel.plugins.defects import DefectChecks
from listel.plugins.defects.checks import examine as examine_defects
from listel.plugins.setting_out import Piece, PieceEnd, SettingOut

DADO = Trim("dado", "dado-rail", finish="paint", grade="J30")
SAW = Cutting(kerf=3, end_trim=10, keep=400, defect_margin=10)


def piece(label: str, overall: float, angle: float = 90, match: str = "", order: int = 0) -> Piece:
    kind = "square" if angle == 90 else "internal-mitre"
    end = PieceEnd(kind=kind, cut_angle=angle, saw_reading=90 - angle)
    return Piece(
        label=label,
        room="Hall",
        wall="A",
        trim="dado",
        start=0,
        end=overall,
        back=overall,
        face=overall,
        overall=overall,
        left=end,
        right=end,
        order=order,
        match=match,
    )


def stock(length: float, price: float | None = None, **rest: object) -> Board:
    return Board("dado", length, price=price, **rest)  # type: ignore[arg-type]


def cut(
    *pieces: Piece,
    stock: tuple[Board, ...] = (),
    rack: tuple[Board, ...] = (),
    saw: Cutting = SAW,
    units: Units = "mm",
) -> tuple[CuttingList, dict[str, Finding], Job, DefectChecks]:
    job = Job("invented", trim=(DADO,), stock=stock, rack=rack, cutting=saw, units=units)
    checks = next(r for r in examine_defects(job, Sheet()) if isinstance(r, DefectChecks))
    said = list(examine(job, Sheet({DefectChecks: checks, SettingOut: SettingOut(pieces=pieces)})))
    lists = [thing for thing in said if isinstance(thing, CuttingList)]
    assert len(lists) == 1
    return lists[0], {thing.rule: thing for thing in said if isinstance(thing, Finding)}, job, checks


def check_line(line: TrimCutting, pieces: dict[str, float], checks: DefectChecks, kerf: float) -> None:
    """Each piece once, at its length; no cut on a defect; lengths, kerfs, remnants and waste make up the board."""
    made = {c.piece: c.end - c.start for board in line.boards for c in board.cuts}
    assert made == pytest.approx(pieces)
    assert sum(len(board.cuts) for board in line.boards) == len(pieces)
    clear = {check.board: check.clear for check in checks.boards}
    for board in line.boards:
        taken = sorted([(c.start, c.end) for c in board.cuts] + list(board.remnants))
        for (_, end), (start, _) in pairwise(taken):
            assert start >= end + kerf - 1e-9 or start >= end + 1e-9
        for start, end in taken:
            name = board.board.split(" no. ")[0]
            assert any(a - 1e-9 <= start and end <= b + 1e-9 for a, b in clear[name])
        assert sum(end - start for start, end in taken) + board.waste == pytest.approx(board.length)


def test_rack_first_and_round_the_defect() -> None:
    knot = Defect(610, 655, "knot", size=32, sound=False)
    pieces = (piece("D1", 590), piece("D2", 1000), piece("D3", 2000))
    found, _, _, checks = cut(*pieces, stock=(stock(2400, 10.0),), rack=(Board("dado", 1740, "R3", defects=(knot,)),))
    line = found.lines[0]
    check_line(line, {p.label: p.overall for p in pieces}, checks, 3)
    assert line.cost == line.bound == 10.0 and line.proven and line.priced
    rack = next(board for board in line.boards if board.board == "R3")
    assert {c.piece for c in rack.cuts} == {"D1", "D2"} and rack.defects == ((610, 655, "knot"),)
    assert [(p.length, p.count, p.price) for p in line.bought] == [(2400, 1, 10.0)]


def test_smallest_offcut_that_will_do() -> None:
    rack = (Board("dado", 1500, "long"), Board("dado", 700, "short"))
    found, _, _, _ = cut(piece("D1", 690), rack=rack)
    assert [board.board for board in found.lines[0].boards] == ["short"]


@pytest.mark.parametrize("length", [2381, 9000])
def test_a_piece_longer_than_every_board_is_one_hold_that_names_it(length: float) -> None:
    found, said, _, _ = cut(piece("D1", 500), piece("D9", length), stock=(stock(2400, 10.0),))
    holds = [finding for finding in said.values() if finding.weight == "hold"]
    assert [finding.rule for finding in holds] == ["cutting/piece-fits-no-board"]
    assert "D9" in holds[0].says and f"{length + 20:.0f} mm" in holds[0].says
    assert [each.piece for each in found.lines[0].unmade] == ["D9"]
    assert found.lines[0].cost == 10.0 and [c.piece for b in found.lines[0].boards for c in b.cuts] == ["D1"]


def test_exactly_long_enough() -> None:
    _, said, _, _ = cut(piece("D9", 2380), stock=(stock(2400, 10.0),))
    assert not said


def test_too_few_boards_is_a_hold() -> None:
    pieces = [piece(f"D{n}", 1500) for n in range(3)]
    found, said, _, _ = cut(*pieces, stock=(stock(2400, 10.0, quantity=2),))
    assert said["cutting/not-enough-boards"].weight == "hold"
    assert len(found.lines[0].unmade) == 1


def test_pieces_without_boards_are_named_in_one_sentence_of_bounded_length() -> None:
    pieces = [piece(f"D{n}", 1500) for n in range(1, 101)]
    found, said, _, _ = cut(*pieces, stock=(stock(2400, 10.0, quantity=2),))
    says = said["cutting/not-enough-boards"].says
    assert says.startswith("The boards to be had do not make the pieces D")
    assert says.endswith(" and 68 more of dado.")
    assert len(found.lines[0].unmade) == 98


def test_a_great_many_pieces_that_fit_no_board_are_all_left_unmade() -> None:
    found, said, _, _ = cut(*(piece(f"D{n}", 2500) for n in range(1, 2001)), stock=(stock(2400, 10.0),))
    assert said["cutting/piece-fits-no-board"].weight == "hold"
    assert len(found.lines[0].unmade) == 2000


def test_no_stock_is_a_missing_fact_with_advice() -> None:
    found, said, _, _ = cut(piece("D1", 2300), piece("D2", 2300))
    assert said["cutting/stock-not-surveyed"].weight == "caution"
    assert "2 of 2400 mm" in said["cutting/usual-lengths"].says and "1 of 4800 mm" in said["cutting/usual-lengths"].says
    assert found.lines[0].boards == ()


def test_without_prices_the_length_bought_is_the_cost() -> None:
    found, said, _, _ = cut(piece("D1", 2300), piece("D2", 1700), stock=(stock(2400), stock(4200)))
    assert not found.lines[0].priced and found.lines[0].cost == 4200
    assert "cutting/price-not-surveyed" in said


@pytest.mark.parametrize("price", [0.0, 0.001])
def test_a_board_that_costs_nothing_is_a_board(price: float) -> None:
    pieces = [piece(f"D{n}", 700 + 37 * n) for n in range(16)]
    found, said, _, _ = cut(*pieces, stock=(stock(2400, price), stock(3600, 9.0)))
    line = found.lines[0]
    assert line.cost == line.bound == 0.0 and line.proven and line.priced and not line.unmade
    alone = cut(*pieces, stock=(stock(2400, price),))[0].lines[0]
    assert alone.cost == 0.0 and sum(each.count for each in alone.bought) <= sum(each.count for each in line.bought)
    assert "cutting/price-not-surveyed" not in said


def test_a_list_that_fails_leaves_the_old_file_and_says_why(
    tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from listel.core.commands.cli import main

    def broken(*given: object) -> None:
        raise ArithmeticError("no plan")

    old = tmp_path / "cuts.csv"
    old.write_text("as it was")
    monkeypatch.setattr("listel.plugins.cutting.listing.solve", broken)
    assert main(["cutting", str(examples / "plain-room.yaml"), "--out", str(old)]) == 2
    assert old.read_text() == "as it was"
    told = capsys.readouterr().err
    assert "no file was written" in told and "no plan" in told


def test_the_bench_list_is_the_plan_of_the_statement(examples: Path) -> None:
    """The list that is watched at the terminal and the list that nobody watches are one."""
    from listel.core.host.engine import examine as examine_job
    from listel.core.host.registry import load
    from listel.core.survey.reading import job_from_text
    from listel.plugins.cutting.search import WATCH, Watch

    job = job_from_text((examples / "stair-hall.yaml").read_text(encoding="utf-8"))
    unwatched = examine_job(job, load([])).sheet[CuttingList]
    token = WATCH.set(Watch(lambda objective, value, bound: None, keep_best=True))
    try:
        assert examine_job(job, load([])).sheet[CuttingList] == unwatched
    finally:
        WATCH.reset(token)


def test_grain_runs_on_in_one_board() -> None:
    pieces = [piece("D1", 900, match="breast", order=1), piece("D2", 1200, match="breast", order=2), piece("D3", 900)]
    found, _, _, _ = cut(*pieces, stock=(stock(2400, 10.0),))
    together = [[c.piece for c in board.cuts] for board in found.lines[0].boards]
    assert ["D1", "D2"] in together


def test_grain_that_cannot_run_is_said() -> None:
    pieces = [piece("D1", 1400, match="breast"), piece("D2", 1400, match="breast", order=1)]
    found, said, _, _ = cut(*pieces, stock=(stock(2400, 10.0),))
    assert "breast" in said["cutting/grain-cannot-run"].says
    assert len(found.lines[0].boards) == 2


def test_a_return_is_cut_off_a_longer_length_and_asks_for_no_spare() -> None:
    """The wedge is in the list, the caution names it, and the spares are counted on the pieces alone."""
    wedge = replace(piece("D-1r", 28, 45), part_of="D-1")
    wanted = [piece("D-1", 1000), piece("D-2", 1000), wedge]
    found = list(short_pieces(Job("a job"), Trim("dado", "dado-rail"), wanted))
    assert [(each.rule, each.weight) for each in found] == [("cutting/short-pieces", "caution")]
    assert "D-1r of the dado" in found[0].says and "D-2" not in found[0].says
    assert list(short_pieces(Job("a job"), Trim("dado", "dado-rail"), wanted[:2])) == []
    cut_parts, _ = parts(wanted, 3, 4000, 50)
    assert [part.name for part in cut_parts] == ["D-1", "D-2", "spare 1", "D-1r"]
    job = Job("a job", trim=(DADO,), stock=(stock(2400, 10.0),), cutting=SAW)
    checks = next(each for each in examine_defects(job, Sheet()) if isinstance(each, DefectChecks))
    sheet = Sheet({SettingOut: SettingOut(pieces=tuple(wanted[:2]), returns=(wedge,)), DefectChecks: checks})
    *_, cutting = examine(job, sheet)
    assert isinstance(cutting, CuttingList)
    assert {each.piece for board in cutting.lines[0].boards for each in board.cuts} == {"D-1", "D-2", "D-1r"}


@pytest.mark.parametrize(("share", "spares"), [(5, 1), (33, 1), (34, 2)])
def test_spare_timber_is_a_share_of_the_length_in_pieces_that_serve_for_any(share: float, spares: int) -> None:
    """Three pieces of 1 m: a third of their length is one piece more."""
    wanted = [piece("D-1", 1000), piece("D-2", 1000), piece("D-3", 1000)]
    found, _ = parts(wanted, 3, 4000, share)
    assert [part.length for part in found if not part.pieces] == [1000] * spares


def test_spares_are_as_long_as_the_longest() -> None:
    saw = Cutting(kerf=3, end_trim=0, spare=10)
    found, _, _, _ = cut(piece("D1", 1000), piece("D2", 600), stock=(stock(2400, 10.0),), saw=saw)
    spare = [c for board in found.lines[0].boards for c in board.cuts if c.piece == "spare 1"]
    assert len(spare) == 1 and spare[0].end - spare[0].start == 1000


def test_mitres_widen_the_kerf() -> None:
    assert kerf_along(3, 45) == pytest.approx(4.2426, abs=1e-4)
    found, _, _, _ = cut(piece("D1", 1000, 45), piece("D2", 1000, 45), stock=(stock(2400, 10.0),))
    first, second = found.lines[0].boards[0].cuts
    assert second.start - first.end == pytest.approx(4.2426, abs=1e-4)
    assert "internal mitre" in first.left


def test_rack_timber_may_be_priced() -> None:
    saw = Cutting(kerf=3, end_trim=0, rack_price=50)
    found, _, _, _ = cut(piece("D1", 1000), stock=(stock(2000, 20.0),), rack=(Board("dado", 1200, "R1"),), saw=saw)
    assert 0 < found.lines[0].cost < 20 and found.lines[0].boards[0].board == "R1"


def test_order_of_the_survey_changes_nothing() -> None:
    lots = Random(2)
    pieces = [piece(f"D{n}", lots.randint(300, 2300), order=n) for n in range(14)]
    boards = [Board("dado", lots.randint(700, 1900), f"R{n}") for n in range(4)]
    new = [stock(2400, 10.0), stock(3600, 15.5)]
    first, _, _, checks = cut(*pieces, stock=tuple(new), rack=tuple(boards))
    check_line(first.lines[0], {p.label: p.overall for p in pieces}, checks, 3)
    for _ in range(3):
        lots.shuffle(pieces)
        lots.shuffle(boards)
        lots.shuffle(new)
        assert cut(*pieces, stock=tuple(new), rack=tuple(boards))[0] == first


def test_no_pieces_no_lines() -> None:
    assert cut()[0] == CuttingList()
    job = Job("bare")
    assert list(examine(job, Sheet({DefectChecks: DefectChecks()}))) == [CuttingList()]


def test_a_piece_that_no_board_gives_stands_in_the_file_without_one_and_why() -> None:
    found, _, _, _ = cut(piece("D1", 500), piece("D9", 2500), stock=(stock(2400, 10.0),))
    rows = {row["piece"]: row for row in csv.DictReader(io.StringIO(cuts_csv(Job("a job"), found)))}
    assert (rows["D9"]["board"], rows["D9"]["length, mm"], rows["D9"]["why"]) == ("", "2500.0", "longer than any board")
    assert rows["D1"]["board"] and not rows["D1"]["why"]
    found, _, _, _ = cut(piece("D1", 500))
    assert [(each.piece, each.why) for each in found.lines[0].unmade] == [("D1", "no board is listed for it")]


def test_files() -> None:
    stain = Defect(1500, 1520, "stain")
    rack = (Board("dado", 2600, "R1", defects=(stain,)), Board("dado", 3000, "R2"))
    found, _, job, checks = cut(
        piece("D1", 1000, order=1), piece("=D2", 100, order=2), stock=(stock(2400, 10.0),), rack=rack
    )
    rows = list(csv.DictReader(io.StringIO(cuts_csv(Job("a job"), found))))
    assert [(row["piece"], row["start, mm"], row["end, mm"]) for row in rows] == [
        ("D1", "0.0", "1000.0"),
        ("'=D2", "1003.0", "1103.0"),
    ]
    from ruamel.yaml import YAML

    left = YAML(typ="safe").load(rack_yaml(job, checks, found))["rack"]
    assert left[0] == {"for": "dado", "name": "R2", "length": "3000 mm"}
    assert left[1]["name"] == "R1, left 1" and left[1]["length"] == "1494 mm"
    assert left[1]["defects"] == [{"from": "394 mm", "to": "414 mm", "kind": "stain"}]


def test_reckoner_names_the_shortest_board_that_would_do() -> None:
    with pytest.raises(ValueError, match="4320 mm"):
        STOCK.reckon({"length": (4200.0,), "piece": ((4300.0, 1),), "kerf": 3.0, "end_trim": 10.0})


def test_reckoner_takes_several_lengths() -> None:
    results = STOCK.reckon({"length": (2400.0, 3000.0), "piece": ((1195.0, 4),), "kerf": 3.0, "end_trim": 0.0}).results
    assert results["length_bought"] == 4800 and results["proven"]
    assert results["bought"] == [{"board": 2400.0, "count": 2}, {"board": 3000.0, "count": 0}]


def test_a_small_group_never_loads_the_solver() -> None:
    code = (
        "import sys, listel.plugins.cutting.listing\n"
        "from listel.plugins.cutting.problem import Problem, Stretch\n"
        "from listel.plugins.cutting.search import solve\n"
        "p = Problem((4000, 3000, 900), (2, 1, 2), (Stretch(8000, 30), Stretch(4200, limit=1, rack=True)), 6, 800)\n"
        "assert solve(p).proofs[0].proven\n"
        "assert 'highspy' not in sys.modules and 'numpy' not in sys.modules\n"
    )
    ended = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr


def test_where_simple_bounds_settle_the_cost_the_solver_is_never_loaded(examples: Path) -> None:
    surveys = [str(examples / "plain-room.yaml")]
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from listel.core.host.engine import examine\n"
        "from listel.core.host.registry import load\n"
        "from listel.core.survey.reading import job_from_text\n"
        "for path in map(Path, sys.argv[1:]):\n"
        "    examine(job_from_text(path.read_text(encoding='utf-8')), load([]))\n"
        "assert 'listel.plugins.cutting.search' in sys.modules\n"
        "assert 'highspy' not in sys.modules and 'numpy' not in sys.modules\n"
    )
    ended = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, *surveys], capture_output=True, text=True, check=False
    )
    assert ended.returncode == 0, ended.stderr


def test_without_the_solver_the_everyday_rules_give_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    from listel.plugins.cutting.problem import Problem, Stretch
    from listel.plugins.cutting.search import search

    monkeypatch.setitem(sys.modules, "highspy", None)
    for name in ("settle", "branch", "columns", "master"):
        monkeypatch.delitem(sys.modules, f"listel.plugins.cutting.{name}", raising=False)
    problem = Problem((5000, 3000), (3, 4), (Stretch(8000, 31), Stretch(9900, 41)), 6, 800)
    solution = search(problem)
    assert solution.proofs[0].bound <= solution.proofs[0].value == problem.total(solution.patterns)[0]


@pytest.mark.parametrize(
    ("rooms", "takes", "goes"),
    [
        ([10, 6], [5, 5, 4, 2], True),
        ([10, 6], [7, 5, 4], False),
        ([9, 9, 9], [5, 5, 5, 4, 4, 4], True),
        ([5], [6], False),
    ],
)
def test_packing(rooms: list[int], takes: list[int], goes: bool) -> None:
    found = packed(rooms, takes)
    assert (found is not None) is goes
    if found is not None:
        assert all(sum(takes[n] for n in held) <= room for room, held in zip(rooms, found, strict=True))
        assert sorted(n for held in found for n in held) == list(range(len(takes)))


def test_an_interrupt_keeps_the_best_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    from listel.plugins.cutting import search as module
    from listel.plugins.cutting.problem import Problem, Stretch

    def stop(objective: str, value: int, bound: int) -> None:
        raise KeyboardInterrupt

    lots = Random(3)
    sizes = tuple(sorted((lots.randint(900, 4800) for _ in range(30)), reverse=True))
    problem = Problem(sizes, (1,) * 30, (Stretch(8000, 31), Stretch(10100, 43)), 6, 800)
    monkeypatch.setattr(module, "purchase_bound", lambda problem: 0)
    watch = module.Watch(stop, keep_best=True)
    kept = module.search(problem, watch)
    assert kept.stopped and kept.patterns and watch.stopped
    after = module.solve(problem, watch)
    assert after.stopped and after.patterns == start_plan(problem), "nothing more is searched"
    with pytest.raises(KeyboardInterrupt):
        module.search(problem, module.Watch(stop))


def test_lengths_usually_sold_in_feet() -> None:
    """Common practice: timber is sold in even feet, here from 8 to 16; a piece of 2407 fits 8 ft less two trims."""
    _, said, _, _ = cut(piece("D1", 2407), units="inches")
    lengths = [f"{feet}' 0\"" for feet in (8, 10, 12, 14, 16)]
    assert ", or ".join(f"1 of {length}" for length in lengths) in said["cutting/usual-lengths"].says


def test_of_a_trim_that_no_board_gives_nothing_is_proven(examples: Path, tmp_path: Path, capsys) -> None:
    from listel.core.commands.cli import main

    path = tmp_path / "bare.yaml"
    text = (examples.parent / "bases" / "one-wall.yaml").read_text("utf-8")
    path.write_text(text[: text.index("stock:")], "utf-8")
    main(["cutting", str(path)])
    said = capsys.readouterr().out
    assert "skirting: no board to cut it from" in said and "proven" not in said and "lost" not in said

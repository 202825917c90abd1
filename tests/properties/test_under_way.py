"""Laws of a trim under way: pieces cut, fixed, spoilt, and walls measured again, in any order."""

from __future__ import annotations

import json
from collections import Counter
from itertools import pairwise
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from listel.core.contract.stage import Sheet
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.cutting import CutBoard, CuttingList, TrimCutting
from listel.plugins.setting_out import Piece, SettingOut

REGISTRY = load([], entry_points=False)
STOCK = {"A": 3000, "B": 4200}
RACK = 1500.0
HAIR = 0.2
"""mm: places in a survey are written to a tenth."""


def survey(lengths: dict[str, float], done: list[dict[str, Any]]) -> dict[str, Any]:
    """A room of four walls with one trim."""
    walls = [
        {"name": name, "length": length, "corner": {"kind": "internal", "angle": 90}}
        for name, length in lengths.items()
    ]
    return {
        "listel": 1,
        "job": {"title": "An invented room"},
        "rooms": [{"name": "Hall", "height": 2600, "walls": walls}],
        "trim": [
            {
                "name": "rail",
                "member": "picture-rail",
                "where": [{"room": "Hall", "walls": "all"}],
                "top": 2200,
                "section": {"height": 50, "projection": 20},
                "internal": "cope",
            }
        ],
        "stock": [{"for": "rail", "length": length, "price": length / 1000} for length in STOCK.values()],
        "rack": [{"for": "rail", "name": "R1", "length": RACK}],
        "cutting": {"kerf": 3, "end-trim": 10, "keep": 300},
        **({"done": {"pieces": done}} if done else {}),
    }


def outcome_of(lengths: dict[str, float], done: list[dict[str, Any]]) -> Outcome:
    return examine(job_from_text(json.dumps(survey(lengths, done))), REGISTRY)


def line_of(sheet: Sheet) -> TrimCutting:
    found: CuttingList = sheet[CuttingList]
    return found.lines[0]


def places_of(line: TrimCutting) -> dict[str, tuple[str, float]]:
    """The board of every piece, and where on it the piece starts."""
    return {cut.piece: (board.board, cut.start) for board in line.boards for cut in board.cuts}


@settings(max_examples=8)
@given(st.permutations(range(8)), st.sampled_from([1500.0, 2290.0]))
def test_what_is_cut_leaves_every_other_piece_where_it_was_marked_out(order: list[int], rack: float) -> None:
    """On boards with a knot in them too, on either side of which pieces lie."""
    lengths = {"A": 571.0, "B": 531.0, "C": 506.0, "D": 1900.0, "E": 700.0, "F": 640.0, "G": 2100.0, "H": 480.0}
    data = survey(lengths, [])
    data["rack"][0] |= {
        "length": rack,
        "defects": [{"from": 700, "to": 740, "kind": "knot", "size": 28, "sound": False}],
    }

    def line() -> TrimCutting:
        return line_of(examine(job_from_text(json.dumps(data)), REGISTRY).sheet)

    marked = places_of(line())
    told = data.setdefault("done", {"pieces": []})["pieces"]
    for label in [sorted(marked)[number % len(marked)] for number in order]:
        board, at = marked[label]
        length = next(cut.end - cut.start for each in line().boards for cut in each.cuts if cut.piece == label)
        told.append(
            {"piece": label, "for": "rail", "state": "cut", "by": "A", "board": board, "at": at, "length": length}
        )
        now = places_of(line())
        assert now.keys() == marked.keys() - {entry["piece"] for entry in told}
        for other, (on, start) in now.items():
            assert on == marked[other][0], other
            assert abs(start - marked[other][1]) < HAIR, other


@settings(max_examples=12)
@given(st.permutations(range(6)), st.lists(st.sampled_from(["board", "at", "length"]), unique=True), st.integers(1, 6))
def test_what_is_not_told_of_a_piece_is_taken_as_it_was_planned_and_asked_for(
    order: list[int], told: list[str], many: int
) -> None:
    """Whatever is left out of board, place and length, the open list is that of the pieces told in full: no board is
    cut from twice, and none is bought anew."""
    lengths = {"A": 3400.0, "B": 1900.0, "C": 1100.0, "D": 900.0, "E": 1500.0, "F": 700.0}
    planned = line_of(outcome_of(lengths, []).sheet)
    cuts = {cut.piece: (board.board, cut) for board in planned.boards for cut in board.cuts}
    full, bare = [], []
    for label in [sorted(cuts)[number % len(cuts)] for number in order[:many]]:
        board, cut = cuts[label]
        entry = {"piece": label, "for": "rail", "state": "cut", "by": "A"}
        whole = {"board": board, "at": cut.start, "length": cut.end - cut.start}
        full.append(entry | whole)
        bare.append(entry | {key: whole[key] for key in told})
    outcome, now = outcome_of(lengths, bare), line_of(outcome_of(lengths, full).sheet)
    found = line_of(outcome.sheet)
    assert places_of(found).keys() == places_of(now).keys()
    for label, (board, at) in places_of(found).items():
        assert board == places_of(now)[label][0] and abs(at - places_of(now)[label][1]) < HAIR
    assert found.bought == now.bought and found.had == now.had
    assert Counter({each.length: each.count for each in found.in_all}) == Counter(
        {each.length: each.count for each in planned.bought}
    )
    asked = [finding for finding in outcome.findings if finding.rule == "cutting/done-not-told"]
    assert len(asked) == (0 if len(told) == 3 else len(bare))


def test_a_piece_from_a_board_that_is_told_leaves_the_rest_of_it_only() -> None:
    lengths = {"A": 1400.0, "B": 1400.0, "C": 1400.0, "D": 1400.0}
    labels = [piece.label for piece in outcome_of(lengths, []).sheet[SettingOut].pieces]
    told = [{"piece": labels[0], "for": "rail", "state": "cut", "by": "A", "board": "R1"}]
    open_list = line_of(outcome_of(lengths, told).sheet)
    assert labels[0] not in places_of(open_list)
    assert "R1" not in {board for board, _ in places_of(open_list).values()}


def test_a_spoilt_board_makes_the_timber_of_the_whole_job_dearer_and_never_cheaper() -> None:
    lengths = {"A": 2900.0, "B": 2900.0, "C": 2900.0, "D": 2900.0}
    before = line_of(outcome_of(lengths, []).sheet)
    label = next(cut.piece for board in before.boards for cut in board.cuts if board.bought)
    told = [{"piece": label, "for": "rail", "state": "spoilt", "by": "A"}]
    after = line_of(outcome_of(lengths, told).sheet)

    def worth(line: TrimCutting) -> float:
        return sum(each.count * (each.price or 0.0) for each in line.in_all)

    assert worth(after) > worth(before)


class UnderWay(RuleBasedStateMachine):
    """A job from the first piece to the last."""

    def __init__(self) -> None:
        super().__init__()
        self.lengths = {"A": 3400.0, "B": 1900.0, "C": 3400.0, "D": 1900.0}
        self.done: list[dict[str, Any]] = []
        self._look()
        self.planned = line_of(self.outcome.sheet)

    def _look(self) -> None:
        self.outcome = outcome_of(self.lengths, self.done)
        self.line = line_of(self.outcome.sheet)

    @property
    def pieces(self) -> dict[str, Piece]:
        found: SettingOut = self.outcome.sheet[SettingOut]
        return {piece.label: piece for piece in found.pieces}

    @property
    def made(self) -> set[str]:
        last = {entry["piece"]: entry["state"] for entry in self.done}
        return {label for label, state in last.items() if state != "spoilt"}

    def _mark(self, number: int, state: str) -> None:
        cuts = [(board, cut) for board in self.line.boards for cut in board.cuts]
        board, cut = cuts[number % len(cuts)]
        about = {"length": round(cut.end - cut.start, 1), "board": board.board, "at": round(cut.start, 1)}
        self.done.append({"piece": cut.piece, "for": "rail", "state": state, "by": "A", **about})
        self._look()

    @precondition(lambda self: self.line.boards)
    @rule(number=st.integers(0, 20), state=st.sampled_from(["cut", "dry-fitted", "fixed"]))
    def make(self, number: int, state: str) -> None:
        cost = self.line.cost
        self._mark(number, state)
        assert self.line.cost <= cost + 1e-6

    @precondition(lambda self: self.line.boards and sum(entry["state"] == "spoilt" for entry in self.done) < 3)
    @rule(number=st.integers(0, 20))
    def spoil(self, number: int) -> None:
        self._mark(number, "spoilt")

    @rule(wall=st.sampled_from("ABCD"), more=st.sampled_from([-6.0, -0.4, 3.0]))
    def measure_again(self, wall: str, more: float) -> None:
        before = self.pieces
        self.lengths[wall] += more
        self._look()
        rule = "cutting/done-no-longer-fits"
        misfits = {finding.where.piece for finding in self.outcome.findings if finding.rule == rule}
        for label in self.made & self.pieces.keys():
            changed = abs(self.pieces[label].overall - before[label].overall) > 1.5
            length = next(entry["length"] for entry in reversed(self.done) if entry["piece"] == label)
            told = label in misfits
            assert told == (abs(length - self.pieces[label].overall) > 1.0) or not changed

    @invariant()
    def what_is_open_is_cut_once_and_what_is_done_is_not(self) -> None:
        cut = Counter(cut.piece for board in self.line.boards for cut in board.cuts)
        assert cut == Counter(self.pieces.keys() - self.made)
        assert not self.line.unmade

    @invariant()
    def timber_in_is_pieces_kerf_remnants_and_waste(self) -> None:
        for name, stretches in self._stretches().items():
            ordered = sorted(stretches)
            for (_, end), (start, _) in pairwise(ordered):
                assert end <= start + HAIR, name
            assert ordered[0][0] >= -HAIR and ordered[-1][1] <= self._length(name) + HAIR

    @invariant()
    def a_board_not_begun_is_its_cuts_its_remnants_and_its_waste(self) -> None:
        begun = {entry["board"] for entry in self.done}
        for board in self.line.boards:
            whole = sum(cut.end - cut.start for cut in board.cuts) + sum(b - a for a, b in board.remnants) + board.waste
            assert board.board in begun or abs(whole - board.length) < 1e-6

    @invariant()
    def with_all_done_nothing_is_bought(self) -> None:
        if self.pieces.keys() <= self.made:
            assert not self.line.boards and not self.line.bought and self.line.cost == 0

    def _stretches(self) -> dict[str, list[tuple[float, float]]]:
        """What is cut from every board, done and still to do."""
        found: dict[str, list[tuple[float, float]]] = {}
        for entry in self.done:
            found.setdefault(entry["board"], []).append((entry["at"], entry["at"] + entry["length"]))
        for board in self.line.boards:
            found.setdefault(board.board, []).extend((cut.start, cut.end) for cut in board.cuts)
        return found

    def _length(self, name: str) -> float:
        boards: dict[str, CutBoard] = {board.board: board for board in (*self.planned.boards, *self.line.boards)}
        return RACK if name == "R1" else boards[name].length if name in boards else max(STOCK.values())


TestUnderWay = UnderWay.TestCase
TestUnderWay.settings = settings(max_examples=6, stateful_step_count=10)


def test_with_all_done_nothing_is_bought() -> None:
    lengths = {"A": 3400.0, "B": 1900.0, "C": 3400.0, "D": 1900.0}
    planned = line_of(outcome_of(lengths, []).sheet)
    done = [
        {"piece": cut.piece, "for": "rail", "state": "fixed", "by": "A"}
        | {"length": round(cut.end - cut.start, 1), "board": board.board, "at": round(cut.start, 1)}
        for board in planned.boards
        for cut in board.cuts
    ]
    after = line_of(outcome_of(lengths, done).sheet)
    assert planned.cost > 0
    assert (after.boards, after.bought, after.cost, after.unmade) == ((), (), 0, ())

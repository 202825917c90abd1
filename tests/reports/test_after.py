"""After the statement: pieces told as done, walls measured again, revisions, the record as fixed."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.survey.reading import read_survey
from listel.plugins.cutting.listing import OBJECTIVES

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
BY = ["--by", "A joiner", "--on", "2026-05-04"]
STEPS = {
    "asbestos-check": "asbestos-surveyor",
    "lead-check": "lead-tester",
    "detect-services": "electrician",
    "restore-power": "electrician",
}
"""Steps that protect somebody, each with who may say so."""


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """The plain room in a folder of its own."""
    path = tmp_path / "room.yaml"
    path.write_text((EXAMPLES / "plain-room.yaml").read_text())
    return path


@pytest.fixture
def hall(tmp_path: Path) -> Path:
    """The stair hall in a folder of its own, with its photographs."""
    path = tmp_path / "hall.yaml"
    path.write_text((EXAMPLES / "stair-hall.yaml").read_text())
    (tmp_path / "photos").symlink_to(EXAMPLES / "photos")
    return path


def cutting(path: Path, capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, dict[str, object]]:
    capsys.readouterr()
    main(["cutting", str(path), "--json", *words])
    return {line["trim"]: line for line in json.loads(capsys.readouterr().out)["trims"]}


def boards(line: dict[str, object]) -> dict[str, set[str]]:
    return {board["board"]: {cut["piece"] for cut in board["cuts"]} for board in line["boards"]}


def test_three_fixed_and_one_spoilt_leave_the_others_where_they_were(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = cutting(hall, capsys)
    main(["done", str(hall), "PR-B1", "PR-F1", "PR-C1", *BY])
    main(["done", str(hall), "PR-E1", "--state", "spoilt", *BY])
    after = cutting(hall, capsys, "--open")
    was, now = boards(before["picture rail"]), boards(after["picture rail"])
    assert after["skirting"] == before["skirting"]
    open_ = {piece for pieces in was.values() for piece in pieces} - {"PR-B1", "PR-F1", "PR-C1"}
    spare = {board for board, pieces in was.items() if "spare 1" in pieces}
    assert {piece for pieces in now.values() for piece in pieces} == open_ - {"spare 1"}
    assert not spare & now.keys(), "the spoilt one is what it was for: no board is bought for it any more"
    for board, pieces in was.items():
        kept = pieces & open_ - {"PR-E1"}
        assert board in spare or kept <= now.get(board, set()), board
    assert after["picture rail"]["cost"] <= before["picture rail"]["cost"]
    name, cost, bound, proven = after["picture rail"]["objectives"][0]
    assert (name, cost, proven) == (OBJECTIVES[0], bound, True)


def test_what_is_told_as_done_changes_no_other_line_of_the_survey(room: Path) -> None:
    before = room.read_text().splitlines()
    assert main(["done", str(room), "S-A1", "S-A2", *BY]) == 0
    after = room.read_text().splitlines()
    assert [line for line in after if line in before] == before
    job = read_survey(room)
    assert [(one.piece, one.state, one.trim) for one in job.done.pieces] == [
        ("S-A1", "fixed", "skirting"),
        ("S-A2", "fixed", "skirting"),
    ]
    assert all(one.length and one.board and one.at is not None for one in job.done.pieces)


def test_a_later_state_keeps_the_board_it_was_cut_from(room: Path) -> None:
    main(["done", str(room), "S-A1", "--state", "cut", *BY])
    main(["done", str(room), "S-A1", *BY])
    first, second = read_survey(room).done.pieces
    assert (first.board, first.at, first.length) == (second.board, second.at, second.length)
    assert second.state == "fixed"


def test_a_wall_measured_again_keeps_what_it_read_and_tells_what_no_longer_fits(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["done", str(hall), "S-FP-A2", *BY])
    again = ["--wall", "Front parlour/A", "--length", "4866", "--angle", "91", "--why", "the plaster is off"]
    assert main(["done", str(hall), *again, *BY]) == 0
    wall = read_survey(hall).room("Front parlour").wall("A")
    (earlier,) = wall.earlier
    assert wall.length is not None and wall.length.value == 4866
    assert (earlier.length, earlier.on, earlier.by) == (4861.5, "2026-05-04", "A joiner")
    assert earlier.why == "the plaster is off"
    capsys.readouterr()
    main(["statement", str(hall), "--json"])
    told = [finding["says"] for finding in json.loads(capsys.readouterr().out)["findings"]]
    again = "was measured again on 2026-05-04 by A joiner, since the plaster is off:"
    assert f"Wall A {again} 4866 mm, and 4862 mm before." in told
    assert f"The corner at the right of wall A {again} 91°, and 91.3° before." in told
    assert any(says.startswith("S-FP-A2 is fixed, and as measured now it is") for says in told)


def test_a_wall_measured_again_says_where_its_room_closes_no_more(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    survey = tmp_path / "parlour.yaml"
    survey.write_text((files("listel.schemas") / "bases" / "whole-room.yaml").read_text(encoding="utf-8"), "utf-8")
    for length, closes in (("4002", True), ("4300", False)):
        again = ["--wall", "Parlour/C", "--length", length, "--why", "read again"]
        assert main(["done", str(survey), *again, *BY]) == 0
        assert ("does not close" in capsys.readouterr().out) != closes


def test_a_wall_measured_again_names_the_pieces_it_changes(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Back bedroom/A reads 3617 for 3620: the pieces that end in its corner are 3 mm shorter, and no others."""
    main(["done", str(room), "S-A2", *BY])
    again = ["done", str(room), "--wall", "Back bedroom/A", "--why", "the plaster is off", *BY]
    capsys.readouterr()
    for measured, told in (
        (["--length", "3617"], ["PR-A2: 265 mm, and 268 mm before", "S-A2: 265 mm, and 268 mm before; it is fixed"]),
        (["--length", "3617"], ["no piece is cut otherwise"]),
    ):
        assert main([*again, *measured]) == 0
        assert capsys.readouterr().out.splitlines()[1:] == told


def test_a_corner_measured_again_names_the_pieces_cut_to_another_angle(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["done", str(hall), "--wall", "Front parlour/A", "--angle", "92.5", "--why", "read again", *BY]) == 0
    told = capsys.readouterr().out
    assert "with other cuts at its ends" in told and "-FP-E" not in told


def test_a_wall_measured_again_moves_nothing_that_does_not_lie_behind_its_own_pieces(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Front parlour/C reads 375 for 382: by a fresh plan pieces would change boards at the same cost."""
    before = cutting(hall, capsys)
    again = ["--wall", "Front parlour/C", "--length", "375", "--why", "read again"]
    assert main(["done", str(hall), *again, *BY]) == 0
    after = cutting(hall, capsys, "--open")
    for trim, line in before.items():
        assert after[trim]["cost"] == line["cost"]
        assert boards(after[trim]) == boards(line), trim
        for was, now in zip(line["boards"], after[trim]["boards"], strict=True):
            for cut, same in zip(was["cuts"], now["cuts"], strict=True):
                assert cut["piece"] == same["piece"]
                assert same["start"] == pytest.approx(cut["start"], abs=0.01)
                if "-C" in cut["piece"]:
                    break
    joints = {(each.room, each.wall, each.trim): each.at for each in read_survey(hall).joints}
    assert joints["Front parlour", "G", "dado rail"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["S-A9", *BY], "no piece has this label"),
        (["S-A1"], "say who did it"),
        (["S-A9", "S-A8", *BY], "S-A8: no piece has this label"),
        (["s-a1", *BY], "Did you mean S-A1?"),
        (["S-A1", "--by", "A joiner", "--on", "2026-02-31"], "--on 2026-02-31: this is no date"),
        (["--length", "3617"], "say which wall was measured again"),
        (["--wall", "Back bedroom/A", "--length", "3617", *BY], "say why it was measured again"),
        (["--wall", "Back bedroom/A", "--length", "-20", "--why", "read wrong", *BY], "a wall is at least 1 mm long"),
        (["--step", "asbestos-check", "--step", "fly", *BY], "asbestos-check: this step protects"),
        (["--wall", "Attic/Z", "--length", "1", *BY], "no such wall"),
        (["--wall", "Back bedroom/A", *BY], "say what it reads now"),
        (["--step", "fly", *BY], "this job has no such step"),
        (["--wall", "Back bedroom/A", "--length", "so long", "--why", "read wrong", *BY], "so long"),
    ],
)
def test_what_cannot_be_told_leaves_the_survey_as_it_was(
    words: list[str], says: str, room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = room.read_bytes()
    assert main(["done", str(room), *words]) == 2
    assert says in capsys.readouterr().err
    assert room.read_bytes() == before


def test_a_piece_told_twice_is_written_once_and_never_before_its_own_day(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["done", str(room), "S-A1", "S-A1", "--state", "cut", *BY]) == 0
    assert main(["done", str(room), "S-A1", "--state", "cut", *BY]) == 0
    assert "it was told so before: cut, 2026-05-04, A joiner" in capsys.readouterr().out
    assert len(read_survey(room).done.pieces) == 1
    assert main(["done", str(room), "S-A1", "--by", "A joiner", "--on", "2026-05-03"]) == 2
    assert "it was cut on 2026-05-04; --on 2026-05-03 is before that" in capsys.readouterr().err
    assert main(["done", str(room), "S-A1", *BY]) == 0
    assert [piece.state for piece in read_survey(room).done.pieces] == ["cut", "fixed"]


def test_readings_at_the_end_of_a_wall_go_with_it(hall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    again = ["--wall", "Front parlour/A", "--why", "the plaster is off"]
    assert main(["done", str(hall), *again, "--length", "4850", *BY]) == 0
    wall = read_survey(hall).room("Front parlour").wall("A")
    assert [reading.at for reading in wall.floor] == [0, 2400, 4850]
    assert [reading.at for reading in wall.ceiling] == [0, 4850]
    assert main(["done", str(hall), *again, "--length", "4849", "--by", "A joiner", "--on", "2026-05-03"]) == 2
    assert "it was measured again on 2026-05-04" in capsys.readouterr().err


def test_pieces_that_are_marked_out_have_each_a_place(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    marked = "done: {marked: [{for: skirting, board: R1, pieces: [S-A1, S-A2], at: [0]}]}\n"
    room.write_text(room.read_text() + marked)
    assert main(["cutting", str(room)]) == 2
    assert "places: 1, pieces: 2; each piece wants the place" in capsys.readouterr().err


def test_names_and_stations_that_are_nowhere_are_told(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    after = """
joints: [{room: Back bedroom, wall: A, trim: skirting, at: [9000]}]
done:
  pieces: [{piece: S-A1, for: cornice, state: cut, by: A joiner}]
  boards: [{for: skirtin, length: 3000, count: 2}]
"""
    room.write_text(room.read_text() + after)
    assert main(["cutting", str(room)]) == 2
    told = capsys.readouterr().err
    assert "there is no trim called cornice" in told and "Did you mean skirting?" in told
    assert "the joint stands at 9000 mm, past the end of the wall" in told


def test_a_revision_is_issued_once_and_keeps_the_one_before(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["statement", str(room), "--revise"]) == 1
    first = (room.parent / "room-A.json").read_bytes()
    assert read_survey(room).revision == "A"
    assert main(["statement", str(room), "--revise"]) == 2
    assert "nothing has changed since revision A" in capsys.readouterr().err
    main(["done", str(room), "S-A1", *BY])
    assert main(["statement", str(room), "--revise"]) == 1
    assert read_survey(room).revision == "B"
    assert (room.parent / "room-A.json").read_bytes() == first
    assert json.loads((room.parent / "room-B.json").read_text())["survey"]["revision"] == "B"
    page = (room.parent / "room-statement.html").read_text()
    assert "Told as fixed since:" in page
    assert "What changed since the last revision" in page and "revision B" in page


def test_the_hand_over_pack_says_how_much_is_not_told_once_a_piece_is(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def head() -> str:
        main(["statement", str(room), "--for", "handover", "--out", str(room.parent)])
        return next(room.parent.glob("*handover*.html")).read_text()

    assert "Not finished" not in head()
    main(["done", str(room), "S-A1", *BY])
    main(["done", str(room), "S-A2", "--state", "spoilt", *BY])
    assert "Pieces not told as fixed: 3 of 4. Steps with no record: " in head()


def test_as_fixed_names_what_has_no_record_and_is_made_once_all_has(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["statement", str(room), "--as-fixed", "--out", str(room.parent)]) == 2
    told = capsys.readouterr().err
    assert "asbestos-check (" in told and "Not told as fixed: PR-A1, PR-A2, S-A1, S-A2" in told
    assert not list(room.parent.glob("*.html"))
    steps = [line.split()[0] for line in told.splitlines() if line.startswith("  ")]
    plain = [word for step in steps if step not in STEPS for word in ("--step", step)]
    assert main(["done", str(room), "S-A1", "S-A2", "PR-A1", "PR-A2", *plain, *BY]) == 0
    capsys.readouterr()
    assert main(["statement", str(room), "--as-fixed", "--out", str(room.parent)]) == 2
    assert "these 4 steps:" in capsys.readouterr().err
    papers = "by: E. Example, on: 2026-04-01, reference: R-1, kind: refurbishment, room: Back bedroom"
    came = {"restore-power": "done"}
    more = "".join(
        f"  - {{step: {step}, outcome: {came.get(step, 'clear')}, as: {who}, {papers}}}\n"
        for step, who in STEPS.items()
    )
    room.write_text(room.read_text().replace("records:\n", f"records:\n{more}"))
    main(["statement", str(room), "--as-fixed", "--out", str(room.parent)])
    page = next(room.parent.glob("*as-fixed*.html")).read_text()
    assert "What was fixed" in page and "S-A2" in page and "How each trim comes off" in page
    capsys.readouterr()
    main(["statement", str(room), "--as-fixed", "--json"])
    made = json.loads(capsys.readouterr().out)
    pieces = made["progress"]["pieces"]
    assert made["digest"] and len(pieces) == 4
    assert all(abs(piece["length"] - piece["planned"]) < 0.001 for piece in pieces)

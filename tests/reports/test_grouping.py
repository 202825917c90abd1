"""What is said of several places is said once where it is the same."""

from __future__ import annotations

from listel.core.contract.findings import Finding, Where
from listel.reports.grouping import grouped
from listel.reports.papers.holds import places

STOP = "Search it first (guidance). Local codes come first."


def _held(says: str, room: str = "Hall", wall: str = "A") -> Finding:
    return Finding("safety/zone", "hold", says, Where(room, wall))


def test_sentences_that_all_of_a_group_end_with_stand_once_behind_them() -> None:
    (group,) = grouped([_held(f"A cable at 50 mm. {STOP}"), _held(f"A pipe at 2.5 m. {STOP}", wall="B")], {}, "mm")
    assert group.common == STOP
    assert [group.own(finding) for finding in group.findings] == ["A cable at 50 mm.", "A pipe at 2.5 m."]


def test_each_of_a_group_keeps_a_sentence_of_its_own_and_one_alone_keeps_all() -> None:
    (group,) = grouped([_held(f"So it is. {STOP}"), _held(f"So it is. {STOP}", wall="B")], {}, "mm")
    assert [group.own(finding) for finding in group.findings] == ["So it is.", "So it is."]
    (alone,) = grouped([_held(f"So it is. {STOP}")], {}, "mm")
    assert (alone.common, alone.own(alone.findings[0])) == ("", f"So it is. {STOP}")


def test_places_are_told_room_by_room() -> None:
    held = [_held("x"), _held("x", wall="C"), _held("x", "Parlour", "B"), _held("x", "Landing", ""), _held("x", "", "")]
    assert list(places(held)) == ["Hall, walls A, C", "Parlour, wall B", "Landing", "The whole job"]
    assert list(places([_held("x"), _held("x", wall="")])) == ["Hall"]

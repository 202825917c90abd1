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
    assert [says for says, _ in group.told] == ["A cable at 50 mm.", "A pipe at 2.5 m."]


def test_those_that_say_the_same_are_told_once_and_one_alone_keeps_all_it_says() -> None:
    held = [_held(f"So it is. {STOP}"), _held(f"So it is. {STOP}", wall="B")]
    (group,) = grouped(held, {}, "mm")
    assert (group.common, group.told) == ("", [(f"So it is. {STOP}", held)])
    (group,) = grouped([*held, _held(f"Not here. {STOP}", wall="C")], {}, "mm")
    assert group.common == STOP
    assert [(says, len(findings)) for says, findings in group.told] == [("So it is.", 2), ("Not here.", 1)]


def test_places_are_told_room_by_room() -> None:
    held = [_held("x"), _held("x", wall="C"), _held("x", "Parlour", "B"), _held("x", "Landing", ""), _held("x", "", "")]
    assert list(places(held)) == ["Hall, walls A, C", "Parlour, wall B", "Landing", "The whole job"]
    assert list(places([_held("x"), _held("x", wall="")])) == ["Hall"]

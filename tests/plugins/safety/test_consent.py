"""How new trim is usually seen, by what stands of the old."""

from __future__ import annotations

import pytest

from listel.core.contract.stage import Sheet
from listel.core.survey.job import ExistingTrim, Job, Place, Room, Section, Trim, Wall
from listel.plugins.safety.consent import proposals


def seen(job: Job) -> list[tuple[str, str]]:
    """How each new trim of a job is seen."""
    return [each for each in proposals(job, Sheet({})) if each[0] in ("like-for-like", "unlike", "unproved")]


@pytest.mark.parametrize(
    ("height", "timber", "view"),
    [
        (230.0, "european-redwood", "like-for-like"),
        (231.9, "european-redwood", "like-for-like"),
        (232.1, "european-redwood", "unlike"),
        (230.0, "mdf", "unlike"),
        (230.0, "european-oak", "unlike"),
    ],
)
def test_new_trim_is_like_for_like_only_where_it_is_like_the_old(height: float, timber: str, view: str) -> None:
    old = ExistingTrim(member="skirting", section=Section(230.0, 22.0), timber="european-redwood")
    room = Room("Parlour", walls=(Wall("A", existing=(old,)),))
    trim = Trim("skirting", "skirting", (Place("Parlour"),), Section(height, 22.0), timber=timber)
    assert seen(Job("a job", rooms=(room,), trim=(trim,))) == [(view, "skirting")]


@pytest.mark.parametrize(("first", "view"), [("original", "like-for-like"), ("unknown", "unlike")])
def test_what_is_original_outranks_what_was_put_in_later(first: str, view: str) -> None:
    olds = (
        ExistingTrim(member="skirting", section=Section(230.0, 22.0), original=first),
        ExistingTrim(member="skirting", section=Section(230.0, 15.0), original="later"),
    )
    room = Room("Parlour", walls=(Wall("A", existing=olds),))
    trim = Trim("skirting", "skirting", (Place("Parlour"),), Section(230.0, 22.0))
    assert seen(Job("a job", rooms=(room,), trim=(trim,))) == [(view, "skirting")]


def test_nothing_of_the_old_is_conjecture() -> None:
    trim = Trim("skirting", "skirting", (Place("Parlour"),), Section(230.0, 22.0))
    job = Job("a job", rooms=(Room("Parlour", walls=(Wall("A"),)),), trim=(trim,))
    assert seen(job) == [("unproved", "skirting")]


def test_a_trim_is_seen_room_by_room_where_the_rooms_differ() -> None:
    old = ExistingTrim(member="skirting", section=Section(230.0, 22.0))
    rooms = tuple(Room(name, walls=(Wall("A", existing=olds),)) for name, olds in (("Hall", ()), ("Parlour", (old,))))
    trim = Trim("skirting", "skirting", (Place("Hall"), Place("Parlour")), Section(225.0, 22.0))
    told = [("unproved", "skirting in the Hall"), ("unlike", "skirting in the Parlour")]
    assert seen(Job("a job", rooms=rooms, trim=(trim,))) == told

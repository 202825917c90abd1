"""How new trim is usually seen, by what stands of the old."""

from __future__ import annotations

import pytest

from listel.core.survey.job import ExistingTrim, Job, Place, Room, Section, Trim, Wall
from listel.plugins.existing import Existing
from listel.plugins.safety.consent import _trim_view


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
    assert _trim_view(Job("a job", rooms=(room,), trim=(trim,)), Existing(), trim) == view


@pytest.mark.parametrize(("first", "view"), [("original", "like-for-like"), ("unknown", "unlike")])
def test_what_is_original_outranks_what_was_put_in_later(first: str, view: str) -> None:
    olds = (
        ExistingTrim(member="skirting", section=Section(230.0, 22.0), original=first),
        ExistingTrim(member="skirting", section=Section(230.0, 15.0), original="later"),
    )
    room = Room("Parlour", walls=(Wall("A", existing=olds),))
    trim = Trim("skirting", "skirting", (Place("Parlour"),), Section(230.0, 22.0))
    assert _trim_view(Job("a job", rooms=(room,), trim=(trim,)), Existing(), trim) == view


def test_nothing_of_the_old_is_conjecture() -> None:
    trim = Trim("skirting", "skirting", (Place("Parlour"),), Section(230.0, 22.0))
    job = Job("a job", rooms=(Room("Parlour", walls=(Wall("A"),)),), trim=(trim,))
    assert _trim_view(job, Existing(), trim) == "unproved"

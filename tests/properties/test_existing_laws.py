"""Laws of mending: what is damaged is mended once, within its piece, and no two repairs lie over each other."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.survey.job import Damage, ExistingTrim, Job, OldTrim, Room, Section, Wall
from listel.plugins.existing import figures
from listel.plugins.existing.mending import mends
from listel.plugins.existing.pieces import piece_of

KINDS = ("rot", "dry-rot", "beetle", "broken", "missing", "bruise", "split", "open-joint")


@st.composite
def damages(draw, length: float = 3000.0):
    start = draw(st.integers(0, int(length) - 10))
    end = min(length, start + draw(st.sampled_from([5, 30, 90, 400])))
    small = draw(st.booleans())
    return Damage(
        start=float(start),
        end=float(end),
        kind=draw(st.sampled_from(KINDS)),
        height=draw(st.sampled_from([10.0, 40.0])) if small else None,
        depth=draw(st.sampled_from([4.0, 12.0])) if small else None,
    )


@settings(max_examples=80)
@given(
    st.lists(damages(), min_size=1, max_size=6),
    st.sampled_from([12.0, 20.0, 30.0]),
    st.sampled_from(["skirting", "picture-rail"]),
)
def test_what_is_damaged_is_mended_once_within_its_piece(found, thickness, member):
    section = Section(height=168.0, projection=thickness)
    said = ExistingTrim(
        member=member, start=0.0, end=3000.0, state="damaged", intent="repair", section=section, damage=tuple(found)
    )
    wall = Wall("A")
    room = Room("R", walls=(wall,))
    old, job = OldTrim(label="old 1", said=said, room=room, wall=wall), Job("", rooms=(room,))
    made = mends(job, old, piece_of(job, old))
    timber = [mend for mend in made if mend.kind != "glueing"]
    for mend in made:
        assert 0 <= mend.start <= mend.end <= 3000
        assert mend.overall == mend.end - mend.start
        assert 0 <= mend.lost <= mend.overall
    for before, after in pairwise(timber):
        assert before.end <= after.start + 1e-6
    for each in found:
        over = [mend for mend in timber if mend.start <= each.start and each.end <= mend.end]
        wants = figures.damage(each.kind)["wants"]
        assert len(over) == 1 if wants == "timber" else over or any(mend.kind == "glueing" for mend in made)

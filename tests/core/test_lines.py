"""Lines looked up by their keys."""

from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from listel.core.contract.lines import Lines


@dataclass(frozen=True, kw_only=True)
class Line:
    room: str
    wall: str


LETTERS = st.sampled_from("AB")
LINES = st.lists(st.builds(Line, room=LETTERS, wall=LETTERS))


@given(LINES, st.sampled_from(["", "A", "B", "C"]), st.sampled_from(["", "A", "B", "C"]))
def test_what_is_looked_up_is_what_reading_every_line_finds(lines: list[Line], room: str, wall: str) -> None:
    found = Lines(lines)
    asked = [line for line in lines if room in ("", line.room) and wall in ("", line.wall)]
    for _ in range(2):
        assert list(found.of(room=room, wall=wall)) == asked
        assert list(found.of(wall=wall)) == [line for line in lines if wall in ("", line.wall)]
    assert tuple(found) == tuple(lines)

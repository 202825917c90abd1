"""What ``panelling`` gives: each frame of panelling and what it is made of. All mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise
from math import fsum, inf
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.house.filters import shown_value
from listel.core.quick import dataclass
from listel.core.survey.units import Units, show_length

HARDLY = 1.0
"""Members no more than this [mm] narrower than others are ripped from what those are."""


@dataclass(frozen=True, kw_only=True)
class Frame:
    """One frame, as its face shows it from the room. ``start`` and ``end``: stations of its face's edges, which go past
    the wall at a mitred corner."""

    LINE: ClassVar[str] = "frame"
    label: str = told("its mark, unique in the job")
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    start: float = told("station of the left edge of its face", "mm")
    end: float = told("station of the right edge of its face", "mm")
    height: float = told("its height", "mm")
    panels: int = told("how many panels stand side by side in it")
    sight_width: float = told("what each panel shows in width", "mm")
    rails: tuple[tuple[float, float], ...] = told("the lower and upper edge of each rail, the lowest first", "mm")
    left: str = told("how its left edge meets what is there")
    right: str = told("how its right edge meets what is there")
    grounds: Grounds = told("why", default=Grounds())

    @property
    def rows(self) -> Sequence[tuple[float, float]]:
        """The lower and upper edge of what each row of panels shows, from the foot."""
        return [(low, high) for (_, low), (high, _) in pairwise(self.rails)]


@dataclass(frozen=True, kw_only=True)
class FramePart:
    """What a frame is made of, alike ones together."""

    LINE: ClassVar[str] = "frame-part"
    frame: str = told("the mark of its frame")
    part: str = told("left stile, right stile, a rail, muntin or panel; of several rows with its row from the foot")
    count: int = told("how many are alike", default=1)
    length: float = told("its length along the grain, with its tenons", "mm")
    between: float = told("its length between shoulders; of a stile, of the frame", "mm")
    width: float = told("its width", "mm")
    thickness: float | None = told("its thickness; none: not given", "mm", None)
    panel: bool = told("whether it is a panel", default=False)
    note: str = told("what to mind", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Shutters:
    """The leaves at each side of a window, front one first, and the boxing they fold into."""

    LINE: ClassVar[str] = "shutters"
    label: str = told("their mark, unique in the job")
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    opening: str = told("the window")
    covers: tuple[float, ...] = told("what each leaf covers of half the window", "mm")
    widths: tuple[float, ...] = told("width of each leaf, with its rebate", "mm")
    height: float = told("clear height of the window, which the leaves close", "mm")
    breadth: float = told("breadth of the boxing, from the frame to the face of the room", "mm")
    depth: float = told("depth of the boxing inside, for the leaves folded", "mm")
    grounds: Grounds = told("why", default=Grounds())

    @property
    def length(self) -> float:
        """The leaves and the linings of the boxings at both sides of the window end to end, mm."""
        return 2 * self.height * (len(self.widths) + 1)

    def area(self, boxing_faces: int) -> float:
        """What there is to paint at both sides of the window, m2: each leaf on both faces, and the lining of the boxing
        behind them on so many of its own."""
        return 2 * self.height * (2 * sum(self.widths) + boxing_faces * self.breadth) / 1e6


@dataclass(frozen=True, kw_only=True)
class Stuff:
    """What the members of panelling that are of one width and thickness take together, or its panels of one thickness,
    which are as wide as each frame asks."""

    LINE: ClassVar[str] = "panelling-stuff"
    trim: str = told("the trim")
    width: float | None = told("the width its members are ripped to; none: its panels", "mm", None)
    thickness: float | None = told("the thickness; none: not given", "mm", None)
    count: int = told("how many there are")
    longest: float = told("the longest of them", "mm")
    length: float = told("all of them end to end, with tenons and horns", "mm")
    area: float = told("all of them side by side", "m2")

    @property
    def amount(self) -> tuple[float, str]:
        """How much there is of it, and the unit it is had by: members by the metre, panels by the square metre."""
        return (self.area, "m2") if self.width is None else (self.length / 1000, "m")

    def in_all(self, units: Units) -> str:
        """How much there is of it, in words."""
        return shown_value(round(self.area, 2), "m2", units) if self.width is None else show_length(self.length, units)

    def named(self, units: Units) -> str:
        """What it is, in words."""
        show = partial(show_length, units=units)
        of = "panels" if self.width is None else f"members {show(self.width)} wide"
        return f"{self.trim}, {of}{'' if self.thickness is None else f', {show(self.thickness)} thick'}"


@dataclass(frozen=True, kw_only=True)
class Panelling:
    """Every frame of the job, and the parts of each; the leaves of its shutters."""

    frames: tuple[Frame, ...] = ()
    parts: tuple[FramePart, ...] = ()
    shutters: tuple[Shutters, ...] = ()

    def parts_of(self, frame: str) -> Sequence[FramePart]:
        """The parts of a frame."""
        return [part for part in self.parts if part.frame == frame]

    @property
    def stuff(self) -> Sequence[Stuff]:
        """What is to be had for all of its frames, sawn and planed: members by width, each with those hardly narrower,
        then panels."""
        trims = {frame.label: frame.trim for frame in self.frames}
        alike: dict[tuple[str, float | None, float | None], list[FramePart]] = {}
        widest: dict[tuple[str, float | None], float] = {}
        for part in sorted(self.parts, key=lambda part: (part.panel, -part.width)):
            of = trims[part.frame], part.thickness
            if not part.panel and widest.get(of, inf) - part.width > HARDLY:
                widest[of] = round(part.width, 1)
            alike.setdefault((of[0], None if part.panel else widest[of], of[1]), []).append(part)
        return [
            Stuff(
                trim=trim,
                width=width,
                thickness=thickness,
                count=sum(part.count for part in parts),
                longest=max(part.length for part in parts),
                length=fsum(part.count * part.length for part in parts),
                area=fsum(part.count * part.length * part.width for part in parts) / 1e6,
            )
            for (trim, width, thickness), parts in alike.items()
        ]

    def end_to_end(self) -> Iterator[tuple[str, float]]:
        """What there is of each trim: members and panels of its frames, leaves and linings of boxings, mm."""
        yield from ((each.trim, each.length) for each in self.stuff)
        yield from ((each.trim, each.length) for each in self.shutters)

    def in_sight(self) -> Iterator[tuple[str, float]]:
        """What is to be painted in the end of each trim: the faces of its frames, leaves and boxings, m2."""
        yield from self.faces.items()
        yield from ((each.trim, each.area(1)) for each in self.shutters)

    def primed(self) -> Iterator[tuple[str, float]]:
        """What is to be primed of each trim before it is put together or hung: face, edges and back, m2."""
        yield from self.all_round.items()
        yield from ((each.trim, each.area(2)) for each in self.shutters)

    @property
    def faces(self) -> dict[str, float]:
        """What the faces of the frames of each trim cover, m2."""
        found = dict.fromkeys((frame.trim for frame in self.frames), 0.0)
        for frame in self.frames:
            found[frame.trim] += frame.height * (frame.end - frame.start) / 1e6
        return found

    @property
    def all_round(self) -> dict[str, float]:
        """What is to be primed of each trim before it is put together, face, edges and back, m2."""
        found = dict.fromkeys((frame.trim for frame in self.frames), 0.0)
        for each in self.stuff:
            found[each.trim] += 2 * each.area + 2 * each.length * (each.thickness or 0.0) / 1e6
        return found

    def shown(self, frame: Frame) -> Iterator[tuple[float, float, float, float]]:
        """What each of its members shows: the stations of its edges, its lower and its upper edge over its foot."""
        wide = {part.part: part.width for part in self.parts_of(frame.label)}
        left, right, top = frame.start + wide["left stile"], frame.end - wide["right stile"], frame.height
        yield from ((frame.start, left, 0.0, top), *((left, right, low, high) for low, high in frame.rails))
        ends = sorted({(start, end) for start, end, *_ in self.panels(frame)})
        yield from ((end, start, low, high) for (_, end), (start, _) in pairwise(ends) for low, high in frame.rows)
        yield right, frame.end, 0.0, top

    def panels(self, frame: Frame) -> Iterator[tuple[float, float, float, float]]:
        """What each of its panels shows: the stations of its edges, its lower and its upper edge over its foot."""
        wide = {part.part: part.width for part in self.parts_of(frame.label)}
        left, right = frame.start + wide["left stile"], frame.end - wide["right stile"]
        muntin = (right - left - frame.panels * frame.sight_width) / max(frame.panels - 1, 1)
        for number in range(frame.panels):
            at = left + number * (frame.sight_width + muntin)
            yield from ((at, at + frame.sight_width, low, high) for low, high in frame.rows)

"""What stands in the way of a moulding along a wall, and what is said of it: it stops there, is notched, runs behind it
or is packed out past it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.setting_out.faces import packings
from listel.plugins.setting_out.member_lines import Stretch
from listel.plugins.setting_out.obstacles import Obstacle
from listel.plugins.setting_out.results import Blocked, Notched
from listel.plugins.setting_out.settings import allowed, lengths

RULES = load_rules(__package__)


@dataclass(frozen=True, kw_only=True)
class Here:
    """One trim along one wall."""

    job: Job
    trim: Trim
    room: Room
    wall: Wall

    @property
    def name(self) -> str:
        """What the trim is called."""
        return self.trim.name

    def where(self, station: float) -> Where:
        """A place on it, for a finding."""
        return Where(self.room.name, self.wall.name, self.trim.name, station=station)

    def blocked(self, start: float, end: float, by: str) -> Blocked:
        """A stretch that the trim does not take, and what stands there."""
        return Blocked(room=self.room.name, wall=self.wall.name, trim=self.trim.name, start=start, end=end, by=by)

    def notched(self, thing: Obstacle) -> Notched:
        """A notch in the trim round a thing."""
        return Notched(
            room=self.room.name,
            wall=self.wall.name,
            trim=self.trim.name,
            start=thing.start,
            end=thing.end,
            low=thing.low,
            high=thing.high,
            by=thing.by,
        )


def winders_not_surveyed(here: Here, thing: Obstacle) -> Finding:
    """What is missing where steps wind round a corner."""
    show = lengths(here.job)
    return RULES["winders-not-surveyed"].lacking(
        f"where the risers of the winders meet wall {here.wall.name} and the next one round the corner",
        f"how steep the {here.name} is at each of them: none is set out from {show(thing.start)} to {show(thing.end)}",
        replace(here.where(thing.start), line=here.job.line(here.wall)),
        "mark each of those risers on the wall and give its station under risers of the winders, on both walls and "
        "with the steps of the flights; or give their number and the newel",
    )


def notched(here: Here, thing: Obstacle) -> Finding:
    """A moulding that is cut out round a thing, and goes on."""
    show = lengths(here.job)
    return RULES["notch"].told(
        "record",
        f"The {here.name} on wall {here.wall.name} is notched round the {thing.by}, from {show(thing.start)} to "
        f"{show(thing.end)}.",
        here.where(thing.start),
    )


def at_a_plate(here: Here, plate: Obstacle) -> Finding:
    """A moulding that stops at an electrical plate, or runs on with a hole round it; the plate may be moved before
    anything is cut."""
    show = lengths(here.job)
    cut = "is cut there" if plate.way == "stop" else "runs on with a hole cut round it"
    return RULES["stops-at-plate"].told(
        "caution",
        f"The {plate.by} stands in the height of the {here.name} on wall {here.wall.name}, which {cut}, from "
        f"{show(plate.start)} to {show(plate.end)}.",
        here.where(plate.start),
        Grounds((Input("cut out of it", plate.end - plate.start, "mm"),), sources=RULES["stops-at-plate"].sources),
        "before anything is cut have its electrician move it clear, or set it in the face of the trim, as the owner "
        "and whoever protects the building agree; then give its new height",
    )


def packed_past(wall: Wall, stretch: Stretch, thing: Obstacle) -> bool:
    """Whether packing behind a moulding holds it off the wall as far as a pipe stands out, all along that."""
    band = stretch.band(thing.start, thing.end)
    if thing.way not in ("notch", "along") or thing.out is None or band is None:
        return False
    low, high = max(thing.start, stretch.start), min(thing.end, stretch.end)
    return any(
        ground.proud >= thing.out
        and band[0] <= ground.height <= band[1]
        and (ground.start or 0.0) <= low
        and (ground.end is None or high <= ground.end)
        for ground in packings(wall)
    )


def passes(here: Here, thing: Obstacle) -> Finding:
    """A moulding that is packed out past a pipe."""
    show = lengths(here.job)
    return RULES["packed-past"].told(
        "record",
        f"The {here.name} on wall {here.wall.name} is packed out past the {thing.by}, from {show(thing.start)} to "
        f"{show(thing.end)}, and is not cut for it; the packing leaves it free. Its own trade says first "
        "whether it may be shut in, of gas a registered gas engineer.",
        here.where(thing.start),
        Grounds(
            (Input("how far it stands out", thing.out or 0.0, "mm"),),
            "packing at the height of the trim, at least as thick as that",
            sources=RULES["packed-past"].sources,
        ),
    )


def close_to(here: Here, thing: Obstacle) -> Finding:
    """A moulding that ends so close beside a fitting that it is cut square there."""
    show, (least, shown, sources) = lengths(here.job), allowed("return-room")
    return RULES["cut-square-beside"].told(
        "record",
        f"The {here.name} on wall {here.wall.name} is cut square at each side of the {thing.by}, "
        f"{show(thing.clear)} clear of it, from {show(thing.start)} to {show(thing.end)}; scribe it to a pipe.",
        here.where(thing.start),
        Grounds(
            (Input("kept clear at each side", thing.clear, "mm"), shown),
            f"a return is made where at least {show(least)} is beside it: in less it is neither seen, nor held to be "
            "glued",
            sources=(*RULES["cut-square-beside"].sources, *sources),
        ),
    )


def runs_on(here: Here, thing: Obstacle) -> Iterator[Finding]:
    """A moulding that runs on where something may be, or behind what comes off."""
    show = lengths(here.job)
    where = here.where(thing.start)
    stops = f"else it stops at {show(thing.start)} and goes on from {show(thing.end)}"
    if thing.way == "along":
        yield _runs_along(here, thing)
    elif thing.way == "may-be-apron":
        yield RULES["apron-not-surveyed"].lacking(
            f"whether an apron hangs below the sill of the {thing.by} on wall {here.wall.name}",
            f"whether the {here.name} runs on under it: it is set out in one, as if there were none; {stops}",
            where,
            "give its apron, 0 for none",
        )
    elif thing.way == "may-come-off":
        yield RULES["taken-off-not-said"].lacking(
            f"whether the {thing.by} on wall {here.wall.name} is taken off",
            f"whether the {here.name} runs behind it: it is set out in one, as is usual; {stops}",
            where,
            "give its taken-off, true or false",
        )
    else:
        yield RULES["runs-behind"].told(
            "record",
            f"The {here.name} on wall {here.wall.name} runs behind the {thing.by}, from {show(thing.start)} to "
            f"{show(thing.end)}: take that off first, and {_stays_behind(here.wall, thing)}.",
            where,
        )
        lacks = _not_surveyed_behind(here.wall, thing)
        if lacks:
            yield RULES["behind-not-surveyed"].lacking(
                f"the {lacks} of the {thing.by} on wall {here.wall.name}",
                f"where the {here.name} is notched or bored behind it: no cut-out is reckoned for them",
                where,
                "list each as a fitting, radiator-bracket or radiator-tail, with its place, height and size",
            )


def _runs_along(here: Here, thing: Obstacle) -> Finding:
    """A pipe along a moulding, which no notch takes."""
    show, (most, shown, sources) = lengths(here.job), allowed("notch-along")
    return RULES["runs-along"].told(
        "caution",
        f"The {thing.by} on wall {here.wall.name} runs along in the height of the {here.name}, from "
        f"{show(thing.start)} to {show(thing.end)}: that is no notch, and would saw it in two. It is set out in one, "
        "as if it were gone.",
        here.where(thing.start),
        Grounds(
            (Input("along the wall, clearances included", thing.end - thing.start, "mm"), shown),
            f"a notch or a hole is no longer than {show(most)}",
            sources=(*RULES["runs-along"].sources, *sources),
        ),
        "before anything is cut have it moved by its own trade, gas by a registered gas engineer and nobody else, and "
        "give its new place; or box it in and list the boxing as a fitting; or pack the trim out past it, as the owner "
        "and whoever protects the building agree, and give its projection, and each strip of packing under grounds, "
        "with its height, and behind: -30 where it is 30 mm thick. No fixing goes near it meanwhile",
        along=thing.end - thing.start,
    )


def _stays_behind(wall: Wall, thing: Obstacle) -> str:
    """What is done about what stays on the wall of a thing that is taken off."""
    if "radiator" in _kinds_at(wall, thing):
        return "notch or bore for its brackets and tails where they stand"
    return "cut round what stays of it on the wall"


def _kinds_at(wall: Wall, thing: Obstacle) -> set[str]:
    """The kinds of the fittings where a thing stands."""
    return {item.kind for item in wall.fittings if item.at < thing.end and item.at + (item.width or 0.0) > thing.start}


def _not_surveyed_behind(wall: Wall, thing: Obstacle) -> str:
    """Which of its brackets and tails were not surveyed of a radiator that is taken off; "" where all were."""
    there = _kinds_at(wall, thing)
    holds = {"radiator-bracket": "brackets", "radiator-tail": "tails"} if "radiator" in there else {}
    return " and ".join(word for kind, word in holds.items() if kind not in there)

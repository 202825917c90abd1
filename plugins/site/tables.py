"""The tables of the site: make-ups of walls, old finishes, timbers, members and periods. No other table tells of these.

What a thing is stands in its columns; nobody reads it out of its name.
"""

from __future__ import annotations

from collections.abc import Callable

from listel.core.contract.findings import Source
from listel.core.contract.tables import Row, Table, load_table, open_table, row_names
from listel.core.survey.job import Wall

SOUR = ("moderate", "strong")


def words(name: str) -> Callable[[], tuple[str, ...]]:
    """Asked for when somebody wants to know: the words of a table."""
    return row_names(__package__, name)


def makeups() -> Table:
    """The make-ups of walls."""
    return open_table(__package__, "makeups")


def makeup(wall: Wall) -> Row | None:
    """What a wall is made of; None where that was not surveyed."""
    kind = wall.substrate.kind if wall.substrate else None
    return makeups().row(kind) if kind else None


def left_alone(wall: Wall) -> str:
    """Why nothing may be fixed or stuck to a wall, by its make-up; "" where something may."""
    row = makeup(wall)
    return str(row.get("hold", "")) if row else ""


def is_hollow(wall: Wall) -> bool:
    """Whether a hollow may be met behind the face of a wall: by its make-up, or because the survey measured one."""
    row = makeup(wall)
    return bool((row and row.get("hollow")) or (wall.substrate and wall.substrate.void))


UNSOUND = ("hollow", "loose", "crumbling")
"""Conditions of plaster that drilling may bring down."""


def bears_anywhere(wall: Wall) -> bool:
    """Whether a fixing bears at any station of a wall: masonry without hollows."""
    row = makeup(wall)
    return row is not None and row["bearer"] == "masonry" and not row.get("hollow")


def finishes() -> Table:
    """The finishes of old walls."""
    return open_table(__package__, "finishes")


def finishes_on(wall: Wall) -> tuple[Row, ...]:
    """What is on a wall, from the face inward; empty where it was not surveyed."""
    return tuple(finishes().row(name) for name in wall.substrate.finish) if wall.substrate else ()


def kept_finishes(wall: Wall) -> tuple[Row, ...]:
    """Those of its finishes that are kept as history, which no filler makes good."""
    return tuple(row for row in finishes_on(wall) if row.get("keep"))


def loose_finish(wall: Wall) -> Row | None:
    """The outermost of its finishes that lets go of what is stuck to it or to what lies over it; None with none."""
    return next((row for row in finishes_on(wall) if row.get("lets_go")), None)


def states() -> Table:
    """The states of the United States."""
    return open_table(__package__, "us-states")


def timbers() -> Table:
    """The timbers of trim."""
    return open_table(__package__, "timbers")


def timber(name: str) -> Row:
    """A timber; KeyError if the table has none of that name."""
    return timbers().row(name)


def timber_words(name: str | None) -> str:
    """A timber as it is spoken of, "European redwood"; "" for none."""
    if not name:
        return ""
    row = next((row for row in timbers().rows if row.name == name), None)
    return str((row and row.get("says")) or name.replace("-", " "))


def timber_kind(name: str | None) -> str:
    """softwood, hardwood or board; "" where the timber was not surveyed."""
    return str(timber(name)["kind"]) if name else ""


def is_sour(name: str | None) -> bool:
    """Whether a timber's tannin stains with iron and eats plain steel; not so where it was not surveyed."""
    return name is not None and timber(name)["tannin"] in SOUR


def framing(name: str) -> Row:
    """A class of graded framing; KeyError if the table has none of that name."""
    return load_table(__package__, "framing").row(name)


def both(value: float | list[float]) -> tuple[float, float]:
    """A figure of the tables as its least and greatest."""
    return (value[0], value[-1]) if isinstance(value, list) else (value, value)


def glue_sources() -> tuple[Source, ...]:
    """Where it is said how glue holds to walls and finishes."""
    return (makeups().sources["custom"],)


def members() -> Table:
    """The members of trim."""
    return open_table(__package__, "members")


def competences() -> Table:
    """Who may say what of a matter that protects people."""
    return open_table(__package__, "competences")


def member(name: str) -> Row:
    """A member; KeyError if the table has none of that name."""
    return members().row(name)


def goes_round_openings(name: str) -> bool:
    """Whether a member goes round doors and windows, as an architrave does, or lines them."""
    return member(name)["goes"] in ("round openings", "through openings")


def goes_through_openings(name: str) -> bool:
    """Whether a member lines a door or an archway from one face of the wall to the other."""
    return bool(member(name)["goes"] == "through openings")


def is_wide(name: str) -> bool:
    """Whether the height of a member's section is how wide it is: of a board round an opening, and of a lining."""
    return bool(member(name).get("flat") or goes_through_openings(name))


def goes_round_panels(name: str) -> bool:
    """Whether a member is made into closed frames on the wall, as a panel mould is."""
    return bool(member(name)["goes"] == "round panels")


def goes_under_windows(name: str) -> bool:
    """Whether a member runs under a window, as an apron does."""
    return bool(member(name)["goes"] == "under windows")


def goes_at_windows(name: str) -> bool:
    """Whether a member is made for each window and counted by it, as shutters are."""
    return bool(member(name)["goes"] == "at windows")


def framed(name: str) -> bool:
    """Whether its pieces are made into frames, round openings or panels, and stand apart from the lines of a room."""
    return goes_round_openings(name) or goes_round_panels(name)


def sits_on(name: str) -> str:
    """The member that a member sits on, as a mould does on its skirting; "" for none."""
    return str(member(name).get("on") or "")


def stands_before(name: str) -> str:
    """The member in front of which a member stands, on whose face it is, and into which it is fixed; "" for none."""
    return str(member(name).get("before") or "")


def goes_along_walls(name: str) -> bool:
    """Whether a member runs along walls and is set out there."""
    return bool(member(name)["goes"] == "along walls")


def is_skirting(name: str) -> bool:
    """Whether a member is a board whose foot is scribed to the floor, of a room or of a flight."""
    return bool(member(name).get("stands")) and member(name).get("fixed") == "skirting"


def climbs(name: str) -> bool:
    """Whether a member is the board of a flight, which goes up that and nowhere else."""
    return bool(member(name).get("stands") and member(name).get("raking"))


def goes_in_frames(name: str) -> bool:
    """Whether a member is panelling, framed wall by wall on the bench."""
    return bool(member(name)["goes"] == "in frames")


def on_walls(name: str) -> bool:
    """Whether a member runs along walls, or is framed for them."""
    return goes_along_walls(name) or goes_in_frames(name)


def periods() -> Table:
    """The periods of trim."""
    return open_table(__package__, "periods")


def elements() -> Table:
    """The elements of profiles."""
    return open_table(__package__, "elements")

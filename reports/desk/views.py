"""What stands on each page of the desk: its form, its drawings, what is missing, what was found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from listel.core.commands.show import grounds_lines
from listel.core.contract.findings import WEIGHTS, Finding
from listel.core.host.outcome import Outcome
from listel.core.host.plugin import Plugin
from listel.core.host.records import Judge, judge_of
from listel.core.quick import dataclass
from listel.core.survey.messages import KeyPath
from listel.core.survey.missing import absent_facts
from listel.core.survey.splice import found
from listel.core.survey.units import show_length
from listel.plugins.progress import Progress
from listel.reports.desk.form import Field, Form, Part, Rows, fields_of
from listel.reports.desk.paths import id_of, said, words_of
from listel.reports.desk.pictures import leading, of_room, profiles
from listel.reports.desk.reading import Reading, in_file
from listel.reports.drawings.paper import Drawing

Section = tuple[str, tuple[str, ...]]
"""A heading, and the keys whose parts stand under it."""

WALL: tuple[Section, ...] = (
    ("Length and corner", ("length", "corner", "ends", "earlier")),
    ("Openings", ("openings",)),
    ("Fittings", ("fittings",)),
    ("Floor and ceiling", ("floor", "ceiling", "raised")),
    (
        "The wall itself",
        ("substrate", "moisture", "thickness", "external", "party", "flue", "lean", "bow"),
    ),
    ("Trim that is there", ("existing",)),
    ("The other face", ("behind",)),
)
SHAPE = (
    (("name",), "Name"),
    (("length", "first"), "Length, first tape"),
    (("length", "second"), "Second tape"),
    (("corner", "kind"), "Corner at its right"),
    (("corner", "angle"), "Its angle"),
)
"""What gives a room its shape, of each wall, and how it is called there."""
ROOM: tuple[Section, ...] = (
    ("Heights", ("height", "datum", "cornice")),
    ("The room", ("name", "period", "use", "rank", "storey", "extent")),
    ("The air", ("climate",)),
    ("Old marks", ("evidence",)),
    ("Stairs", ("stairs",)),
)
JOB: tuple[Section, ...] = (
    ("The job", ("job",)),
    ("The building", ("building",)),
    ("The air", ("climate",)),
    ("How the work is done", ("work",)),
    ("The survey", ("units", "invented", "note", "tolerances")),
)
TRIM: tuple[Section, ...] = (
    ("Trim", ("trim",)),
    ("Boards", ("stock", "rack")),
    ("Joints", ("joints",)),
    ("Saw and bench", ("cutting",)),
)
RECORDS: tuple[Section, ...] = (
    ("What you want to use", ("choices",)),
    ("What you mean to do", ("plan",)),
    ("What was done", ("records",)),
    ("Settled against the rule", ("departures",)),
    ("Done so far", ("done", "changes")),
    ("What it took", ("actual",)),
    ("Photographs", ("photos",)),
)
_HAS_PAGE = frozenset(key for sections in (JOB, TRIM, RECORDS) for _, keys in sections for key in keys) | {"rooms"}
_LIGHTER = {"caution": "of the weight caution", "advice": "of the weight advice"}


@dataclass(frozen=True)
class Place:
    """Which page: ``name`` is job, room, trim, records, done, open or papers; of a room its number, of a wall both."""

    name: str
    room: int = -1
    wall: int = -1

    @property
    def address(self) -> str:
        """Where the page stands."""
        if self.name != "room":
            return f"/{self.name}"
        return f"/room/{self.room}" + (f"/wall/{self.wall}" if self.wall >= 0 else "")

    @property
    def above(self) -> KeyPath:
        """The path of what the page is of."""
        if self.name != "room":
            return ()
        return ("rooms", self.room, *(("walls", self.wall) if self.wall >= 0 else ()))


def place_of(path: KeyPath) -> Place:
    """The page on which a path's field stands."""
    top = path[0] if path else ""
    if top == "rooms" and len(path) > 1:
        inside = path[2:4]
        by_wall = len(inside) == 2 and inside[0] == "walls" and len(path) > 4 and path[4] != "name"
        return Place("room", int(path[1]), int(inside[1]) if by_wall else -1)
    for name, sections in (("trim", TRIM), ("records", RECORDS)):
        if any(top in keys for _, keys in sections):
            return Place(name)
    return Place("job")


@dataclass(frozen=True)
class Link:
    """A link on the page: ``state`` says in a word how it stands there."""

    address: str
    words: str
    state: str
    here: bool


@dataclass(frozen=True, kw_only=True)
class Missing:
    """A missing fact: where, what it is, the address of its field."""

    fact: str
    where: str
    address: str


@dataclass(frozen=True, kw_only=True)
class Said:
    """A finding as the desk shows it; ``key`` names it, so that it stays open while the rest changes."""

    key: str
    weight: str
    where: str
    says: str
    mend: str
    lifts: tuple[str, ...]
    grounds: tuple[str, ...]
    rule: str


class View:
    """One page over one state of the file."""

    def __init__(self, reading: Reading, schema: Mapping[str, Any], plugins: Sequence[Plugin], place: Place) -> None:
        self.reading, self.place, self._schema, self._plugins = reading, place, schema, plugins
        self.form = Form(schema, reading.data, reading.units, _offered(plugins, reading.outcome))
        self._absent = [(path, decides) for path, decides in absent_facts(reading.data, schema)]

    @property
    def title(self) -> str:
        """What the page is called."""
        if self.place.name == "room":
            room = self._name(("rooms", self.place.room), "Room")
            return f"{room}, wall {self._name(self.place.above, '?')}" if self.place.wall >= 0 else room
        names = {"job": "The job", "trim": "Trim and boards", "records": "Plan and records"}
        names |= {"open": "What is open", "done": "Pieces done"}
        return names.get(self.place.name, "Papers")

    @property
    def job(self) -> str:
        """The job in a few words."""
        told = found(self.reading.data, ("job",))
        told = told if isinstance(told, dict) else {}
        return " · ".join(said(told[key]) for key in ("reference", "title") if told.get(key)) or "No title yet"

    def sections(self) -> list[tuple[str, tuple[Part, ...]]]:
        """The form: headings, each with its parts. What the layout does not name comes last."""
        if self.place.name == "room":
            layout = WALL if self.place.wall >= 0 else ROOM
            kept = frozenset(["walls", "name"] if self.place.wall >= 0 else ["walls"])
        else:
            layout = {"job": JOB, "trim": TRIM, "records": RECORDS}.get(self.place.name, ())
            kept = _HAS_PAGE if layout is JOB else frozenset(self.form.keys(()))
        named = {key for _, keys in layout for key in keys} | kept
        rest = tuple(key for key in self.form.keys(self.place.above) if key not in named)
        parts = [(title, self.form.parts(self.place.above, keys)) for title, keys in (*layout, ("And", rest))]
        return [(title, inside) for title, inside in parts if inside]

    def has_page(self) -> bool:
        """Whether the survey has the room, and the wall, that the page is of."""
        return isinstance(found(self.reading.data, self.place.above), dict)

    def walls(self) -> Rows | None:
        """The room's walls with what gives its shape."""
        if self.place.name != "room" or self.place.wall >= 0:
            return None
        rows = self.form.part((*self.place.above, "walls"))
        return rows if isinstance(rows, Rows) else None

    def shape_parts(self, wall: int) -> list[Part]:
        """Of a wall, what gives the room its shape; told at length at the first wall only."""
        above = (*self.place.above, "walls", wall)
        parts = [(self.form.part((*above, *path)), label) for path, label in SHAPE]
        fields = [(part, label) for part, label in parts if isinstance(part, Field)]
        return [replace(field, label=label, says="" if wall else field.says) for field, label in fields]

    def fields(self) -> list[Field]:
        """Every field of the page."""
        shown = [part for _, parts in self.sections() for part in parts]
        walls = self.walls()
        for number in range(len(walls.rows) if walls else 0):
            shown.extend(self.shape_parts(number))
        return list(fields_of(shown))

    def faults(self, fields: Iterable[Field]) -> dict[str, str]:
        """What is wrong, by field: of something that has no field of its own, at the first field inside it."""
        names = [field.id for field in fields]
        told: dict[str, str] = {}
        for path, says in self.reading.faults.items():
            name = id_of(path)
            inside = (one for one in names if one == name or one.startswith(f"{name}/"))
            above = (one for one in names if name.startswith(f"{one}/"))
            field = next(inside, None) or next(above, None)
            if field:
                told.setdefault(field, says)
        return told

    def elsewhere(self, told: Mapping[str, str]) -> list[tuple[str, str, str]]:
        """Faults that stand on other pages, or nowhere in the form: where, what, and the address of the field."""
        here = set(told.values())
        return [
            (words_of(self.reading.data, path), says, self._address(path))
            for path, says in self.reading.faults.items()
            if says not in here
        ]

    def left_out(self) -> list[tuple[str, str]]:
        """What is left out of the drawings and the findings, since it has a fault: what it is, and its address."""
        return [(words_of(self.reading.data, path), self._address(path)) for path in self.reading.left_out]

    def pages(self) -> list[Link]:
        """The way to every page."""
        links = [self._page_link("job", "Job")]
        for number, room in enumerate(self._rooms()):
            here = self.place.name == "room" and self.place.room == number
            name = said(room.get("name")) if isinstance(room, dict) else f"Room {number + 1}"
            links.append(Link(f"/room/{number}", name or "?", self._state_below(("rooms", number)), here))
        links += [self._page_link("trim", "Trim"), self._page_link("records", "Records")]
        told = [how for _, pieces in self.pieces() for _, _, how in pieces]
        done = len(told) - told.count("open")
        links.append(Link("/done", "Done", f"{done} of {len(told)}" if done else "", self.place.name == "done"))
        held = len(self.reading.outcome.holds) if self.reading.outcome else 0
        links.append(Link("/open", "Open", f"{held} held" if held else "", self.place.name == "open"))
        links.append(Link("/papers", "Papers", "", self.place.name == "papers"))
        return links

    def _page_link(self, name: str, words: str) -> Link:
        state = self._state(lambda path: place_of(path).name == name)
        return Link(f"/{name}", words, state, self.place.name == name)

    def pieces(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        """Every piece of the job, wall by wall: its label, what it is and how long, how far it is."""
        outcome = self.reading.outcome
        progress = outcome.sheet.get(Progress) if outcome else None
        walls: dict[str, list[tuple[str, str, str]]] = {}
        for piece in progress.pieces if progress else ():
            told = ", ".join(filter(None, (piece.state.replace("-", " "), piece.on, piece.by))) or "open"
            what = f"{piece.trim}, {show_length(piece.planned, self.reading.units)}"
            walls.setdefault(f"{piece.room}, wall {piece.wall}", []).append((piece.label, what, told))
        return list(walls.items())

    def wall_links(self) -> list[Link]:
        """The walls of the room in hand, each with how it stands."""
        if self.place.name != "room":
            return []
        walls = found(self.reading.data, ("rooms", self.place.room, "walls"))
        links = []
        for number, wall in enumerate(walls if isinstance(walls, list) else ()):
            path = ("rooms", self.place.room, "walls", number)
            name = said(wall.get("name")) if isinstance(wall, dict) else "?"
            begun = isinstance(wall, dict) and len(wall) > 1
            state = self._state_below(path) or "complete"
            address = f"/room/{self.place.room}/wall/{number}"
            links.append(Link(address, name or "?", state if begun else "not begun", self.place.wall == number))
        return links

    def drawings(self) -> dict[str, Drawing]:
        """The drawings of the page, by name, each thing in them leading to its field; none where nothing could be
        reckoned."""
        outcome = self.reading.outcome
        made: dict[str, Drawing] = {}
        if outcome is not None and self.place.name == "trim":
            made = profiles(outcome, [trim.name for trim in outcome.job.trim])
        elif outcome is not None and self.place.name == "room":
            wall = self._name(self.place.above, "") if self.place.wall >= 0 else ""
            made = of_room(outcome, self._room_name(), wall)
        return {name: replace(one, svg=leading(one, self._link)) for name, one in made.items()}

    def _link(self, path: KeyPath) -> tuple[str, str]:
        """Where a fact that a drawing shows leads, and what it is."""
        field = self._field_of(path)
        return self._shown_at(field), words_of(self.reading.data, field)

    def _field_of(self, path: KeyPath) -> KeyPath:
        """The path in the file of a fact that a drawing of the page's room shows."""
        assert self.reading.outcome is not None
        if path[0] not in ("trim", "photos"):
            rooms = [room.name for room in self.reading.outcome.job.rooms]
            path = ("rooms", rooms.index(self._room_name()), *path)
        return in_file(path, self.reading.places)[1]

    def _shown_at(self, path: KeyPath) -> str:
        """The address of a field; of what gives a room its shape, on the page of the room where that is in hand."""
        shaping = self.place.name == "room" and self.place.wall < 0 and path[4:5] in (("length",), ("corner",))
        return f"{self.place.address}#{id_of(path)}" if shaping else self._address(path)

    def findings(self) -> list[Said]:
        """What was found about what the page is of, the heaviest first."""
        outcome = self.reading.outcome
        if outcome is None:
            return []
        judge = judge_of(outcome.job, self._plugins)
        mine = [finding for finding in outcome.findings if self._is_mine(finding)]
        mine.sort(key=lambda finding: (bool(finding.settled), WEIGHTS.index(finding.weight)))
        return list(self._said(mine, judge))

    def nothing_found(self) -> str:
        """What is to be said where no finding stands on the page."""
        if self.place.name != "open":
            return "Nothing was found here."
        weights = [f.weight for f in self.reading.outcome.findings if not f.settled] if self.reading.outcome else []
        others = [f"{weights.count(weight)} {words}" for weight, words in _LIGHTER.items() if weight in weights]
        beside = f" {' and '.join(others)} stand on the pages of what they are of." if others else ""
        return f"No hold is open.{beside}"

    def missing(self) -> list[tuple[str, list[Missing]]]:
        """What was not surveyed here, by what it decides."""
        listed: dict[str, list[Missing]] = {}
        here = None if self.place.name == "open" else self.place
        for path, decides in self._absent:
            if here is None or place_of(path) == here or self._is_above(path):
                fact = " ".join(str(key).replace("-", " ") for key in path[-2:] if isinstance(key, str))
                where = words_of(self.reading.data, path[:-1])
                one = Missing(fact=fact, where=where, address=self._address(path))
                listed.setdefault(decides, []).append(one)
        return list(listed.items())

    def _is_above(self, path: KeyPath) -> bool:
        above = self.place.above
        return bool(above) and path[: len(above)] == above

    def _is_mine(self, finding: Finding) -> bool:
        where = finding.where
        match self.place.name:
            case "room" if self.place.wall >= 0:
                return where.room == self._room_name() and where.wall == self._name(self.place.above, "")
            case "room":
                return where.room == self._room_name()
            case "trim":
                return bool(where.trim) and not where.room
            case "records" if where.line in self._record_lines:
                return True
            case "job" | "records":
                return not where.room and not where.trim
            case "open":
                return finding.open_hold
        return False

    @cached_property
    def _record_lines(self) -> set[int | None]:
        job = self.reading.outcome.job if self.reading.outcome else None
        return {job.line(record) for record in job.records} if job else set()

    def _said(self, findings: Iterable[Finding], judge: Judge) -> Iterator[Said]:
        source, units = judge.job.source, judge.job.units
        for finding in findings:
            grounds = [" ".join(line.split(None, 1)) for line in grounds_lines(finding.grounds, source, units)]
            where = finding.where.told(units)
            yield Said(
                key=f"{finding.rule} {where} {finding.says[:40]}",
                weight="settled" if finding.settled else finding.weight,
                where=where,
                says=finding.says,
                mend=finding.mend,
                lifts=tuple(judge.lifted_by(finding.rule)),
                grounds=tuple(grounds),
                rule=finding.rule,
            )

    def _state_below(self, above: KeyPath) -> str:
        return self._state(lambda path: path[: len(above)] == above, held=self._held(above))

    def _state(self, mine: Callable[[KeyPath], bool], *, held: bool = False) -> str:
        """How something stands, in a word: its faults, what holds it, what is missing."""
        faults = sum(map(mine, self.reading.faults))
        if faults:
            return f"{faults} fault{'s' * (faults > 1)}"
        missing = sum(mine(path) for path, _ in self._absent)
        return "held" if held else f"{missing} missing" if missing else ""

    def _held(self, path: KeyPath) -> bool:
        if self.reading.outcome is None:
            return False
        room = self._name(path[:2], "")
        wall = self._name(path, "") if len(path) > 2 else ""
        return any(f.where.room == room and (not wall or f.where.wall == wall) for f in self.reading.outcome.holds)

    def _address(self, path: KeyPath) -> str:
        return f"{place_of(path).address}#{id_of(path)}"

    def _rooms(self) -> list[Any]:
        rooms = found(self.reading.data, ("rooms",))
        return rooms if isinstance(rooms, list) else []

    def _room_name(self) -> str:
        return self._name(("rooms", self.place.room), "")

    def _name(self, path: KeyPath, otherwise: str) -> str:
        return said(found(self.reading.data, (*path, "name"))) or otherwise


def _offered(plugins: Iterable[Plugin], outcome: Outcome | None) -> dict[KeyPath, tuple[str, ...]]:
    """The names that a record and a departure may give: what lifts a hold first, then the other steps; the rules that
    were told and may be departed from."""
    rules = {rule.name: rule for plugin in plugins for rule in plugin.rules()}
    lifting = sorted({rule.lifted_by.step for rule in rules.values() if rule.lifted_by})
    steps = sorted(step.name for plugin in plugins for step in plugin.steps)
    told = {finding.rule for finding in outcome.findings} if outcome else set()
    departing = sorted(name for name in told if name in rules and rules[name].departs)
    return {("records", "step"): tuple(dict.fromkeys([*lifting, *steps])), ("departures", "rule"): tuple(departing)}

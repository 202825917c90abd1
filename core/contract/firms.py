"""What a plugin from outside may bring beside stages: own fields of the survey, options, heights; and the form of a
room by which heights and hazards are chosen."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import field, replace
from typing import Any, ClassVar, Literal

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.lines import line_form, told
from listel.core.contract.tables import Table, with_added
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room

FieldsOn = Literal["job", "room", "wall", "trim"]
Rail = Literal["dado-rail", "plate-rail", "picture-rail"]
"""The members whose height a firm may give."""


@dataclass(frozen=True)
class SurveyFields:
    """Facts of its own that a plugin asks the survey for, on the job, each room, wall or trim: written there under
    ``own: {PLUGIN: {...}}`` and read as ``wall.own["plugin"]``.

    ``properties`` is JSON Schema, by key: each with a ``description``; a length is ``{"format": "length"}`` and arrives
    in mm; ``x-decides`` says what a fact decides that a survey leaves out. ``required`` keys must be there where any
    is.
    """

    on: FieldsOn
    properties: Mapping[str, Mapping[str, Any]]
    required: tuple[str, ...] = ()


@dataclass(frozen=True)
class OptionsForm:
    """What a plugin may be told in the settings or a house file, under ``options: {PLUGIN: {...}}``: JSON Schema by
    key, each with a ``description``, and a ``default`` where it has one."""

    properties: Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class Options:
    """What every plugin was told, defaults filled in; the engine puts it on the sheet before any stage runs."""

    told: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    def of(self, plugin: str) -> Mapping[str, Any]:
        """The options of a plugin, by key; empty where it has none."""
        return self.told.get(plugin, {})

    @property
    def digest(self) -> str:
        """SHA-256 of all of them."""
        return hashlib.sha256(json.dumps(self.told, sort_keys=True).encode()).hexdigest()


@dataclass(frozen=True, kw_only=True)
class HeightOffer:
    """A height for a rail in a room, by a firm's rule: the ``top`` of the ``member`` above the floor [mm], or a
    ``share`` ``of`` the room's height, or the wall's, which ends at the cornice. A mark in the room and the height
    asked for come before it; every other rule after.
    """

    room: str
    member: Rail
    says: str
    top: float | None = None
    share: float | None = None
    of: Literal["room", "wall"] = "room"
    grounds: Grounds = Grounds()

    def reckoned(
        self, height: float | None, cornice: float | None, given: Input, show: Callable[[float], str]
    ) -> tuple[float, Grounds] | None:
        """The top [mm] in a room of that height with a cornice of that depth, ``given`` as an input, with its grounds;
        None for a share of a height that was not surveyed. ``show`` writes a length."""
        if self.top is not None:
            return self.top, replace(self.grounds, result=show(self.top))
        if self.share is None or height is None:
            return None
        inputs, whole, worked = [given], height, show(height)
        if self.of == "wall":
            inputs.append(Input("depth of the cornice", "none in the survey" if cornice is None else cornice, "mm"))
            whole -= cornice or 0.0
            worked = f"({show(height)} - {show(cornice)})" if cornice else worked
        top = whole * self.share
        worked = f"{worked} x {self.share:.4g} = {show(top)}"
        return top, replace(self.grounds, inputs=(*inputs, *self.grounds.inputs), worked=worked, result=show(top))


@dataclass(frozen=True)
class HeightRule:
    """A firm's rule for heights: ``offers(job)`` gives one for each rail and room that it speaks of."""

    name: str
    offers: Callable[[Job], Iterable[HeightOffer]]


@dataclass(frozen=True)
class FirmHeights:
    """Every height that the rules of plugins offer; the engine puts it on the sheet before any stage runs."""

    offers: tuple[HeightOffer, ...] = ()

    def of(self, room: str, member: str) -> list[HeightOffer]:
        """The offers for a member in a room."""
        return [offer for offer in self.offers if (offer.room, offer.member) == (room, member)]


def _words(table: str, *path: str) -> Callable[[], list[str]]:
    """Asked for when somebody wants to know: the words at a place of the survey's schema, with the rows that plugins
    add to a table."""

    def words() -> list[str]:
        from listel.core.survey.words import built_in_schema

        node: Any = built_in_schema()["$defs"]
        for key in path:
            node = node[int(key) if isinstance(node, list) else key]
        return [*node["enum"], *(row.name for row in with_added(Table(table, "", (), {}, {})))]

    return words


@dataclass(frozen=True, kw_only=True)
class RoomForm:
    """A room as a firm's heights and hazards are chosen by it, in the JSON form that ``applies`` judges."""

    LINE: ClassVar[str] = "room"
    name: str = told("the room")
    use: str | None = told("what it is used for", words=_words("", "room", "properties", "use"))
    rank: str | None = told("its standing in the house", words=_words("", "room", "properties", "rank"))
    period: str | None = told("the period of its trim: a year or a name")
    storey: str | None = told("the floor it is on")
    height: float | None = told("its least height", "mm")
    substrates: tuple[str, ...] = told(
        "the make-ups of its walls", words=_words("makeups", "substrate", "properties", "kind")
    )
    members: tuple[str, ...] = told(
        "the members that run there", words=_words("members", "trim", "properties", "member")
    )
    own: Mapping[str, Mapping[str, Any]] = told("its facts that firms ask for, by firm")


def room_form(job: Job, room: Room) -> dict[str, Any]:
    """The JSON form of a room (:class:`RoomForm`), and under ``job`` the building."""
    heights = [reading.height for reading in room.height]
    form = RoomForm(
        name=room.name,
        use=room.use,
        rank=room.rank,
        period=room.period,
        storey=room.storey,
        height=min(heights) if heights else None,
        substrates=tuple(
            sorted({wall.substrate.kind for wall in room.walls if wall.substrate and wall.substrate.kind})
        ),
        members=tuple(sorted({trim.member for trim in job.trims_in(room.name)})),
        own={plugin: dict(facts) for plugin, facts in room.own.items()},
    )
    return line_form(job, form)


def rooms_covered(job: Job, applies: Any) -> list[Room]:
    """The rooms whose form keeps to a JSON Schema. Raises a fault of jsonschema where it is none."""
    if applies is True:
        return list(job.rooms)
    from jsonschema import Draft202012Validator
    from referencing import Registry

    judge = Draft202012Validator(applies, registry=Registry())
    return [room for room in job.rooms if judge.is_valid(room_form(job, room))]

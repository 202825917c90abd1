"""The reckoner ``splice``: one damage of one old piece mended, as the stage mends those of a survey."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from listel.core.contract.findings import Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.survey.job import Damage, ExistingTrim, Job, OldTrim, Room, Section, Wall
from listel.core.survey.units import show_length
from listel.plugins.existing.mending import mends
from listel.plugins.existing.pieces import piece_of
from listel.plugins.existing.results import Mend
from listel.plugins.site import tables

MEMBER = "skirting"


def _splice(given: Mapping[str, Any]) -> Reckoning:
    start, end, length = given["from"], given["to"], given["length"]
    if not 0 <= start < end <= length:
        raise ValueError(
            "the damage goes from --from to --to, within --length; give all three from one end of the piece"
        )
    member = given["member"] or MEMBER
    damage = Damage(
        start=start, end=end, kind=given["kind"], height=given["damage_height"], depth=given["depth"], probed=True
    )
    piece = ExistingTrim(
        member=member,
        side="left" if given["upright"] else None,
        start=0.0,
        end=length,
        state="damaged",
        intent="repair",
        section=Section(height=given["height"], projection=given["thickness"]),
        moisture=given["moisture"],
        damage=(damage,),
    )
    wall = Wall("A", external=given["outer_wall"] or None)
    room = Room("", walls=(wall,))
    job, old = Job("", rooms=(room,)), OldTrim(label="old", said=piece, room=room, wall=wall)
    (mend,) = mends(job, old, piece_of(job, old))
    guessed = [] if given["member"] else [Input("member", MEMBER, assumed=True, note="not given; it decides the slope")]
    if mend.glue and tables.member(member).get("stands"):
        given_outer = given["outer_wall"]
        note = "" if given_outer else "not told to be an outer wall; it decides the glue"
        guessed.append(Input("wall", "outer" if given_outer else "inner", assumed=not given_outer, note=note))
    if given["moisture"] is None and mend.glue:
        guessed.append(Input("moisture", "not given", assumed=True, note="it decides the glue"))
    grounds = replace(mend.grounds, inputs=(*mend.grounds.inputs, *guessed))
    return Reckoning(_results(mend), (grounds,), tuple(_says(mend)))


def _results(mend: Mend) -> dict[str, Any]:
    found: dict[str, Any] = {"kind": mend.kind, "start": mend.start, "end": mend.end, "overall": mend.overall}
    if mend.kind == "splice":
        found |= {
            "cut_from": mend.cut_from,
            "cut_to": mend.cut_to,
            "slope": mend.slope,
            "scarf": mend.scarf,
            "lost": mend.lost,
            "pins": mend.pin_count,
        }
    glue = {"glued_area": mend.glued or None, "glue": mend.glue_kind} if mend.glue else {}
    return {**found, **glue}


def _says(mend: Mend) -> Iterator[str]:
    start, end, overall = (show_length(value, "mm") for value in (mend.start, mend.end, mend.overall))
    if mend.kind != "splice":
        yield f"A {mend.kind}, from {start} to {end}. {mend.how}"
    else:
        yield f"A splice of {overall}, long points at {start} and {end}; {mend.ends}."
        yield f"Scarfs 1 in {mend.slope:g}, {show_length(mend.scarf, 'mm')} each. {mend.how}"
        yield f"{mend.pins.capitalize()}: {mend.pin_count} in all."
    if mend.glue:
        yield f"Glue: {mend.glue}."


def reckoners() -> list[Reckoner]:
    """The reckoner."""
    return [
        Reckoner(
            "splice",
            "how damaged old trim is mended: where it is cut, slope and length of scarfs, the new piece, glue, pins",
            (
                Option("length", "length", "length of the old piece", required=True, least=20, most=200000),
                Option(
                    "from",
                    "length",
                    "where the damage begins, from one end of the piece",
                    required=True,
                    least=0,
                    most=200000,
                ),
                Option("to", "length", "where it ends, as the pick found it", required=True, least=0, most=200000),
                Option("kind", "word", "what it is", required=True, table="damage"),
                Option("thickness", "length", "thickness of the timber", required=True, least=3, most=200),
                Option("height", "length", "height of its section; without it no area is glued", least=3, most=1500),
                Option(
                    "member",
                    "word",
                    f"{MEMBER} if not given; a rail that carries wants flatter scarfs",
                    table="members",
                ),
                Option(
                    "upright",
                    "flag",
                    "it stands upright, as the leg of an architrave; its stations run up from the foot",
                ),
                Option(
                    "damage-height",
                    "length",
                    "how far up the face the damage reaches; all of it if not given",
                    least=0,
                    most=1500,
                ),
                Option("depth", "length", "how deep it goes; all through if not given", least=0, most=200),
                Option("moisture", "percent", "moisture of the old timber; it decides the glue", least=0, most=100),
                Option("outer-wall", "flag", "it stands on an outer wall"),
            ),
            _splice,
            {"mm": "start end overall cut_from cut_to scarf lost", "mm2": "glued_area"},
        )
    ]

"""The reckoners ``mitre``, ``sprung``, ``rake`` and ``bow``, with their options."""

from __future__ import annotations

from listel.core.contract.reckoning import Option, Reckoner
from listel.plugins.setting_out.reckon_cuts import mitre, rake, sprung
from listel.plugins.setting_out.reckon_walls import bow

KINDS = ("internal", "external")


def reckoners() -> list[Reckoner]:
    """The reckoners of this plugin."""
    corner = Option(
        "corner",
        "angle",
        "the corner as the bevel reads it: the room's angle at an internal corner, the solid's at an external one",
        required=True,
    )
    kind = Option("kind", "choice", "internal or external; internal where left out", choices=KINDS)
    projection = Option("projection", "length", "how far the moulding stands out from the wall")
    return [
        Reckoner(
            "mitre",
            "Cut of a flat moulding at a measured corner",
            (
                corner,
                kind,
                projection,
                Option("other-projection", "length", "projection of the piece it meets, where it differs"),
                Option("error", "angle", "error of the angle, for the gap it opens"),
                Option("explain", "flag", "draw the cut as text"),
            ),
            mitre,
        ),
        Reckoner(
            "sprung",
            "Mitre and bevel of a sprung moulding lying flat",
            (Option("spring", "angle", "spring angle, between its back and the wall", required=True), corner, kind),
            sprung,
        ),
        Reckoner(
            "rake",
            "Cuts of a raking moulding on a stair",
            (
                Option("pitch", "angle", "pitch of the stair"),
                Option("rise", "length", "rise of one step"),
                Option("going", "length", "going of one step"),
                Option("corner", "angle", "plan corner that the rake turns, as the bevel reads it"),
                kind,
                Option("spring", "angle", "spring angle, between its back and the wall"),
                Option("height", "length", "height of the section"),
                Option("run", "length", "level length of the rake"),
                projection,
            ),
            rake,
        ),
        Reckoner(
            "bow",
            "A moulding on a bowed wall: radius, stress, pull",
            (
                Option("chord", "length", "chord of the bow", required=True),
                Option("rise", "length", "rise of the bow over that chord", required=True),
                Option("thickness", "length", "thickness of the moulding"),
                Option("height", "length", "height of the moulding"),
                Option("timber", "text", "its timber, as the survey names it"),
                Option("spacing", "length", "spacing of its fixings"),
                Option("clear", "flag", "true where the finish is clear"),
            ),
            bow,
        ),
    ]

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
        least=20,
        most=340,
    )
    kind = Option("kind", "choice", "internal or external; internal where left out", choices=KINDS)
    projection = Option("projection", "length", "how far the moulding stands out from the wall", least=1, most=600)
    return [
        Reckoner(
            "mitre",
            "Cut of a flat moulding at a measured corner",
            (
                corner,
                kind,
                projection,
                Option(
                    "other-projection",
                    "length",
                    "projection of the piece it meets, where it differs",
                    least=1,
                    most=600,
                ),
                Option("error", "angle", "error of the angle, for the gap it opens", least=-10, most=10),
                Option("explain", "flag", "draw the cut as text"),
            ),
            mitre,
            {
                "deg": "cut_angle saw_reading other_cut_angle other_saw_reading",
                "mm": "face_allowance mitre_line gap other_face_allowance",
            },
        ),
        Reckoner(
            "sprung",
            "Mitre and bevel of a sprung moulding lying flat",
            (
                Option(
                    "spring", "angle", "spring angle, between its back and the wall", required=True, least=0, most=90
                ),
                corner,
                kind,
            ),
            sprung,
            {"deg": "mitre bevel cut_angle saw_reading"},
        ),
        Reckoner(
            "rake",
            "Cuts of a raking moulding on a stair",
            (
                Option("pitch", "angle", "pitch of the stair", least=1, most=75),
                Option("rise", "length", "rise of one step", least=50, most=400),
                Option("going", "length", "going of one step", least=100, most=600),
                Option("corner", "angle", "plan corner that the rake turns, as the bevel reads it", least=20, most=340),
                kind,
                Option("spring", "angle", "spring angle, between its back and the wall", least=0, most=90),
                Option("height", "length", "height of the section", least=3, most=1500),
                Option("run", "length", "level length of the rake", least=20, most=200000),
                projection,
            ),
            rake,
            {
                "mm": "edge_difference plumb_depth rake_length mismatch",
                "deg": "pitch level_to_rake_cut level_to_rake_cut_angle plumb_cut mitre bevel falling_mitre "
                "falling_bevel",
            },
        ),
        Reckoner(
            "bow",
            "A moulding on a bowed wall: radius, stress, pull",
            (
                Option("chord", "length", "chord of the bow", required=True, least=100, most=200000),
                Option("rise", "length", "rise of the bow over that chord", required=True, least=0, most=20000),
                Option("thickness", "length", "thickness of the moulding", least=1, most=200),
                Option("height", "length", "height of the moulding", least=3, most=1500),
                Option("timber", "word", "its timber", table="timbers"),
                Option("spacing", "length", "spacing of its fixings", least=20, most=5000),
                Option("clear", "flag", "true where the finish is clear"),
            ),
            bow,
            {"mm": "radius arc arc_excess gap_if_straight least_radius", "deg": "turn", "N/mm2": "stress", "N": "pull"},
        ),
    ]

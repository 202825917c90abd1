"""Folding shutters: the leaves at each side of a window, and the boxing they fold into. Lengths mm, angles degrees."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from math import ceil, cos, radians, tan
from typing import Any

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Trim
from listel.core.survey.units import show_length
from listel.plugins.panelling.results import Shutters
from listel.plugins.panelling.settings import allowed, figure
from listel.plugins.setting_out import Run, SettingOut

RULES = load_rules(__package__)


def leaf_covers(width: float, breadth: float) -> tuple[float, ...]:
    """What each leaf of one side covers of half a window, the front one as wide as its boxing is broad and each behind
    it narrower by the same; one leaf where that covers it."""
    half = width / 2
    if breadth >= half:
        return (half,)
    count = ceil(half / breadth - 1e-9)
    less = (count * breadth - half) / (count * (count - 1) / 2)
    return tuple(breadth - number * less for number in range(count))


@dataclass(frozen=True, kw_only=True)
class Folded:
    """The leaves of one side: what each covers, its width with the rebate by which it meets the one before it, and the
    depth of the boxing for them."""

    covers: tuple[float, ...]
    widths: tuple[float, ...]
    depth: float
    grounds: Grounds


def folded(width: float, breadth: float, thick: Sequence[float], given: Sequence[Input] = ()) -> Folded:
    """The leaves of a window so wide between boxings so broad, of those thicknesses. Raises ValueError where these are
    not as many as the leaves. Source: a treatise on shutters and their boxings, 1852; the shares derived."""
    covers = leaf_covers(width, breadth)
    if len(thick) != len(covers):
        count = "1 leaf" if len(covers) == 1 else f"{len(covers)} leaves"
        raise ValueError(f"this window takes {count} a side; give as many thicknesses, not {len(thick)}")
    rebate, room = allowed("leaf-rebate"), allowed("leaf-room")
    depth = sum(thick) + len(thick) * figure(room)
    return Folded(
        covers=covers,
        widths=tuple(cover + (figure(rebate) if number else 0.0) for number, cover in enumerate(covers)),
        depth=depth,
        grounds=Grounds(
            (Input("width between the boxings", width, "mm"), Input("breadth", breadth, "mm"), *given, rebate, room),
            "half of the window; the front leaf as wide as the boxing, each behind it narrower by the same; "
            "thicknesses of the leaves, each with its room",
            f"{' + '.join(f'{cover:g}' for cover in covers)} = {sum(covers):g}; {sum(thick):g} + {len(thick)} x "
            f"{figure(room):g} = {depth:g}",
            f"{depth:.1f} mm deep",
            (GEOMETRY, *RULES["shutters"].sources),
        ),
    )


def boxings(job: Job, setting_out: SettingOut) -> Iterator[Finding | Shutters]:
    """The leaves at each window that has shutters."""
    for label, run in setting_out.shutters.items():
        windows = job.room(run.room).wall(run.wall).openings
        opening = next(each for each in windows if (each.at, each.end) == (run.start, run.end))
        yield from _at(job, job.trim_named(run.trim), label, run, opening)


def _at(job: Job, trim: Trim, label: str, run: Run, opening: Opening) -> Iterator[Finding | Shutters]:
    show, name = partial(show_length, units=job.units), run.opening
    where = Where(run.room, run.wall, trim.name, station=opening.at, line=job.line(opening))
    lacks = [word for word, size in (("reveal", opening.reveal), ("height", opening.height)) if not size]
    splay = radians(opening.splay or 0.0)
    breadth = (opening.reveal or 0.0) / cos(splay)
    width = opening.width - 2 * (opening.reveal or 0.0) * tan(splay)
    count = len(leaf_covers(width, breadth)) if breadth else 0
    if count and count != len(trim.leaves):
        given = f" ({len(trim.leaves)} given)" if trim.leaves else ""
        of = f"thickness of each of the {count} leaves a side" if count > 1 else "thickness of its one leaf"
        lacks.append(f"{of}{given}")
    if lacks or opening.height is None:
        yield RULES["shutters-not-surveyed"].lacking(
            f"{' and '.join(lacks)} of the {name}",
            f"how wide the leaves of the {trim.name} are and how deep their boxing; none are reckoned",
            where,
            "give the window's height and its reveal, and of the trim leaves: with a thickness for each, front first",
        )
        return
    thick = [Input("thickness of a leaf", each, "mm", job.line(trim, "leaves")) for each in trim.leaves]
    found = folded(width, breadth, trim.leaves, thick)
    leaves = " and ".join(filter(None, (", ".join(map(show, found.widths[:-1])), show(found.widths[-1]))))
    yield RULES["shutters"].told(
        "record",
        f"At each side of the {name} {count} {'leaf goes' if count == 1 else 'leaves go'} to the {trim.name}, {leaves} "
        f"wide, front one first, in a boxing {show(breadth)} broad and {show(found.depth)} deep inside. Draw it full "
        "size, and have it framed from that.",
        where,
        found.grounds,
        depth=found.depth,
    )
    yield Shutters(
        label=label,
        room=run.room,
        wall=run.wall,
        trim=trim.name,
        opening=name,
        covers=found.covers,
        widths=found.widths,
        height=opening.height,
        breadth=breadth,
        depth=found.depth,
        grounds=found.grounds,
    )


def reckon(given: Mapping[str, Any]) -> Reckoning:
    """Leaves, with their rebates, and the depth of the boxing. Raises ValueError where the thicknesses are not as many
    as the leaves."""
    found = folded(given["width"], given["breadth"], given["leaf"])
    results = {
        "covers": [round(cover, 2) for cover in found.covers],
        "widths": [round(width, 2) for width in found.widths],
        "depth": round(found.depth, 2),
    }
    leaves = "1 leaf" if len(found.covers) == 1 else f"{len(found.covers)} leaves"
    says = f"{leaves} a side, front one first; their boxing is {found.depth:.1f} mm deep inside."
    return Reckoning(results, (found.grounds,), (says,))


SHUTTERS = Reckoner(
    "shutters",
    "Leaves of folding shutters and the depth of their boxing",
    (
        Option(
            "width", "length", "clear width of the window between the boxings", required=True, least=200, most=10000
        ),
        Option(
            "breadth",
            "length",
            "breadth of the boxing, from the sash frame to the face of the room",
            required=True,
            least=20,
            most=3000,
        ),
        Option("leaf", "length", "thickness of a leaf, front one first", required=True, many=True, least=10, most=100),
    ),
    reckon,
    {"mm": "covers widths depth"},
)

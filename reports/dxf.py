"""The sections of the trims as DXF R12, lines and arcs in mm, for whoever grinds the cutter.

Source: Autodesk, DXF Reference, Release 12, entities LINE and ARC (published, cited from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from math import atan2, degrees

from listel.core.survey.job import Job
from listel.plugins.proportions import Segment, back_points, profile_path

LAYER = "SECTION"


def profiles(job: Job) -> dict[str, str]:
    """Each trim's closed section by file name, which ends in its unit; a trim whose section is not known has none."""
    found: dict[str, str] = {}
    for trim in job.trim:
        path = profile_path(trim)
        if path:
            plain = re.sub(r"[^a-z0-9]+", "-", trim.name.lower()).strip("-") or "trim"
            taken = sum(1 for name in found if name.startswith(f"{plain}-mm"))
            found[f"{plain}{f'-{taken + 1}' if taken else ''}-mm.dxf"] = section(path, back_points(trim))
    return found


def section(path: tuple[Segment, ...], back: list[tuple[float, float]]) -> str:
    """A section: its face, and straight lines along its top, back and foot, but where its back is not known. x runs out
    from the wall, y up."""
    closing = pairwise([path[-1].end, *back, path[0].start]) if back else ()
    sides = [Segment(kind="line", start=first, end=last) for first, last in closing if first != last]
    head = (
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
        (0, "ENDSEC"),
        (0, "SECTION"),
        (2, "ENTITIES"),
    )
    body = [pair for segment in (*path, *sides) for pair in _entity(segment)]
    return "".join(f"{code}\n{value}\n" for code, value in (*head, *body, (0, "ENDSEC"), (0, "EOF")))


def _entity(segment: Segment) -> Iterator[tuple[int, str]]:
    """One line or arc; an arc runs anticlockwise from its first angle to its last."""
    if segment.centre is None:
        yield from ((0, "LINE"), (8, LAYER))
        for codes, point in (((10, 20), segment.start), ((11, 21), segment.end)):
            yield from zip(codes, (f"{value:.4f}" for value in point), strict=True)
        return
    first, last = (segment.end, segment.start) if segment.clockwise else (segment.start, segment.end)
    cx, cy = segment.centre
    yield from ((0, "ARC"), (8, LAYER), (10, f"{cx:.4f}"), (20, f"{cy:.4f}"), (40, f"{segment.radius:.4f}"))
    for code, (x, y) in ((50, first), (51, last)):
        yield (code, f"{degrees(atan2(y - cy, x - cx)) % 360:.6f}")

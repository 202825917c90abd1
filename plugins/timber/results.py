"""What ``timber`` gives: how each trim moves with the seasons."""

from __future__ import annotations

from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass
from listel.plugins.site import tables


@dataclass(frozen=True, kw_only=True)
class JointOpening:
    """How far one kind of joint of a trim opens and closes between the seasons. ``joint``: wall-edge, mitre, cope or
    scarf. ``low`` and ``high`` are one opening where nothing is unknown. ``angle`` only for a mitre."""

    joint: str = told("wall-edge, mitre, cope or scarf")
    low: float = told("opening, least", "mm")
    high: float = told("opening, greatest", "mm")
    angle: float | None = told("how far the mitre's faces turn from each other, greatest", "deg", None)
    says: str = told("where and when it opens", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class TrimMovement:
    """One trim: moistures in % MC, movements in mm (a low and a high where the growth rings are not known)."""

    LINE: ClassVar[str] = "movement"
    trim: str = told("the trim")
    timber: str = told("the timber, or empty where not surveyed", default="", words=tables.words("timbers"))
    delivered: float | None = told("moisture as delivered", "% MC", None)
    winter: float | None = told("moisture the room brings it to in winter", "% MC", None)
    summer: float | None = told("moisture the room brings it to in summer", "% MC", None)
    assumed: bool = told("whether the climate was assumed", default=False)
    known: bool = told("whether it is known how its rooms are heated", default=True)
    width_low: float | None = told("seasonal movement across the face, least", "mm", None)
    width_high: float | None = told("seasonal movement across the face, greatest", "mm", None)
    depth_low: float | None = told("seasonal movement through the thickness, least", "mm", None)
    depth_high: float | None = told("seasonal movement through the thickness, greatest", "mm", None)
    swells: float | None = told("most it swells across the face after delivery, a share of its width", "", None)
    shrinks: float | None = told("most it shrinks across the face after delivery, a share of its width", "", None)
    settling: float | None = told("change across the face from delivery to the furthest season, greatest", "mm", None)
    along: float | None = told("change along a 3 m length between seasons", "mm", None)
    mitre_angle: float | None = told("how far a square mitre opens, greatest", "deg", None)
    mitre_gap: float | None = told("that opening at heel or toe", "mm", None)
    openings: tuple[JointOpening, ...] = told("how far each kind of joint opens between seasons", default=())
    winter_range: tuple[float, float] | None = told(
        "winter moisture where heating is not known, or its rooms are not alike", "% MC", None
    )
    summer_range: tuple[float, float] | None = told(
        "summer moisture where heating is not known, or its rooms are not alike", "% MC", None
    )
    waits: tuple[tuple[str, float, float], ...] = told(
        "moisture to wait for by heating where that is unknown, by rooms where they are not alike", "% MC", ()
    )
    wait_days: tuple[float, float] | None = told("acclimatising, from and to", "days", None)
    wait_reading: tuple[float, float] | None = told("moisture to wait for, from and to", "% MC", None)
    kind: str = told("softwood, hardwood or board; empty where the timber is not known", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Movement:
    """Movement of every trim."""

    lines: tuple[TrimMovement, ...] = ()

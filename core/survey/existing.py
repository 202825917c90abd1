"""Trim and its section, and what of it stands in the house already. Lengths are mm, moisture % MC.

Part of the job model (core/survey/job.py): what the survey does not say is ``None`` or an empty tuple.
"""

from math import cos, radians
from typing import Literal

from listel.core.quick import dataclass
from listel.core.survey.surveyed import Surveyed, spelt
from listel.core.survey.units import Angle, Length, Percent


@dataclass(frozen=True)
class ProfileElement(Surveyed):
    """One element of a profile, from the underside up. ``height`` it takes up the wall; ``projection``: how far its
    upper end stands further out (+) or further in (-) than its lower end. ``kind``: fillet, ovolo, cavetto ..."""

    kind: str
    height: Length
    projection: Length = 0.0


@dataclass(frozen=True)
class Section(Surveyed):
    """``height`` on the wall, ``projection`` out from it, ``thickness`` of the timber if it differs from the
    projection (built-up or sprung); ``spring``: angle between the back of a sprung moulding and the wall, degrees."""

    height: Length | None = None
    projection: Length | None = None
    thickness: Length | None = None
    spring: Angle | None = None

    @property
    def thick(self) -> float | None:
        """The thickness of its timber, mm: as surveyed, else its projection; None where neither was, and of a sprung
        moulding, which is thinner than it stands out."""
        return self.thickness if self.spring or self.thickness is not None else self.projection

    @property
    def face(self) -> float | None:
        """How wide its board is, mm: its height, and of a sprung moulding that over the cosine of its spring; None
        where the height was not surveyed."""
        return None if self.height is None else self.height / cos(radians(self.spring or 0.0))

    @property
    def foot(self) -> float | None:
        """How high the flat is on which a sprung moulding stands against the wall, mm: taken to be its thickness; None
        where that was not surveyed, and of one that lies against the wall all over."""
        return self.thickness if self.spring else None


@dataclass(frozen=True)
class Offset(Surveyed):
    """One offset of a rubbing: how far ``out`` from the wall the face stands at a ``height`` above its underside."""

    height: Length
    out: Length


@dataclass(frozen=True)
class Hole(Surveyed):
    """A hole where old trim was fixed; ``bites``: whether a fixing still holds in it."""

    at: Length = spelt(alone=True)
    bites: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Damage(Surveyed):
    """Damage of old trim from station to station. ``height`` up its face and ``depth`` into it (None: not surveyed).

    ``probed``: the ends were found with the pick, not by eye; ``cause`` of decay in words; ``cured``: it is gone.
    """

    start: Length = spelt("from")
    end: Length = spelt("to")
    kind: str
    height: Length | None = None
    depth: Length | None = None
    probed: bool | None = None
    cause: str = ""
    cured: bool | None = None


@dataclass(frozen=True, kw_only=True)
class ExistingTrim(Surveyed):
    """Trim that is there: on a wall, round an opening (``side`` left, right or head as one faces it, its stations from
    the foot up or from the left) or up a flight (``wall`` names along which).

    ``paint``: how its paint holds. ``intent``: what is to happen to it; ``reason`` why no less than that would do,
    ``considered`` what else was looked at, ``agreed`` with whom. ``trim``: the trim of the job whose timber mends it.
    ``rubbing``: the profile as read off the wall. ``hides``: what lies behind it. ``kept_at``: where a piece that is
    set aside is kept.
    """

    member: str
    side: Literal["left", "right", "head"] | None = None
    wall: str = ""
    start: Length | None = spelt("from", None)
    end: Length | None = spelt("to", None)
    top: Length | None = None
    state: str | None = None
    intent: str | None = None
    original: Literal["original", "later", "unknown"] | None = None
    section: Section = Section()
    profile: tuple[ProfileElement, ...] = ()
    foot: Length | None = None
    rubbing: tuple[Offset, ...] = ()
    timber: str | None = None
    finish: str | None = None
    paint: Literal["sound", "chalky", "flaking", "blistered"] | None = None
    moisture: Percent | None = None
    damage: tuple[Damage, ...] = ()
    holes: tuple[Hole, ...] = ()
    hides: tuple[str, ...] = ()
    trim: str = spelt("for", "")
    reason: str = ""
    considered: str = ""
    agreed: str = ""
    kept_at: str = ""
    note: str = ""
    photos: tuple[str, ...] = ()

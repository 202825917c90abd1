"""What pulls at the fixings of a run: its own weight, what hangs on it, and the spring of a board drawn to the wall."""

from __future__ import annotations

from math import hypot

from listel.core.contract.findings import Input, Source
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.units import Units, show_load
from listel.plugins.fixings.bearing import Place
from listel.plugins.fixings.wood import Timber
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables

GRAVITY = 9.81
ASSUMED_LOAD = "unstated"
MECHANICS = Source("Weight and overhang: T = V e / z, moments about the underside of the rail", standing="derived")


@dataclass(frozen=True, kw_only=True)
class Load:
    """What one run asks of its fixings.

    ``weight`` and ``hung`` in N per mm of run, each with the pull its overhang makes as a share (``own_lever``,
    ``hook_lever`` = e / z); ``spring``: springback on one fixing, N.
    """

    weight: float
    hung: float
    own_lever: float
    hook_lever: float
    spring: float
    inputs: tuple[Input, ...]

    def shear(self, share: float) -> float:
        """Weight on one fixing that carries ``share`` mm of run, N."""
        return (self.weight + self.hung) * share

    def pull(self, share: float) -> float:
        """Pull on one fixing that carries ``share`` mm of run, N."""
        return (self.weight * self.own_lever + self.hung * self.hook_lever) * share + self.spring

    @property
    def lasting(self) -> bool:
        """Whether more than the trim's own weight pulls for good."""
        return self.hung * self.hook_lever > 0 or self.spring > 0

    def resultant(self, share: float) -> float:
        """Weight and pull on one fixing together, N."""
        return hypot(self.shear(share), self.pull(share))


def overhang_pull(weight: float, out: float, up: float) -> float:
    """Pull on a fixing from a weight that hangs ``out`` mm from the wall, the fixing ``up`` mm above the underside, N.

    T = V e / z: moments about the underside, where the rail bears on the wall (derived).
    """
    return weight * out / up


def spring_pull(sheet: Sheet, place: Place, spacing: float) -> float:
    """Springback on the hardest-worked fixing of a trim drawn to a bowed wall by fixings so far apart [mm], N; 0 where
    the wall is not bowed or the trim is not drawn in."""
    out = sheet.get(SettingOut)
    return max((bow.pull(spacing) for bow in (out.bows if out else ()) if here(bow, place)), default=0.0)


def here(line: object, place: Place) -> bool:
    """Whether a line of another plugin is about this trim on this wall."""
    names = (place.room.name, place.wall.name, place.trim.name)
    return tuple(getattr(line, key) for key in ("room", "wall", "trim")) == names


def assumed_load(units: Units) -> tuple[float, str]:
    """What is taken to hang on a picture rail where nobody stated it: N/m, and in words."""
    newtons = float(load_table(__package__, "loads").row(ASSUMED_LOAD)["load"])
    return newtons, show_load(newtons, units)


def hanging(place: Place) -> tuple[float, Input | None]:
    """What hangs on a run, N per mm, with its input: surveyed, or for a picture rail assumed."""
    trim = place.trim
    if trim.load is not None:
        return trim.load / 1000, Input("load hung along it", trim.load, "N/m", place.job.line(trim, "load"))
    if trim.member != "picture-rail":
        return 0.0, None
    assumed, shown = assumed_load(place.job.units)
    note = f"not surveyed; {shown} is our allowance"
    return assumed / 1000, Input("load hung along it", assumed, "N/m", assumed=True, note=note)


def load(place: Place, timber: Timber, sheet: Sheet, spacing: float) -> Load | None:
    """What the run asks of its fixings, ``spacing`` mm apart; None where the section was not surveyed.

    The section is taken as solid, which is on the safe side, and panelling as if it were all as thick as its frame. A
    skirting or architrave stands on the floor, yet its whole weight is taken as hanging; it makes no pull. What is
    sprung hangs all its weight on its foot, and leans from its head, which is fixed too.
    """
    section, line = place.trim.section, place.job.line(place.trim, "section")
    thick = section.thick
    out = section.projection if section.projection is not None else thick
    if section.height is None or thick is None or out is None:
        return None
    row = load_table(__package__, "loads").row(ASSUMED_LOAD)
    hook, arm, usual = float(row["hook"]), "hook stands out from the wall", "20 to 30 mm is usual"
    if place.trim.member == "plate-rail" and out / 2 > hook:
        hook, arm, usual = out / 2, "load stands out from the wall", "half of how far the rail does"
    up = section.height if section.spring else section.height / 2
    tall = place.rails[-1][1] if place.rails else section.face or section.height
    breadth = (
        "height of the panelling" if place.rails else "width of its face" if section.spring else "height of the section"
    )
    weight = tall * thick * timber.mean * 1e-9 * GRAVITY
    hung, input_ = hanging(place)
    spring = spring_pull(sheet, place, spacing)
    stands = bool(tables.member(place.trim.member).get("stands"))
    inputs = [
        Input(breadth, tall, "mm", line),
        Input("thickness", thick, "mm", line),
        Input("mean density", timber.mean, "kg/m3", timber.known.line, timber.known.assumed, note=timber.known.note),
    ]
    if input_ is not None and hung:
        inputs += [
            input_,
            Input(arm, hook, "mm", assumed=True, note=usual),
        ]
    if not stands or hung:
        note = "from its foot to its head, which is fixed too" if section.spring else "half the section"
        inputs.append(
            Input("lever" if section.spring else "fixing above the underside", up, "mm", assumed=True, note=note)
        )
    if spring:
        inputs.append(
            Input(
                "springback on one fixing",
                round(spring, 1),
                "N",
                note=f"drawn to the bowed wall by fixings {spacing:.0f} mm apart",
            )
        )
    own = 0.0 if stands else overhang_pull(1.0, out / 2, up)
    return Load(
        weight=weight,
        hung=hung,
        own_lever=own,
        hook_lever=overhang_pull(1.0, hook, up),
        spring=spring,
        inputs=tuple(inputs),
    )

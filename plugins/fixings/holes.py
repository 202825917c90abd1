"""Lead holes and clearance holes: what each source gives, since they disagree, and the one we drill."""

from __future__ import annotations

from listel.core.contract.findings import Source
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.plugins.fixings import american, eurocode

GAUGE_BASE, GAUGE_STEP = 0.060, 0.013
ROOT_SHARE = 2 / 3
PILOT_SOFT, PILOT_HARD = 0.70, 0.90
EC5_SHARE = 0.7
RULE = Source(
    "Trim rule: the Eurocode 5 hole in hardwood and near an end, the printed table elsewhere", standing="allowance"
)


@dataclass(frozen=True)
class Hole:
    """A lead hole after one source: ``diameter`` in mm; ``most``: the source gives the greatest that is allowed."""

    by: str
    diameter: float
    source: Source
    most: bool = False


def gauge_diameter(gauge: float) -> float:
    """Shank diameter of a wood screw, mm: 0.060 + 0.013 N inches (from memory; agrees with NDS Appendix L3)."""
    return (GAUGE_BASE + GAUGE_STEP * gauge) * american.INCH


def nearest_gauge(diameter: float) -> Row:
    """The row of the screw table whose gauge comes nearest to a shank diameter in mm."""
    return min(load_table(__package__, "screws"), key=lambda row: abs(gauge_diameter(float(row.name)) - diameter))


def pilot(root: float, hard: bool) -> float:
    """Lead hole for the thread from the root diameter: 70 % in softwood, 90 % in hardwood (older NDS text), mm."""
    return (PILOT_HARD if hard else PILOT_SOFT) * root


def screw_holes(diameter: float, hard: bool) -> tuple[Hole, ...]:
    """The lead hole for a wood screw after each source. ``diameter`` of the shank in mm; ``hard``: hardwood."""
    row = nearest_gauge(diameter)
    wood = "hardwood" if hard else "softwood"
    share = f"{(PILOT_HARD if hard else PILOT_SOFT):.0%} of the root, {wood}"
    found = [
        Hole(
            f"Wood Handbook root, two thirds of the shank; {share}",
            pilot(ROOT_SHARE * diameter, hard),
            american.handbook("chapter 8"),
        )
    ]
    if row.get("root"):
        found.append(Hole(f"NDS root; {share}", pilot(float(row["root"]), hard), american.nds("Appendix L3")))
    found.append(
        Hole(f"Printed trade table, No. {row.name}, {wood}", float(row["pilot"][1 if hard else 0]), row.sources[-2])
    )
    found.append(Hole("Eurocode 5, 0.7 of the shank", EC5_SHARE * diameter, eurocode.clause("10.4.5")))
    return tuple(found)


def nail_holes(diameter: float, gravity: float) -> tuple[Hole, ...]:
    """The hole for a nail after each source, mm. ``gravity``: specific gravity of the timber nailed through."""
    return (
        Hole(
            "Eurocode 5, at most 0.8 of the nail",
            eurocode.HOLE_SHARE * diameter,
            eurocode.clause("10.4.2", "published-from-memory"),
            True,
        ),
        Hole(
            "NDS, at most 75 %, or 90 % above a gravity of 0.6",
            american.nail_hole(gravity, diameter),
            american.nds("12.1.6.2"),
            True,
        ),
    )


def screw_hole(diameter: float, hard: bool, near_end: bool = False) -> Hole:
    """The lead hole we drill for a screw: Eurocode 5's in hardwood and near an end, else the printed table's."""
    holes = screw_holes(diameter, hard)
    return holes[-1] if hard or near_end else holes[-2]


def nail_hole(diameter: float, gravity: float) -> Hole:
    """The hole we drill for a nail: the lesser of what the sources allow, so that it satisfies each."""
    return min(nail_holes(diameter, gravity), key=lambda hole: hole.diameter)


def clearance(diameter: float) -> float:
    """Clearance hole for a screw's shank, mm: the trade table's, and never less than the screw."""
    return max(float(nearest_gauge(diameter)["clearance"]), diameter)

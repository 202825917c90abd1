"""Which fixing a run gets, and how big: ours, or the person's own choice, sized in the same way."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians

from listel.core.contract.findings import Source
from listel.core.contract.tables import Row, Table, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Choices, Trim
from listel.plugins.fixings import holes
from listel.plugins.fixings.bearing import TIMBER, Bearing, Place
from listel.plugins.fixings.wood import Timber

FILLED, PELLETED, PUNCHED = 2.0, 6.0, 3.0
WOOD_UNDER_HEAD = 6.0
LEAST_IN_TIMBER, WANTED_IN_TIMBER = 25.0, 35.0
NAIL_DEPTHS = 8.0
MASONRY_NAIL_DEPTH = 19.0
THIN_SHARE = 0.75
THIN_TRIM = 15.0
SIZES = Source(
    "Embedment 25 to 38 mm of thread in timber; head sunk 2 mm to fill, 6 mm to pellet", standing="common-practice"
)
NEED = Source("Screw length is what it passes, less the sinking, plus its embedment", standing="common-practice")


@dataclass(frozen=True, kw_only=True)
class Size:
    """A fixing with its dimensions, mm: ``through`` and ``embedment`` least and greatest where plaster was not
    surveyed.

    ``family`` says how it is reckoned; ``length`` None where the trim's thickness is unknown.
    """

    kind: Row
    diameter: float
    head: float
    gauge: str = ""
    sinking: float = FILLED
    length: float | None = None
    through: tuple[float, float] | None = None
    embedment: tuple[float, float] | None = None
    wanted: float = 0.0
    plug: Row | None = None

    @property
    def family(self) -> str:
        """How it is reckoned: screw, round, square, ring, plug, masonry-nail, resin, timber-plug, cavity."""
        return str(self.kind["family"])

    @property
    def smooth(self) -> bool:
        """Whether it is a smooth nail, which Eurocode 5 gives no lasting pull."""
        return self.family in ("round", "square")

    @property
    def long_enough(self) -> bool:
        """Whether it is known to reach as deep as wanted."""
        return self.embedment is not None and self.embedment[0] >= self.wanted


def kinds() -> Table:
    """The table of kinds of fixing."""
    return load_table(__package__, "kinds")


def thickness(place: Place) -> float | None:
    """Timber a fixing passes in the trim, mm; None where it was not surveyed.

    The thickness of the section, else what the profile projects half way up, where most fixings go, else the whole
    projection. A profile that lies behind the wall there tells of no thickness, and of a sprung one neither does: what
    is driven straight into the wall goes slantwise through its board.
    """
    section = place.trim.section
    if section.spring or section.thickness is not None:
        return None if section.thickness is None else section.thickness / cos(radians(section.spring or 0.0))
    half_way = profile_at(place.trim, section.height / 2) if section.height is not None else None
    return half_way if half_way is not None and half_way > 0 else section.thick


def profile_at(trim: Trim, height: float) -> float | None:
    """Projection of a profile at a height above its underside, mm, straight across each element; None with none."""
    if trim.foot is None or not trim.profile:
        return None
    low, out = 0.0, trim.foot
    for element in trim.profile:
        if height <= low + element.height and element.height > 0:
            return out + element.projection * (height - low) / element.height
        low, out = low + element.height, out + element.projection
    return out


def our_kind(place: Place, bearing: Bearing) -> str:
    """The kind we should use: what the wall asks for; nails into linings, and pins into boards, only where blows and
    traces do no harm: not where the inside is protected, or that is not known."""
    if bearing.kind not in ("lining", "trim"):
        return "screw" if bearing.kind in TIMBER else str(bearing.row["fixing"])
    nail = "pin" if bearing.kind == "trim" else "lost-head-nail"
    gentle = place.inside is not False or bearing.row.get("fragile", False) or place.trim.clear
    return "screw" if gentle else nail


def taken_kind(wanted: str, bearing: Bearing) -> str:
    """The kind a person's word means on this wall: a screw in masonry goes in a plug, in timber it needs none."""
    if wanted == "screw" and bearing.kind == "masonry":
        return "plug-and-screw"
    if wanted == "plug-and-screw" and bearing.kind in (*TIMBER, "blocks"):
        return "screw"
    return wanted


def wanted_kind(place: Place, bearing: Bearing) -> str:
    """The first of the kinds that a person chose which may bear in it, else the first of all; "" where none was."""
    wanted = [taken_kind(each, bearing) for each in place.job.choices.fixing]
    return next((each for each in wanted if bearing.takes(kinds().row(each))), wanted[0] if wanted else "")


def our_size(place: Place, bearing: Bearing, timber: Timber) -> Size:
    """Our own fixing for a run; screws where no nail of the table is long enough."""
    kind = our_kind(place, bearing)
    size = sized(place, bearing, kind, timber, Choices())
    if size.smooth and size.embedment is not None and not size.long_enough:
        return sized(place, bearing, "screw", timber, Choices())
    return size


def chosen_size(place: Place, bearing: Bearing, timber: Timber) -> Size:
    """The person's fixing for a run; what they leave open is filled as ours would be."""
    kind = wanted_kind(place, bearing) or our_size(place, bearing, timber).kind.name
    return sized(place, bearing, kind, timber, place.job.choices)


def sized(place: Place, bearing: Bearing, kind: str, timber: Timber, choices: Choices) -> Size:
    """A fixing of a kind with its diameter, length and embedment for this run."""
    row = kinds().row(kind)
    if row["family"] in ("round", "square", "ring", "masonry-nail"):
        return nail_size(place, bearing, row, choices)
    return screw_size(place, bearing, row, choices)


def screw_size(place: Place, bearing: Bearing, kind: Row, choices: Choices) -> Size:
    """A screw by gauge (No. 6 for thin trim, else No. 8), in a plug where the family has one."""
    thick = thickness(place)
    if choices.fixing_diameter is not None:
        screw, diameter = holes.nearest_gauge(choices.fixing_diameter), choices.fixing_diameter
    else:
        screw = load_table(__package__, "screws").row("6" if thick is not None and thick < THIN_TRIM else "8")
        diameter = holes.gauge_diameter(float(screw.name))
    pellets = place.trim.clear or place.job.choices.filler == "timber-pellet"
    pelleted = pellets and thick is not None and thick >= PELLETED + WOOD_UNDER_HEAD
    sinking = PELLETED if pelleted else FILLED
    plug = plug_for(float(screw.name)) if kind["family"] == "plug" else None
    wanted = wanted_embedment(bearing, kind)
    size = Size(
        kind=kind,
        diameter=diameter,
        head=float(screw["head"]),
        gauge=screw.name,
        sinking=sinking,
        wanted=wanted,
        plug=plug,
    )
    return with_length(size, place, bearing, choices.fixing_length)


def plug_for(gauge: float) -> Row | None:
    """The plug whose range takes a screw gauge, or None."""
    return next(
        (plug for plug in load_table(__package__, "plugs") if plug["gauges"][0] <= gauge <= plug["gauges"][1]), None
    )


def wanted_embedment(bearing: Bearing, kind: Row) -> float:
    """Embedment wanted in what bears, mm: 35 in timber, the pull-out table's figure elsewhere."""
    if bearing.base:
        return float(load_table(__package__, "pullout").row(pull_row(bearing, kind))["embedment"])
    return WANTED_IN_TIMBER


def in_thin(bearing: Bearing, wanted: float) -> float:
    """What is wanted in timber, mm; three quarters of what is too thin for it."""
    return wanted if bearing.thickness is None else min(wanted, THIN_SHARE * bearing.thickness)


def pull_row(bearing: Bearing, kind: Row) -> str:
    """The row of the pull-out table for a kind of fixing in masonry, earth or board."""
    special = {"masonry-nail": "masonry-nail", "resin": "resin", "timber-plug": "timber-plug", "cavity": "plasterboard"}
    if bearing.base and load_table(__package__, "pullout").row(bearing.base).get("any"):
        return bearing.base
    return special.get(kind["family"], bearing.base)


def nail_size(place: Place, bearing: Bearing, kind: Row, choices: Choices) -> Size:
    """The shortest nail of the table that is long enough, or the longest of its kind where none is."""
    word = "lost-head-nail" if kind.name == "nail" else kind.name
    sold = [row for row in load_table(__package__, "nails") if row["kind"] == word]
    market = [row for row in sold if row["units"] == place.job.units] or sold
    if choices.fixing_diameter is not None:
        market = sorted(sold, key=lambda row: abs(row["diameter"] - choices.fixing_diameter))
        head = market[0]["head"] * choices.fixing_diameter / market[0]["diameter"]
        size = Size(kind=kind, diameter=choices.fixing_diameter, head=head, sinking=PUNCHED)
        length = choices.fixing_length or market[0]["length"]
        return with_length(size, place, bearing, float(length))
    for row in market:
        deep = (
            MASONRY_NAIL_DEPTH
            if kind["family"] == "masonry-nail"
            else max(in_thin(bearing, LEAST_IN_TIMBER), NAIL_DEPTHS * row["diameter"])
        )
        size = Size(kind=kind, diameter=float(row["diameter"]), head=float(row["head"]), sinking=PUNCHED, wanted=deep)
        size = with_length(size, place, bearing, choices.fixing_length or float(row["length"]))
        if choices.fixing_length or size.long_enough:
            break
    return size


def passed(place: Place, bearing: Bearing, sinking: float) -> tuple[float, float] | None:
    """What a fixing passes before it bears: trim less sinking, plaster, void; None where the trim is unmeasured."""
    thick = thickness(place)
    if thick is None:
        return None
    under = max(0.0, thick - sinking)
    return under + bearing.gap[0], under + bearing.gap[1]


def stock_length(needed: float, units: str) -> float:
    """The next length sold, mm; the longest of the table where none is long enough."""
    lengths = load_table(__package__, "lengths").row(units)["lengths"]
    return float(next((length for length in lengths if length >= needed - 1e-9), lengths[-1]))


def longest_within(most: float, units: str) -> float:
    """The longest length sold that is no longer than ``most``, mm; the shortest of the table where none is."""
    lengths = load_table(__package__, "lengths").row(units)["lengths"]
    return float(max((length for length in lengths if length <= most + 1e-9), default=lengths[0]))


def with_length(size: Size, place: Place, bearing: Bearing, length: float | None) -> Size:
    """The fixing with its length (given, or through plus embedment rounded up to stock) and the embedment that leaves.

    Where what bears is thin, the length stops within it so that the point does not come out behind.
    """
    through = passed(place, bearing, size.sinking)
    wanted = size.wanted
    if through is None:
        return replace(size, length=length)
    if length is None:
        length = stock_length(through[1] + wanted, place.job.units)
        if bearing.thickness is not None and length > through[0] + bearing.thickness:
            length = longest_within(through[0] + bearing.thickness, place.job.units)
    deep = (max(0.0, length - through[1]), max(0.0, length - through[0]))
    if bearing.thickness is not None:
        deep = (min(deep[0], bearing.thickness), min(deep[1], bearing.thickness))
    return replace(size, length=length, through=through, embedment=deep)

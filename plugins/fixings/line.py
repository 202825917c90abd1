"""One line of the fixing schedule, reckoned from a run: the fixing, its places, and what it is asked and may carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from typing import Any

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Choices
from listel.plugins.fixings import holes
from listel.plugins.fixings.bearing import Bearing, Place, on_board
from listel.plugins.fixings.load import MECHANICS, Load, hanging, load
from listel.plugins.fixings.metal import metal
from listel.plugins.fixings.points import OLD_HOLE, Layout, lay_out, least_end, spacing_row
from listel.plugins.fixings.results import Fixing
from listel.plugins.fixings.size import (
    NEED,
    SIZES,
    Size,
    chosen_size,
    kinds,
    our_size,
    pull_row,
    sized,
    thickness,
    wanted_kind,
)
from listel.plugins.fixings.strength import Strength, code_of, strength
from listel.plugins.fixings.wood import Timber, bearing_timber, trim_timber

LEAST_SPACING, STEP = 100.0, 25.0
HEAVIER = ("10", "12")
HEAVY_HOOK = "hanging more than 15 kg from one hook unless it is over a fixing"


@dataclass(frozen=True, kw_only=True)
class Reckoned:
    """Everything worked out for one run with one fixing."""

    place: Place
    bearing: Bearing
    timber: Timber
    size: Size
    row: Row
    most: float
    layout: Layout | None
    load: Load | None
    strength: Strength | None

    @property
    def suits(self) -> bool:
        """Whether the fixing may be used in what bears here at all."""
        return self.bearing.takes(self.size.kind)

    @cached_property
    def ratio(self) -> float | None:
        """Demand over capacity of the hardest-worked fixing; None where it cannot be told or nothing is carried."""
        if self.load is None or self.strength is None or self.layout is None or not self.layout.stations:
            return None
        return self.strength.ratio(self.load, self.layout.share)

    @property
    def settable(self) -> dict[str, Any]:
        """What of its line a plugin or a house rule may set."""
        return {
            "kind": self.size.kind.name,
            "diameter": round(self.size.diameter, 2),
            "length": self.size.length,
            "most_spacing": self.most,
        }


def code(place: Place) -> str:
    """The timber code of this job."""
    return code_of(place.job.choices.code, place.job.building.region)


def ours(place: Place, found: Bearing, sheet: Sheet) -> Reckoned:
    """Our own fixing of a run: spacing drawn in, or a heavier screw, where the load asks for it."""
    timber = trim_timber(place.job, place.trim)
    first = reckon(place, found, our_size(place, found, timber), timber, sheet, None)
    if serves(first):
        return first
    closer = spacing_that_serves(first)
    if closer is not None and not found.stations:
        return reckon(place, found, first.size, timber, sheet, closer)
    for gauge in HEAVIER if first.size.family == "screw" else ():
        heavy = Choices(fixing_diameter=holes.gauge_diameter(float(gauge)))
        second = reckon(place, found, sized(place, found, first.size.kind.name, timber, heavy), timber, sheet, None)
        if serves(second):
            return second
    return first


def chosen(place: Place, found: Bearing, sheet: Sheet) -> Reckoned:
    """The person's fixing of a run, as they want it."""
    timber = trim_timber(place.job, place.trim)
    choices = place.job.choices
    if wanted_kind(place, found) == "cavity-fixing" and found.row.get("cavity") and found.kind != "lining":
        found = on_board(place, found)
    size = chosen_size(place, found, timber)
    if choices.spacing is not None:
        return reckon(place, found, size, timber, sheet, choices.spacing)
    custom = reckon(place, found, size, timber, sheet, None)
    closer = None if serves(custom) or found.stations else spacing_that_serves(custom)
    return custom if closer is None else reckon(place, found, size, timber, sheet, closer)


def has_choice(choices: Choices) -> bool:
    """Whether the person chose anything about the fixings."""
    figures = (choices.fixing_diameter, choices.fixing_length, choices.spacing)
    return bool(choices.fixing) or any(value is not None for value in figures)


def serves(reckoned: Reckoned) -> bool:
    """Whether nothing is overloaded as far as can be told."""
    if reckoned.strength is None or reckoned.load is None or not (reckoned.layout and reckoned.layout.stations):
        return True
    return reckoned.ratio is not None and reckoned.ratio <= 1.0


def reckon(place: Place, found: Bearing, size: Size, timber: Timber, sheet: Sheet, most: float | None) -> Reckoned:
    """A run with one fixing, ``most`` mm apart (None: the custom of the trade)."""
    row = spacing_row(place, found, hanging(place)[0])
    custom = float(row["most"])
    thin = most is not None and place.job.choices.spacing == most
    wanted = custom if most is None else most
    out = lay_out(place, sheet, found, wanted, row, least_end(timber.characteristic, size.diameter), thin)
    asked = load(place, timber, sheet, (out.spacing if out else None) or wanted)
    thick = thickness(place)
    able = None
    if thick is not None and found.takes(size.kind):
        again = ("old plug", OLD_HOLE) if found.kind in ("masonry", "blocks") else ("old plug",)
        reused = out is not None and any(point.on in again for point in out.points)
        holding = replace(found, base="old-plug") if reused else found
        able = strength(size, holding, timber, bearing_timber(), code(place), thick)
    if able is not None and asked is not None and able.pull == 0 and able.smooth and not asked.lasting:
        asked = replace(asked, own_lever=0.0)
    return Reckoned(
        place=place,
        bearing=found,
        timber=timber,
        size=size,
        row=row,
        most=wanted,
        layout=out,
        load=asked,
        strength=able,
    )


def spacing_that_serves(reckoned: Reckoned) -> float | None:
    """The greatest spacing in steps of 25 mm that is not overloaded; None where none of 100 mm or more is."""
    able, asked, out = reckoned.strength, reckoned.load, reckoned.layout
    if able is None or asked is None:
        return None
    rows = out.rows if out is not None else 1
    spacing = reckoned.most
    while spacing >= LEAST_SPACING:
        ratio = able.ratio(asked, spacing / rows)
        if ratio is not None and ratio <= 1.0:
            return spacing
        spacing -= STEP
    return None


def fixing_that_serves(reckoned: Reckoned) -> tuple[Size, float] | None:
    """Another fixing for the same run with the spacing at which it would serve: heavier screws, then other kinds."""
    place, found, timber, thick = reckoned.place, reckoned.bearing, reckoned.timber, thickness(reckoned.place)
    if thick is None:
        return None
    heavier = [Choices(fixing_diameter=holes.gauge_diameter(float(gauge))) for gauge in HEAVIER]
    tries = [(reckoned.size.kind.name, choices) for choices in heavier if reckoned.size.gauge]
    tries += [(row.name, Choices()) for row in kinds() if found.takes(row)]
    for kind, choices in tries:
        size = sized(place, found, kind, timber, choices)
        able = strength(size, found, timber, bearing_timber(), code(place), thick)
        spacing = spacing_that_serves(replace(reckoned, size=size, strength=able))
        if spacing is not None:
            return size, spacing
    return None


def unnamed(place: Place) -> Fixing:
    """The line of a run on a wall of unknown make-up: no fixing can be named."""
    return Fixing(
        room=place.room.name,
        wall=place.wall.name,
        trim=place.trim.name,
        member=place.trim.member,
        start=place.run.start,
        end=place.run.end,
        find="nothing, until what the wall is made of is known",
        pitch=place.run.pitch,
        density=trim_timber(place.job, place.trim).mean,
        grounds=Grounds((Input("make-up of the wall", "not surveyed"),), "the fixing follows from what bears it"),
    )


def fixing_line(reckoned: Reckoned) -> Fixing:
    """The schedule's line of a reckoned run."""
    place, found, size, out = reckoned.place, reckoned.bearing, reckoned.size, reckoned.layout
    stations = list(out.stations) if out else []
    able, asked = reckoned.strength, reckoned.load
    weighed = able is not None and asked is not None and out is not None and bool(stations)
    return replace(
        unnamed(place),
        substrate=found.row.name,
        into=found.into,
        **reckoned.settable,
        gauge=f"No. {size.gauge}" if size.gauge else "",
        through=size.through[1] if size.through else None,
        off=reckoned.place.run.off,
        embedment=size.embedment[0] if size.embedment else None,
        lead_hole=lead_hole(reckoned),
        clearance_hole=clearance_hole(reckoned),
        plug=size.plug.name if size.plug else "",
        spacing=out.spacing if out else None,
        from_ends=stations[0] - out.start if out and stations else None,
        second=stations[1] - out.start if out and len(stations) > 1 else None,
        rows=out.rows if out else 1,
        rows_down=out.down if out else (),
        count=len(out.points) if out else 0,
        points=out.points if out else (),
        metal=metal(place, reckoned.timber)[0]["metal"],
        demand=asked.resultant(out.share) if weighed and asked and out else None,
        capacity=able.towards(asked, out.share) if weighed and able and asked and out else None,
        ratio=reckoned.ratio,
        avoid=avoid(reckoned),
        find="" if found.stations or found.kind in ("ground", "lining", "trim") else how_to_find(found),
        upright=place.run.upright,
        shear=asked.shear(out.share) if weighed and asked and out else None,
        pull=asked.pull(out.share) if weighed and asked and out else None,
        density=reckoned.timber.mean,
        safety=able.factor if able else "",
        old=place.old,
        old_holes=sum(point.on == OLD_HOLE for point in out.points) if out else 0,
        grounds=grounds_of(reckoned),
    )


def lead_hole(reckoned: Reckoned) -> float | None:
    """Hole in what bears, mm: the plug's drill in masonry, a screw's lead hole in timber; none for nails."""
    size, found = reckoned.size, reckoned.bearing
    if size.plug is not None:
        return float(size.plug["drill"])
    if size.gauge and found.base in ("", "earth-block"):
        return round(holes.screw_hole(size.diameter, hard=False).diameter, 1)
    return None


def clearance_hole(reckoned: Reckoned) -> float | None:
    """Hole in the trim, mm: a screw's clearance; a nail's own hole, always drilled near an end."""
    size = reckoned.size
    if size.gauge:
        return round(holes.clearance(size.diameter), 1)
    return round(holes.nail_hole(size.diameter, reckoned.timber.gravity).diameter, 1)


def avoid(reckoned: Reckoned) -> tuple[str, ...]:
    """What not to do on this wall."""
    found = reckoned.bearing
    if found.kind == "trim":
        return ("fixing it to the floor as well, which moves against the board",)
    extra = ("driving nails with blows",) if found.row.get("fragile") and not reckoned.size.kind["blows"] else ()
    hook = (HEAVY_HOOK,) if reckoned.place.trim.member == "picture-rail" else ()
    return (*found.row["avoid"], *extra, *hook)


def how_to_find(found: Bearing) -> str:
    """How to find what bears, and how far apart it usually stands."""
    centres = found.row.get("centres")
    usual = f"; usually {centres[0]} to {centres[1]} mm apart, but measure, do not assume" if centres else ""
    return f"{found.row['find']}{usual}"


def grounds_of(reckoned: Reckoned) -> Grounds:
    """Why the line says what it says."""
    place, size, found = reckoned.place, reckoned.size, reckoned.bearing
    worked, sources = [], [NEED, SIZES, *found.row.sources, *reckoned.row.sources, *size.kind.sources]
    if size.through and size.length is not None and size.embedment:
        within = "" if found.thickness is None else f" within the {found.thickness:g} mm that bear it"
        worked.append(
            f"{size.through[1]:.1f} mm passed + {size.wanted:.0f} mm wanted{within}: {size.length:.0f} mm, "
            f"which leaves {size.embedment[0]:.1f} mm of embedment"
        )
    worked += load_words(reckoned)
    row, why = metal(place, reckoned.timber)
    worked.append(f"metal: {row['metal']}, because {row['why']}")
    sources += row.sources
    if reckoned.strength is not None:
        sources += reckoned.strength.sources
    if reckoned.load is not None:
        sources.append(MECHANICS)
    inputs = (*old_inputs(place), *thickness_inputs(place, found), reckoned.timber.known, bearing_timber().known, *why)
    if reckoned.load is not None:
        inputs = (*inputs, *reckoned.load.inputs)
    return Grounds(
        tuple(dict.fromkeys(inputs)),
        f"length = trim less sinking + {'the trim it stands on + ' if found.off else ''}plaster + hollow + embedment, "
        "rounded up to a length sold; demand = weight and pull on the longest stretch one fixing carries; capacity = "
        "working load in that direction",
        "; ".join(worked),
        f"{size.kind.name}, {reckoned.most:.0f} mm apart at most",
        tuple(dict.fromkeys(sources)),
        uncertainty=passed_range(size),
    )


def old_inputs(place: Place) -> Iterator[Input]:
    """Of an old piece put back: its holes, or that they were not surveyed and are taken to be as many as new trim's."""
    bite = sum(not hole.off for hole in place.holes)
    if place.holes:
        yield Input("old holes that bite", f"{bite} of {len(place.holes)}", line=place.job.line(place.trim, "holes"))
    elif place.old and not place.splice:
        note = "not surveyed; spaced as new trim is, to have a number"
        yield Input("old holes", "not surveyed", assumed=True, note=note)


def passed_range(size: Size) -> str:
    """The spread of embedment that unmeasured plaster leaves, in words."""
    if not size.embedment or size.embedment[0] == size.embedment[1]:
        return ""
    return f"embedment {size.embedment[0]:.0f} to {size.embedment[1]:.0f} mm, by the plaster"


def load_words(reckoned: Reckoned) -> list[str]:
    """Demand, capacity and ratio with their figures."""
    able, asked, out = reckoned.strength, reckoned.load, reckoned.layout
    if able is None or asked is None or out is None or not out.stations:
        return []
    ratio = reckoned.ratio
    told = "none" if ratio is None else f"{ratio:.2f}"
    return [
        f"one fixing carries {out.share:.0f} mm: weight {asked.shear(out.share):.1f} N, pull "
        f"{asked.pull(out.share):.1f} N",
        *able.words,
        f"may carry {able.pull:.0f} N of pull and {able.shear:.0f} N of weight; ratio {told}; safety: {able.factor}",
    ]


def thickness_inputs(place: Place, found: Bearing) -> tuple[Input, ...]:
    """Trim, panelling, plaster, hollow and what bears as inputs, each surveyed or assumed."""
    job, thick = place.job, thickness(place)
    inputs = []
    if thick is not None:
        key = "profile" if place.trim.section.thickness is None and place.trim.profile else "section"
        inputs.append(Input("thickness of the trim where it is fixed", thick, "mm", job.line(place.trim, key)))
    if found.off:
        inputs.append(Input("what the trim on whose face it stands takes", found.off, "mm"))
    return (*inputs, *found.covers, *((found.thick,) if found.thick else ()))


def wants_test(reckoned: Reckoned) -> bool:
    """Whether the allowance used is one that a pull test on site should prove."""
    if not reckoned.bearing.base or not reckoned.suits:
        return False
    return bool(load_table(__package__, "pullout").row(pull_row(reckoned.bearing, reckoned.size.kind)).get("test"))

"""What is to be said of the fixing of a run: asked against able, reach, tests, plaster, conservation."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from math import radians, tan

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Source, Weight, Where
from listel.core.contract.tables import load_table
from listel.core.house.filters import shown_value
from listel.core.survey.units import KILOGRAM, POUND, Units, show_length
from listel.plugins.fixings import eurocode
from listel.plugins.fixings.along import beyond_studs, fewer_than_two, off_a_fixing
from listel.plugins.fixings.layout import near_one
from listel.plugins.fixings.line import (
    LEAST_SPACING,
    Reckoned,
    code,
    fixing_that_serves,
    spacing_that_serves,
    wants_test,
)
from listel.plugins.fixings.load import hanging
from listel.plugins.fixings.places import RULES, at_start, named, where
from listel.plugins.fixings.results import Fixing
from listel.plugins.fixings.size import pull_row, thickness
from listel.plugins.site import deepest_hole, opening_name, tables

PULL_TESTS = Source(
    "BS 8539 Post-installed anchors in concrete and masonry", "BSI", "2012", "site tests", "published-second-hand"
)
REVERSIBLE = Source("Order of reversibility of fixings: screw, cut nail, finish nail, glue", standing="allowance")
RETAIN = Source("BS 7913 Conservation of historic buildings", "BSI", "2013", "", "published-second-hand")
STANDARDS = Source(
    "36 CFR 67.7, Standards for Rehabilitation", "National Park Service", "", "", "published-from-memory"
)


NOGGINGS = ", which needs noggings between the studs"


def found_by_run(reckoned: Reckoned, line: Fixing) -> Iterator[Finding]:
    """What is to be said of any fixing, as its line of the schedule stands: load, reach, short runs, pull tests,
    plaster that is not sound."""
    yield from overloaded(reckoned, line)
    yield from lasting_pull(reckoned)
    yield from reach(reckoned)
    yield from too_deep(reckoned)
    yield from one_row(reckoned)
    yield from condition(reckoned)
    yield from head_to_hold(reckoned)
    yield from hollow_beside(reckoned)
    if wants_test(reckoned) and tables.member(reckoned.place.trim.member).get("hangs"):
        yield pull_test(reckoned)
    yield from conservation(reckoned)


def head_to_hold(reckoned: Reckoned) -> Iterator[Finding]:
    """What the head of a sprung moulding wants, which hangs off the wall."""
    trim, job = reckoned.place.trim, reckoned.place.job
    section = trim.section
    if not section.spring or section.foot is None or section.height is None:
        return
    out = section.projection if section.projection is not None else section.height * tan(radians(section.spring))
    line = job.line(trim, "section")
    yield RULES["sprung-head"].told(
        "caution",
        f"The {trim.name} leans out from the wall and touches it at its foot alone: that is fixed through its flat, "
        f"{show_length(section.foot / 2, job.units)} up, and its head, {show_length(out, job.units)} out, is held by "
        "none of the fixings scheduled.",
        Where(trim=trim.name, line=line),
        Grounds(
            (
                Input("spring", section.spring, "degrees", line),
                Input("flat at its foot", section.foot, "mm", assumed=True, note="as high as the board is thick"),
            ),
            "fixed half way up the flat at its foot; its head is as far out as it projects, else height x tan(spring)",
            f"{section.foot:g} / 2; {out:.1f}",
            f"{section.foot / 2:.1f} mm up, head {out:.1f} mm out",
            RULES["sprung-head"].sources,
        ),
        "Fix the head into joists that cross over it, after finding them and looking for cables and pipes; where they "
        "run along it, screw a backing strip cut to its slope to what bears in the wall first, and fix into that.",
        out=out,
    )


BOX_SIDE = 19.0
"""How thick the side of a sash box or of a door's pocket is taken to be, mm: common practice, no source."""
HOLLOW = {"sash-weights": "the weights of its sashes", "pocket": "the pocket its door slides into"}
HUNG_UNTIL = 1950
"""The year from which a window is no more taken to be hung by weights: common practice, no source."""


def hollow_beside(reckoned: Reckoned) -> Iterator[Finding]:
    """A fixing round an opening that may pass into the boxes of its sashes or the pocket of its door."""
    place, job = reckoned.place, reckoned.place.job
    round_it = [one for one in place.wall.openings if opening_name(job, one) == place.run.opening]
    if not (round_it and place.run.upright and place.trim.member == "architrave"):
        return
    opening, built = round_it[0], job.building.built
    where_it_is = Where(place.room.name, place.wall.name, place.trim.name, line=job.line(opening))
    if not opening.beside and opening.kind == "window" and (built is None or built < HUNG_UNTIL):
        yield RULES["hollow-beside"].lacking(
            f"whether sash weights run beside the windows of the {place.room.name}",
            f"how long what holds the inner edge of the {place.trim.name} may be",
            Where(place.room.name, trim=place.trim.name),
            "look for cords and pulleys, and give the opening's beside: sash-weights or solid",
        )
    length, thick = reckoned.size.length, thickness(place)
    if opening.beside not in HOLLOW or length is None or thick is None or length - thick <= BOX_SIDE:
        return
    side, past = BOX_SIDE, length - thick
    yield RULES["hollow-beside"].told(
        "caution",
        f"Behind the inner edge of the {place.trim.name} at the {place.run.opening} on wall {place.wall.name} "
        f"{'are' if opening.beside == 'sash-weights' else 'is'} {HOLLOW[opening.beside]}: "
        f"{named(place, reckoned.size)} would go {show_length(past, job.units)} past it.",
        where_it_is,
        Grounds(
            (Input("past the trim", past, "mm"), Input("side of the box", side, "mm", assumed=True)),
            "length of the fixing less the trim it passes",
            f"{length:g} - {thick:g} = {past:g}",
            show_length(past, job.units),
            RULES["hollow-beside"].sources,
        ),
        f"At that edge let nothing go more than {show_length(side, job.units)} past the trim, after a look into the "
        "boxes or the pocket; try each sash or door when it is in. The outer edge takes what is scheduled.",
        past=past,
    )


def overloaded(reckoned: Reckoned, line: Fixing) -> Iterator[Finding]:
    """The hold on a fixing that is asked more than it may carry, with the spacing that would do."""
    ratio = line.ratio
    if ratio is None and line.capacity == 0 and not reckoned.size.smooth:
        yield holds_nothing(reckoned, line.grounds)
    if ratio is None or ratio <= 1.0 or line.demand is None or line.capacity is None:
        return
    units = reckoned.place.job.units
    closer = spacing_that_serves(reckoned)
    other = fixing_that_serves(reckoned) if closer is None else None
    if other is not None:
        would = f"{named(reckoned.place, other[0])}, at most {show_length(other[1], units)} apart, would serve"
        would = would[:1].upper() + would[1:] + (NOGGINGS if reckoned.bearing.stations else "")
    elif closer is None:
        would = f"No spacing of {show_length(LEAST_SPACING, units)} or more would do with any fixing"
    elif reckoned.bearing.stations:
        would = f"At most {show_length(closer, units)} apart they would serve{NOGGINGS}"
    else:
        would = f"At most {show_length(closer, units)} apart they would serve"
    guessed = hanging(reckoned.place)[1]
    assumed = guessed is not None and guessed.assumed

    def force(newtons: float) -> str:
        return shown_value(float(round(newtons)), "N", units)

    yield RULES["overloaded"].told(
        "advice" if assumed else "hold",
        f"The hardest-worked fixing of the {reckoned.place.trim.name} is asked for {force(line.demand)} and may carry "
        f"{force(line.capacity)}: {ratio:.2f} times what it should"
        + (", at a load that nobody stated." if assumed else "."),
        at_start(reckoned.place),
        line.grounds,
        f"{would}; or {_less(reckoned)}." + (" Say in the survey what will hang there." if assumed else ""),
        demand=line.demand,
        capacity=line.capacity,
        ratio=ratio,
    )


def _less(reckoned: Reckoned) -> str:
    """What else takes load off the fixings of a run: of a board drawn to a bowed wall it is its spring."""
    if reckoned.load is not None and reckoned.load.spring > 0:
        return "do not draw it in cold: thin or groove its back, laminate it to the curve, or pack it out straight"
    return "hang less on it"


def holds_nothing(reckoned: Reckoned, grounds: Grounds) -> Finding:
    """The hold on a fixing that may not reach what bears it, or not far enough to hold."""
    return RULES["holds-nothing"].told(
        "hold",
        f"The fixing of the {reckoned.place.trim.name} cannot be counted on to reach far enough into "
        f"{reckoned.bearing.into}.",
        where(reckoned.place),
        grounds,
        "Measure what bears it and what covers it through a trial hole, or fix to something deeper.",
    )


def hole_depth(reckoned: Reckoned) -> float | None:
    """How deep a hole or point goes in masonry, mm: the plug's own hole, or as far as the screw reaches where that is
    farther; None where it bears in timber, or that is not known."""
    size, found = reckoned.size, reckoned.bearing
    if found.kind not in ("masonry", "blocks"):
        return None
    plug = float(size.plug["depth"]) if size.plug is not None else 0.0
    reach = size.embedment[1] if size.embedment else 0.0 if plug else size.wanted or 0.0
    return max(plug, reach) or None


def too_deep(reckoned: Reckoned) -> Iterator[Finding]:
    """The hold on a hole deeper than the wall allows: before a flue, in a party wall, in a hollow make-up."""
    place, hole = reckoned.place, hole_depth(reckoned)
    most = deepest_hole(place.job, place.face)
    if hole is None or most is None or hole <= most.depth:
        return
    units = place.job.units
    inputs = (Input("hole", hole, "mm"), Input("deepest hole", most.depth, "mm"))
    yield RULES["hole-too-deep"].told(
        "hold",
        f"For the {place.trim.name} {named(place, reckoned.size)} want a hole of {show_length(hole, units)} in "
        f"{reckoned.bearing.into}; {most.why}, and {show_length(most.depth, units)} is the most.",
        where(place),
        Grounds(inputs, "no hole deeper than the wall allows", sources=most.sources),
        "Use a shorter plug and a thinner screw, closer together, or fix beside it.",
        hole=hole,
        most=most.depth,
    )


def one_row(reckoned: Reckoned) -> Iterator[Finding]:
    """A tall board whose grounds leave one half of it loose: more beyond its last row than the half of what one row may
    hold, or than the quarter beyond each of two."""
    place, out, limit = reckoned.place, reckoned.layout, reckoned.row.get("two_rows_over")
    height = place.trim.section.height
    if not reckoned.bearing.heights or place.rails or out is None or not out.down or limit is None or height is None:
        return
    free, edge = max((out.down[0], "top"), (height - out.down[-1], "lower"))
    if height <= limit or free <= max(limit / 2, height / 4):
        return
    length = partial(show_length, units=place.job.units)
    known = (
        Input("height of the section", height, "mm", place.job.line(place.trim, "section")),
        Input("beyond the last row", free, "mm"),
    )
    yield RULES["one-row-only"].told(
        "caution",
        f"The {place.trim.name} is {length(height)} high, and the grounds behind it leave {length(free)} of it free "
        f"up to its {edge} edge.",
        at_start(place),
        Grounds(known, f"solid boards over {limit} mm have two rows", sources=reckoned.row.sources),
        "Let in a ground or noggin behind the free half, or fix that half too to what else the wall is made of.",
        free=free,
    )


def lasting_pull(reckoned: Reckoned) -> Iterator[Finding]:
    """Smooth nails under a pull that lasts: a hold where something hangs or springs, else advice."""
    asked, out = reckoned.load, reckoned.layout
    if not reckoned.size.smooth or code(reckoned.place) == "nds" or asked is None or out is None or not reckoned.suits:
        return
    pull = asked.pull(out.share)
    if asked.lasting:
        weight: Weight = "hold"
        says = f"{pull:.0f} N pulls for good at each nail of the {reckoned.place.trim.name}"
    elif asked.weight > 0 and not tables.member(reckoned.place.trim.member).get("stands"):
        weight, says = "advice", f"The weight of the {reckoned.place.trim.name} leans on its nails for good"
    else:
        return
    inputs = (*asked.inputs, Input("fixing", reckoned.size.kind.name))
    formula = "smooth nails are given no axial load that lasts"
    yield RULES["smooth-nail-under-lasting-pull"].told(
        weight,
        f"{says}, and smooth nails are given no credit for a pull that lasts.",
        where(reckoned.place),
        Grounds(inputs, formula, sources=(eurocode.clause("8.3.2(1)"),)),
        "Use screws." if weight == "hold" else "Drive the nails slanting in pairs, or use screws.",
        pull=pull,
    )


def reach(reckoned: Reckoned) -> Iterator[Finding]:
    """Whether the fixings find enough to bear in: two at least, studs near each other, the ends and the joints."""
    out = reckoned.layout
    if out is None:
        return
    yield from fewer_than_two(reckoned, out)
    if len(out.stations) < 2:
        return
    if reckoned.bearing.stations:
        yield from beyond_studs(reckoned, out)
    hung = [joint for joint in out.joints if not near_one(joint, out.stations)]
    if hung:
        yield off_a_fixing(reckoned.place, hung)


def condition(reckoned: Reckoned) -> Iterator[Finding]:
    """Plaster that is not sound where fixings are to go through it."""
    place, substrate = reckoned.place, reckoned.place.wall.substrate
    if substrate is None or reckoned.bearing.kind == "trim" or substrate.condition not in tables.UNSOUND:
        return
    yield RULES["plaster-not-sound"].told(
        "caution",
        f"The plaster of wall {place.wall.name} is {substrate.condition}: drilling may bring it down.",
        Where(place.room.name, place.wall.name, line=place.job.line(substrate, "condition")),
        Grounds(
            (Input("condition", substrate.condition, line=place.job.line(substrate, "condition")),), sources=(PRACTICE,)
        ),
        "Have it made fast first; then drill at low speed with no hammer, and never count on it to hold.",
    )


def pull_test(reckoned: Reckoned) -> Finding:
    """A rail that carries loads on a wall whose hold can only be guessed."""
    row = load_table(__package__, "pullout").row(pull_row(reckoned.bearing, reckoned.size.kind))
    low, high = row["working"]
    units = reckoned.place.job.units
    return RULES["pull-test"].told(
        "caution",
        f"The {reckoned.place.trim.name} carries loads on walls whose hold is an allowance: "
        f"{_hung(low, high, units)} for each fixing.",
        Where(
            reckoned.place.room.name, trim=reckoned.place.trim.name, line=reckoned.place.job.line(reckoned.place.trim)
        ),
        Grounds(
            (Input("working allowance", f"{low} to {high}", "N", assumed=True),), sources=(*row.sources, PULL_TESTS)
        ),
        "Pull-test a few fixings in each such wall before the rail goes up, or hang no more than the lower figure "
        "allows.",
    )


def _hung(low: float, high: float, units: Units) -> str:
    """What hangs on a fixing, as people weigh it; ``low`` and ``high`` N."""
    one, name = (POUND, "lb") if units == "inches" else (KILOGRAM, "kg")
    return f"{low / one:.0f} to {high / one:.0f} {name}"


def conservation(reckoned: Reckoned) -> Iterator[Finding]:
    """Where the inside is protected, or that is not known: old holes and plugs again, and fixings that come out without
    a trace."""
    place = reckoned.place
    if place.inside is False:
        return
    so = (
        "The building is protected"
        if place.inside
        else "Whether the inside is protected is not known, so work as if it were"
    )
    line = place.job.line(place.job.building, "protection")
    keep = STANDARDS if place.job.building.region == "united-states" else RETAIN
    grounds = Grounds(
        (Input("protection", place.job.building.protection or "not surveyed", line=line),), sources=(keep, REVERSIBLE)
    )
    yield RULES["reuse-old-holes"].told(
        "advice",
        f"{so}: use old plugs, grounds and nail holes again where they are sound, and screws that come out again.",
        Where(line=line),
        grounds,
    )
    if reckoned.size.kind["leaves"] > 2:
        yield RULES["leaves-a-trace"].told(
            "caution",
            f"{reckoned.size.kind['says'].capitalize()} do not come out cleanly "
            f"({reckoned.size.kind['reversible']}), and the building "
            f"{'is protected' if place.inside else 'may be protected inside'}.",
            Where(line=place.job.line(place.job.choices, "fixing")),
            grounds,
            "Use screws in old holes, or agree the nails with the conservation officer.",
        )

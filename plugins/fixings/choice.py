"""The person's own fixing of a run, judged like ours and against it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from math import ceil

from listel.core.contract.findings import Finding, Grounds, Input, Source, Weight
from listel.core.contract.tables import load_table
from listel.core.survey.units import show_fine, show_length
from listel.plugins.fixings import american, eurocode, holes, layout
from listel.plugins.fixings.line import Reckoned, code, grounds_of, serves
from listel.plugins.fixings.places import RULES, named, of_trim, of_wall, where
from listel.plugins.fixings.size import LEAST_IN_TIMBER, NAIL_DEPTHS, WOOD_UNDER_HEAD, in_thin, pull_row, thickness

THREAD = Source(
    "Thread 25 to 38 mm into the stud; three quarters of a ground or batten that is thinner",
    standing="published-second-hand",
)


def offered(ours: Reckoned) -> str:
    """What we should use instead, in one sentence."""
    units = ours.place.job.units
    fixing, apart = named(ours.place, ours.size), show_length(ours.most, units)
    return f"We should use {fixing}, at most {apart} apart, into {ours.bearing.into}."


def on_choice(choice: Reckoned, ours: Reckoned) -> Iterator[Finding]:
    """The person's own fixing against ours."""
    place, offer = choice.place, offered(ours)
    if not choice.suits:
        yield RULES["choice-cannot-hold-here"].told(
            "hold",
            f"{choice.size.kind['says'].capitalize()} were chosen, and they do not hold in {choice.bearing.into}.",
            where(place, "fixing"),
            choice_grounds(choice),
            offer,
        )
        return
    faults = [*too_wide(choice, offer), *blows(choice, offer), *splits(choice)]
    faults += too_short(choice, ours)
    if choice.size != ours.size:
        faults += too_long(choice, offer)
    yield from faults
    if not faults and serves(choice):
        yield RULES["choice-serves"].told(
            "record",
            f"{choice.size.kind['says'].capitalize()}, as chosen, serve for the {place.trim.name} wherever nothing "
            "else is said; the schedule gives the length wall by wall.",
            of_trim(place, "fixing"),
            grounds_of(choice),
        )
    elif not serves(choice) and serves(ours):
        yield RULES["choice-against-ours"].told("advice", offer, where(place, "fixing"), grounds_of(ours))


def choice_grounds(choice: Reckoned) -> Grounds:
    """What was chosen and what it was judged against."""
    job = choice.place.job
    inputs = (
        Input("fixing", choice.size.kind.name, line=job.line(job.choices, "fixing")),
        Input("make-up of the wall", choice.bearing.row.name, line=job.line(choice.place.wall, "substrate")),
    )
    return Grounds(inputs, "each kind of fixing holds only in what it is made for", sources=choice.size.kind.sources)


def least_embedment(choice: Reckoned) -> tuple[float, Source]:
    """Least embedment of a fixing in what bears it, mm, and the rule.

    8 d for smooth nails, 6 d in the NDS and for ring-shank nails, 25 mm for screws in timber, the pull-out table's
    figure elsewhere.
    """
    size, base = choice.size, choice.bearing.base
    if base:
        row = load_table(__package__, "pullout").row(pull_row(choice.bearing, size.kind))
        return float(row["embedment"]), row.sources[0]
    if code(choice.place) == "nds":
        return american.LEAST_DEPTH * size.diameter, american.nds("12.1.5.6, 12.1.6.4")
    if size.smooth:
        return NAIL_DEPTHS * size.diameter, eurocode.clause("8.3.1.2(1)")
    if size.family == "ring":
        return eurocode.LEAST_RING * size.diameter, eurocode.clause("8.3.1.2(2)")
    return in_thin(choice.bearing, LEAST_IN_TIMBER), THREAD


def reaches(reckoned: Reckoned) -> bool:
    """Whether a fixing is known to reach as far as it must into what bears it, or that cannot be told."""
    deep = reckoned.size.embedment
    return deep is None or deep[0] >= least_embedment(reckoned)[0] - layout.SLACK


def too_short(used: Reckoned, ours: Reckoned) -> Iterator[Finding]:
    """A fixing that is too short, chosen or ours: a hold, or a caution where only what nobody measured makes it so, or
    where no longer one is sold that stays within what bears and its head may be sunk deeper."""
    deep, place = used.size.embedment, used.place
    if deep is None or reaches(used):
        return
    least, source = least_embedment(used)
    length = partial(show_length, units=place.job.units)
    deeper = sunk_deeper(used, least - deep[0])
    as_ours = deeper is not None and used.size.length == ours.size.length
    weight: Weight = "caution" if as_ours or deep[1] >= least else "hold"
    reached = length(deep[0]) if deep[0] == deep[1] else f"{length(deep[0])} to {length(deep[1])}"
    if reaches(ours):
        mend = offered(ours)
    elif deep[1] >= least:
        mend = f"Measure through a trial hole what covers {used.bearing.into}."
    else:
        sink = "" if deeper is None else f"Sink its head {length(deeper)} deeper, and fill or pellet it; or "
        mend = f"{sink}fix to something deeper: a longer one that is sold would come out behind what bears it."
    yield RULES["too-short"].told(
        weight,
        f"The fixing of the {place.trim.name} leaves {reached} in {used.bearing.into}; it needs {length(least)}.",
        replace(where(place, "fixing-length"), station=place.run.start),
        Grounds(
            (
                Input("length", used.size.length or 0.0, "mm"),
                Input("passed before it bears", used.size.through[1] if used.size.through else 0.0, "mm"),
                *((used.bearing.thick,) if used.bearing.thick else ()),
            ),
            "embedment = length less trim, plaster and hollow, and no more than what bears is thick",
            result=f"{deep[0]:.1f} mm",
            sources=(source,),
        ),
        mend[:1].upper() + mend[1:],
        reached=deep[0],
        needed=least,
    )


def sunk_deeper(used: Reckoned, lacks: float) -> float | None:
    """How much deeper the head of a screw would have to be sunk to reach ``lacks`` mm farther, in whole mm; None where
    too little wood would stay under it."""
    thick, deeper = thickness(used.place), float(ceil(lacks - layout.SLACK))
    if thick is None or not used.size.gauge or thick - used.size.sinking - deeper < WOOD_UNDER_HEAD:
        return None
    return deeper


def too_long(choice: Reckoned, offer: str) -> Iterator[Finding]:
    """A chosen fixing whose point comes out behind what bears it; behind a board it only goes on into the wall."""
    size, thick = choice.size, None if choice.bearing.kind == "trim" else choice.bearing.thickness
    if thick is None or size.through is None or size.length is None or size.length <= size.through[0] + thick:
        return
    out = size.length - size.through[0] - thick
    yield RULES["choice-too-long"].told(
        "caution",
        f"The chosen fixing for {choice.place.trim.name} may come out {show_length(out, choice.place.job.units)} "
        f"behind what bears it.",
        where(choice.place, "fixing-length"),
        Grounds(
            (Input("length", size.length, "mm"), Input("what bears", thick, "mm")), sources=choice.bearing.row.sources
        ),
        offer,
    )


def too_wide(choice: Reckoned, offer: str) -> Iterator[Finding]:
    """A chosen spacing wider than the custom."""
    custom, spacing = float(choice.row["most"]), choice.place.job.choices.spacing
    if spacing is None or spacing <= custom:
        return
    units = choice.place.job.units
    yield RULES["choice-too-far-apart"].told(
        "caution",
        f"{show_length(spacing, units)} apart was chosen for {choice.place.trim.name}; "
        f"{show_length(custom, units)} is the most that is usual.",
        where(choice.place, "spacing"),
        Grounds(
            (Input("spacing", spacing, "mm", choice.place.job.line(choice.place.job.choices, "spacing")),),
            sources=choice.row.sources,
        ),
        offer,
    )


def blows(choice: Reckoned, offer: str) -> Iterator[Finding]:
    """Fixings driven with blows into a wall that blows harm."""
    if not (choice.size.kind["blows"] and choice.bearing.row.get("fragile")) or choice.bearing.kind == "trim":
        return
    yield RULES["blows-on-fragile-plaster"].told(
        "caution",
        f"{choice.size.kind['says'].capitalize()} are driven with blows, which crack {choice.bearing.row['says']} "
        f"and break its keys.",
        of_wall(choice.place),
        choice_grounds(choice),
        f"{offer} If nails it must be, drill for every one.",
    )


def splits(choice: Reckoned) -> Iterator[Finding]:
    """A nail that must be predrilled or would stand too near an edge."""
    size, timber, place = choice.size, choice.timber, choice.place
    if size.family not in ("round", "square", "ring"):
        return
    thick, height = thickness(place), place.trim.section.height
    reasons = list(eurocode.predrill_reasons(timber.characteristic, size.diameter, thick, timber.splits))
    edge = eurocode.spacings(timber.characteristic, size.diameter, predrilled=True).unloaded_edge
    if height is not None and height / 2 < edge:
        reasons.append(
            f"even drilled it wants {edge:.0f} mm to an edge, and the trim is {height:.0f} mm high: take a thinner one"
        )
    if not reasons:
        return
    units = place.job.units
    hole = holes.nail_hole(size.diameter, timber.gravity)
    yield RULES["drill-for-nails"].told(
        "advice",
        f"Drill {place.trim.name} {show_fine(hole.diameter, units)} for each nail, because {' and '.join(reasons)}.",
        of_trim(place, "fixing"),
        Grounds(
            (
                Input("diameter", size.diameter, "mm"),
                Input("characteristic density", timber.characteristic, "kg/m3", assumed=timber.known.assumed),
            ),
            "t_min = max(7 d; (13 d - 30) rho / 400)",
            sources=(eurocode.clause("8.3.1.1(2), 8.3.1.2(6), equation 8.18"), hole.source),
        ),
    )

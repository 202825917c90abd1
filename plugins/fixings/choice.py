"""The person's own fixing of a run, judged like ours and against it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import Finding, Grounds, Input, Source, Weight
from listel.core.contract.tables import load_table
from listel.core.survey.units import show_fine, show_length
from listel.plugins.fixings import american, eurocode, holes, layout
from listel.plugins.fixings.judge import RULES, named, of_trim, of_wall, where
from listel.plugins.fixings.line import Reckoned, code, grounds_of, serves
from listel.plugins.fixings.size import LEAST_IN_TIMBER, NAIL_DEPTHS, pull_row, thickness

THREAD = Source(
    "Thread 25 to 38 mm into the stud; three quarters of a ground or batten that is thinner",
    standing="published-second-hand",
)
THIN_SHARE = 0.75


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
    if choice.size != ours.size:
        faults += [*too_short(choice, offer), *too_long(choice, offer)]
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
    thin = choice.bearing.thickness
    return min(LEAST_IN_TIMBER, thin * THIN_SHARE if thin else LEAST_IN_TIMBER), THREAD


def too_short(choice: Reckoned, offer: str) -> Iterator[Finding]:
    """A chosen fixing that is too short: a hold, or a caution where only unmeasured plaster makes it so."""
    deep = choice.size.embedment
    if deep is None:
        return
    least, source = least_embedment(choice)
    if deep[0] >= least - layout.SLACK:
        return
    units = choice.place.job.units
    weight: Weight = "hold" if deep[1] < least else "caution"
    reached = (
        show_length(deep[0], units)
        if deep[0] == deep[1]
        else f"{show_length(deep[0], units)} to {show_length(deep[1], units)}"
    )
    yield RULES["choice-too-short"].told(
        weight,
        f"The chosen fixing for {choice.place.trim.name} leaves {reached} in {choice.bearing.into}; it needs "
        f"{show_length(least, units)}.",
        replace(where(choice.place, "fixing-length"), station=choice.place.run.start),
        Grounds(
            (
                Input("length", choice.size.length or 0.0, "mm"),
                Input("passed before it bears", choice.size.through[1] if choice.size.through else 0.0, "mm"),
            ),
            "embedment = length less trim, plaster and hollow",
            result=f"{deep[0]:.1f} mm",
            sources=(source,),
        ),
        offer,
        reached=deep[0],
        needed=least,
    )


def too_long(choice: Reckoned, offer: str) -> Iterator[Finding]:
    """A chosen fixing whose point comes out behind what bears it."""
    size, thick = choice.size, choice.bearing.thickness
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
    if not (choice.size.kind["blows"] and choice.bearing.row.get("fragile")):
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

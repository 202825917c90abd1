"""The movement of one trim between the seasons, and what it does to the joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Grounds, Input, Source
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_fine, show_length
from listel.plugins.site import tables
from listel.plugins.timber.climate import RoomAir
from listel.plugins.timber.joints import edge_share, mitre_gap, mitre_opening
from listel.plugins.timber.results import JointOpening, TrimMovement
from listel.plugins.timber.sorption import BOARD_SORPTION, HANDBOOK_SORPTION
from listel.plugins.timber.species import Direction, Species, limit, possible_species
from listel.plugins.timber.swelling import HANDBOOK_SWELLING

LENGTH = 3000.0
"""The length whose movement along the grain is told, mm."""

Range = tuple[float, float]


def trim_movement(job: Job, trim: Trim, airs: tuple[RoomAir, ...]) -> TrimMovement:
    """Everything the stage has to tell of one trim's movement; ranges where timber, rings or heating are not known."""
    species = possible_species(trim.timber)
    height, depth = trim.section.height, trim.section.thick
    across = _seasonal(trim, species, airs, height, face=True)
    through = _seasonal(trim, species, airs, depth, face=False)
    along = _along(species, airs)
    moved = _after_delivery(trim, species, airs)
    openings = _openings(job, trim, across, through, along)
    mitre = next((opening for opening in openings if opening.joint == "mitre"), None)
    line = TrimMovement(
        trim=trim.name,
        timber=trim.timber or "",
        kind=species[0].kind if len({each.kind for each in species}) == 1 else "",
        delivered=trim.moisture,
        assumed=any(air.assumed for air in airs),
        known=all(air.known for air in airs),
        width_low=across[0] if across else None,
        width_high=across[1] if across else None,
        depth_low=through[0] if through else None,
        depth_high=through[1] if through else None,
        swells=max(moved),
        shrinks=-min(moved),
        settling=max(map(abs, moved)) * height if height is not None else None,
        along=along[1],
        mitre_angle=mitre.angle if mitre else None,
        mitre_gap=mitre.high if mitre else None,
        openings=openings,
        grounds=_grounds(job, trim, species, airs, across),
    )
    return _with_moistures(line, species, airs)


def _with_moistures(line: TrimMovement, species: tuple[Species, ...], airs: tuple[RoomAir, ...]) -> TrimMovement:
    typical = species[0]
    days = [(row["low"], row["high"]) for row in (limit(f"wait-{kind}") for kind in {one.kind for one in species})]
    line = replace(line, wait_days=(min(low for low, _ in days), max(high for _, high in days)))
    moistures = [air.moistures(typical) for air in airs]
    if len(airs) == 1:
        return replace(line, winter=moistures[0][0], summer=moistures[0][1], wait_reading=airs[0].reading(typical))
    winters, summers = [pair[0] for pair in moistures], [pair[1] for pair in moistures]
    return replace(
        line,
        winter_range=(min(winters), max(winters)),
        summer_range=(min(summers), max(summers)),
        waits=tuple((name, *air.reading(typical)) for name, air in zip(_names(airs), airs, strict=True)),
    )


def _names(airs: tuple[RoomAir, ...]) -> list[str]:
    """What each of several airs is told as: by its rooms where there are others, by the heating where that is not
    known."""
    alike = len({air.rooms for air in airs}) == 1
    return [
        ": ".join(filter(None, ("" if alike else ", ".join(air.rooms), "" if air.known else air.heating)))
        for air in airs
    ]


def _directions(trim: Trim, one: Species, face: bool) -> tuple[Direction, ...]:
    return one.face(trim.rings) if face else one.depth(trim.rings)


def _seasonal(
    trim: Trim, species: tuple[Species, ...], airs: tuple[RoomAir, ...], size: float | None, face: bool
) -> Range | None:
    if size is None:
        return None
    changes = [
        abs(change)
        for air in airs
        for one in species
        for direction in _directions(trim, one, face)
        for change in one.changes(direction, size, *air.moistures(one))
    ]
    return min(changes), max(changes)


def _after_delivery(trim: Trim, species: tuple[Species, ...], airs: tuple[RoomAir, ...]) -> list[float]:
    """Every estimate of what it does across the face from delivery to a season, a share of its width, positive when it
    swells; 0 among them."""
    spread = limit("delivered-spread")
    delivered = (trim.moisture,) if trim.moisture is not None else (spread["low"], spread["high"])
    return [
        0.0,
        *(
            change
            for air in airs
            for one in species
            for season in air.moistures(one)
            for first in delivered
            for direction in _directions(trim, one, face=True)
            for change in one.changes(direction, 1.0, first, season)
        ),
    ]


def _along(species: tuple[Species, ...], airs: tuple[RoomAir, ...]) -> Range:
    moved = [
        LENGTH * share * abs(summer - winter)
        for air in airs
        for one in species
        for winter, summer in (air.moistures(one),)
        for share in one.along()
    ]
    return min(moved), max(moved)


def _grounds(
    job: Job, trim: Trim, species: tuple[Species, ...], airs: tuple[RoomAir, ...], across: Range | None
) -> Grounds:
    inputs: list[Input] = [given for air in airs for given in air.inputs]
    if trim.timber:
        inputs.append(Input("timber", trim.timber, line=job.line(trim, "timber")))
    else:
        inputs.append(Input("timber", "any in the table", assumed=True, note="not surveyed"))
    if not any(one.is_board for one in species) or len(species) > 1:
        rings = trim.rings or "flat-sawn to quarter-sawn"
        inputs.append(
            Input("growth rings", rings, "", job.line(trim, "rings") if trim.rings else 0, trim.rings is None)
        )
    if trim.section.height is not None:
        inputs.append(Input("height on the wall", trim.section.height, "mm", job.line(trim.section, "height")))
    if trim.moisture is None:
        spread = limit("delivered-spread")
        note = "not surveyed: the spread of single pieces as sold"
        inputs.append(Input("moisture as delivered", f"{spread['low']} to {spread['high']}", "%", 0, True, note=note))
    else:
        inputs.append(Input("moisture as delivered", trim.moisture, "%", job.line(trim, "moisture")))
    result = f"{show_range(across, job)} between the seasons" if across else "no height surveyed, so no movement in mm"
    sources: tuple[Source, ...] = (HANDBOOK_SORPTION, HANDBOOK_SWELLING)
    if any(one.is_board for one in species):
        sources = (BOARD_SORPTION, *sources) if len(species) > 1 else (BOARD_SORPTION,)
    if len(species) == 1:
        sources += species[0].sources
    return Grounds(
        inputs=tuple(inputs),
        formula="height x coefficient x change of moisture (6 to 14 %), else by the shrinkage; least and greatest of"
        " all published figures and of the growth rings that are possible",
        worked=_worked(trim, species, airs),
        result=result,
        sources=sources,
        uncertainty="painted timber lags behind the air: these are upper bounds; single boards scatter about the mean",
    )


def _worked(trim: Trim, species: tuple[Species, ...], airs: tuple[RoomAir, ...]) -> str:
    words = []
    for name, air in zip(_names(airs), airs, strict=True):
        winter, summer = air.moistures(species[0])
        named = f"{name}: " if len(airs) > 1 else ""
        words.append(f"{named}winter {winter:.1f} %, summer {summer:.1f} %")
    if len(species) == 1 and len(airs) == 1 and trim.section.height is not None:
        one = species[0]
        for direction in one.face(trim.rings):
            changes = one.changes(direction, trim.section.height, *airs[0].moistures(one))
            words.append(f"{direction}: {' or '.join(sorted({f'{abs(change):.2f}' for change in changes}))} mm")
    return "; ".join(words)


def show_range(pair: Sequence[float], job: Job) -> str:
    """A range of small lengths in words, one figure where both are alike."""
    low, high = (show_fine(value, job.units) for value in pair)
    return low if low == high else f"{low} to {high}"


def _openings(
    job: Job, trim: Trim, across: Range | None, through: Range | None, along: Range
) -> tuple[JointOpening, ...]:
    found: list[JointOpening] = []
    height, depth = trim.section.height, trim.section.thick
    if across and height:
        share = edge_share(height, height / 2)
        found.append(
            JointOpening(
                joint="wall-edge",
                low=across[0] * share,
                high=across[1] * share,
                says="Each edge slides along the wall by this much when the piece is fixed along its middle;"
                " by all of it at the free edge when it is fixed along the other edge.",
                grounds=Grounds(
                    formula="movement across the face x distance from fixing to edge / height",
                    worked=f"{across[1]:.2f} mm x 0.5",
                    result=f"{across[1] * share:.2f} mm",
                    sources=(GEOMETRY,),
                ),
            )
        )
    mitre = _mitre(trim, across, through)
    if mitre:
        found.append(mitre)
    if through and depth:
        found.append(
            JointOpening(
                joint="cope",
                low=through[0],
                high=through[1],
                says="The face of the piece that runs through draws back from the coped end as it dries.",
                grounds=Grounds(
                    formula="movement through the thickness", result=f"{through[1]:.2f} mm", sources=(GEOMETRY,)
                ),
            )
        )
    found.append(
        JointOpening(
            joint="scarf",
            low=along[0],
            high=along[1],
            says=f"Along the grain of {show_length(LENGTH, job.units)} of piece, if nothing held it;"
            " a glued scarf shares it out.",
            grounds=Grounds(
                formula="length x movement along the grain per 1 % x change of moisture",
                result=f"{along[1]:.2f} mm",
                sources=limit("along-grain").sources,
            ),
        )
    )
    return tuple(found)


def _mitre(trim: Trim, across: Range | None, through: Range | None) -> JointOpening | None:
    flat = bool(tables.member(trim.member).get("flat"))
    width = trim.section.height if flat else trim.section.thick
    moved = across if flat else through
    if not moved or not width:
        return None
    low, high = (mitre_gap(width, change / width, 90) for change in moved)
    angle = abs(mitre_opening(moved[1] / width, 90))
    where = (
        "at the heel, the inner corner of the frame, when it dries and at the toe when it swells"
        if flat
        else "at the wall on an external corner and at the face on an internal one when it dries, else the other way"
    )
    return JointOpening(
        joint="mitre",
        low=low,
        high=high,
        angle=angle,
        says=f"A square mitre opens {where}.",
        grounds=Grounds(
            inputs=(Input("width across the mitre", width, "mm"), Input("movement of it", round(moved[1], 3), "mm")),
            formula="twice (45 deg - arc tangent of (1 - movement / width)); gap = that angle x width / sin 45 deg",
            worked=f"share {moved[1] / width:.4f}: {angle:.2f} deg over {width / 0.70711:.0f} mm",
            result=f"{high:.2f} mm",
            sources=(GEOMETRY,),
        ),
    )

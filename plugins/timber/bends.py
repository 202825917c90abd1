"""Which trims can be drawn cold to which bowed walls."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.setting_out import BowCheck
from listel.plugins.timber.bending import BEAM, even_stress, inertia, support_forces, support_moments
from listel.plugins.timber.results import Bend
from listel.plugins.timber.species import Species, limit, possible_species

RULES = load_rules(__package__)


@dataclass(frozen=True)
class Strain:
    """One timber bent: peak ``stress`` [N/mm2], ``strength`` it is judged against [N/mm2], greatest ``pull`` [N]."""

    stress: float
    strength: float
    pull: float

    @property
    def share(self) -> float:
        """Stress over the strength it is judged against."""
        return self.stress / self.strength


def spans_over(chord: float, spacing: float) -> int:
    """Spans between fixings over a chord [mm], no longer than the spacing [mm]; two at least. Derived."""
    return max(2, ceil(chord / spacing - 1e-9))


def strain_of(one: Species, height: float, thickness: float, radius: float, chord: float, spans: int) -> Strain:
    """What bending costs that timber: the stiffest it may be against the weakest it may be.

    ``height``, ``thickness``, ``radius``, ``chord`` [mm]. Raises ValueError for less than two spans. Source:
    three-moment equation, derived; strength from the table of timbers.
    """
    stiffness = one.span("stiffness")[1] * 1000
    strength = one.span("strength")[0] * limit("bending-share")["value"]
    stress = even_stress(stiffness, thickness, radius) * max(support_moments(spans))
    pull = stiffness * inertia(height, thickness) / radius / (chord / spans) * max(map(abs, support_forces(spans)))
    return Strain(stress, strength, pull)


def bend_of(job: Job, trim: Trim, bow: BowCheck) -> Bend:
    """One trim on one bowed wall; the verdict is None where the missing timber or size would decide it."""
    height, thickness = trim.section.height, trim.section.thick
    if thickness is None or height is None:
        return Bend(
            room=bow.room,
            wall=bow.wall,
            trim=bow.trim,
            radius=bow.radius,
            way="not known until the section is surveyed",
        )
    surveyed = job.choices.spacing
    spacing = surveyed if surveyed is not None else float(limit("fixing-spacing")["value"])
    spans = spans_over(bow.chord, spacing)
    strains = [strain_of(one, height, thickness, bow.radius, bow.chord, spans) for one in possible_species(trim.timber)]
    worst = max(strains, key=lambda strain: strain.share)
    bends = True if worst.share <= 1 else False if min(strain.share for strain in strains) > 1 else None
    known = len(strains) == 1
    return Bend(
        room=bow.room,
        wall=bow.wall,
        trim=bow.trim,
        radius=bow.radius,
        stress=worst.stress if known else None,
        strength=worst.strength if known else None,
        share=worst.share if known else None,
        pull=max(strain.pull for strain in strains),
        bends=bends,
        way=_way(bends, worst.share),
        grounds=Grounds(
            inputs=(
                Input(
                    "radius of the wall", round(bow.radius), "mm", job.line(job.room(bow.room).wall(bow.wall), "bow")
                ),
                Input("thickness", thickness, "mm", job.line(trim.section)),
                Input("height on the wall", height, "mm", job.line(trim.section, "height")),
                Input("timber", trim.timber or "any in the table", "", job.line(trim, "timber"), trim.timber is None),
                Input(
                    "spacing of fixings",
                    spacing,
                    "mm",
                    job.line(job.choices, "spacing") if surveyed is not None else 0,
                    surveyed is None,
                    "" if surveyed is not None else "until the fixing schedule says otherwise",
                ),
            ),
            formula="stress = E x thickness / (2 x radius) x peak moment over the fixings; pull = E x I / radius / span"
            " x greatest force of the three-moment equation; judged against a third of the clear-wood strength",
            worked=f"{spans} spans of {bow.chord / spans:.0f} mm, moment factor {max(support_moments(spans)):.3f}: "
            f"{worst.stress:.2f} against {worst.strength:.1f} N/mm2; radius / thickness {bow.radius / thickness:.0f}",
            result=f"share {worst.share:.2f}, pull {max(strain.pull for strain in strains):.1f} N"
            + ("" if known else " at the most, the timber not being known"),
            sources=(
                BEAM,
                *(possible_species(trim.timber)[0].sources if known else ()),
                *limit("bending-share").sources,
            ),
        ),
    )


def _way(bends: bool | None, share: float) -> str:
    if bends is None:
        return "not known until the timber is surveyed"
    if bends:
        return "draw it in cold, from the middle outwards, with the fixings as spaced here"
    if share <= 2:
        return "thin the piece, kerf its back or laminate it; keep knots clear of the bend"
    return (
        "do not bend one piece cold: make it to the curve, laminate it, or leave it straight and scribe or pack behind"
    )


def bend_findings(job: Job, bends: tuple[Bend, ...]) -> Iterator[Finding]:
    """A hold where a piece would be overstrained, a caution where it cannot be told."""
    for bend in bends:
        where = Where(bend.room, bend.wall, bend.trim, line=job.line(job.room(bend.room).wall(bend.wall), "bow"))
        if bend.bends is False:
            yield RULES["will-not-bend"].told(
                "hold",
                f"Drawn cold to this wall (radius {show_length(bend.radius, job.units)}) the piece would be bent past a"
                " third of its strength, where it may break at a knot or creep.",
                where,
                bend.grounds,
                bend.way,
            )
        elif bend.bends is None:
            what = f"the {'timber' if bend.grounds.inputs else 'section'} of {bend.trim}"
            yield RULES["bend-not-known"].lacking(what, "whether it can be drawn cold to this bowed wall", where)

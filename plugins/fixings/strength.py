"""What one fixing may carry, as a working load: in timber after the code, in masonry and board by allowance.

Every figure is brought to a working load before it is set against a demand: characteristic values over their
factors, mean test values over five, allowable loads by their duration factor. The kinds are never mixed within
one figure.
"""

from __future__ import annotations

from math import sqrt

from listel.core.contract.findings import Source
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.plugins.fixings import american, eurocode, holes, johansen
from listel.plugins.fixings.bearing import Bearing
from listel.plugins.fixings.load import Load
from listel.plugins.fixings.size import Size, pull_row
from listel.plugins.fixings.wood import Timber

SHANK_SHARE = 1.1


@dataclass(frozen=True, kw_only=True)
class Strength:
    """Working loads of one fixing, N: ``pull`` straight out, ``shear`` along the wall.

    ``words`` say how each was reckoned, ``factor`` the safety in it.
    """

    pull: float
    shear: float
    smooth: bool
    words: tuple[str, ...]
    factor: str
    sources: tuple[Source, ...]

    def ratio(self, load: Load, share: float) -> float | None:
        """Demand over capacity of a fixing that carries ``share`` mm of run; None where it may carry none of it.

        Pull and shear go together as in Eurocode 5: a straight sum for smooth nails, the root of the sum of squares
        for others.
        """
        pull, shear = load.pull(share), load.shear(share)
        if (pull > 0 and self.pull <= 0) or (shear > 0 and self.shear <= 0):
            return None
        pulled = pull / self.pull if pull > 0 else 0.0
        sheared = shear / self.shear if shear > 0 else 0.0
        together = eurocode.together(pulled, sheared, self.smooth)
        return together if self.smooth else sqrt(together)

    def towards(self, load: Load, share: float) -> float:
        """What the fixing may carry in the direction it is asked to, N: the resultant over the ratio."""
        ratio = self.ratio(load, share)
        if ratio is None:
            return 0.0
        return load.resultant(share) / ratio if ratio > 0 else min(self.pull or self.shear, self.shear)


def code_of(choice: str | None, region: str | None) -> str:
    """The timber code fixings are reckoned by: the person's choice, else NDS in the United States, else Eurocode 5."""
    return choice or ("nds" if region == "united-states" else "eurocode-5")


def working_factor() -> float:
    """Characteristic value over working load in Eurocode 5: 1.3 and 1.5 over k_mod (3.25 for lasting loads)."""
    return eurocode.GAMMA_LOAD / eurocode.design(1.0)


def strength(size: Size, bearing: Bearing, trim: Timber, frame: Timber, code: str, thickness: float) -> Strength | None:
    """What one fixing may carry; None where its embedment cannot be told.

    ``thickness`` of the trim in mm.
    """
    if size.embedment is None:
        return None
    under = max(0.0, thickness - size.sinking)
    head = head_pull(size, trim, under)
    if bearing.base:
        return by_allowance(size, bearing, trim, under, head)
    if size.family == "screw":
        return screw_in_timber(size, bearing, trim, frame, code, under, head)
    return nail_in_timber(size, bearing, trim, frame, code, under, head)


def head_pull(size: Size, trim: Timber, under: float) -> float:
    """Allowable pull of the head through the trim under it, N (NDS 12.2.5.1), the lasting-load factor in it."""
    pounds = american.nds_pull_through(trim.gravity, size.head / american.INCH, under / american.INCH)
    return pounds * american.POUND * american.duration()


def lateral(size: Size, bearing: Bearing, trim: Timber, frame: Timber, under: float) -> float:
    """Working shear of a fixing through the trim into what bears, N: Johansen's modes, and the gap of plaster or void.

    Both timbers are taken as predrilled; a screw counts with 1.1 times its root. Characteristic over the working
    factor.
    """
    if under <= 0 or size.embedment is None or size.embedment[0] <= 0:
        return 0.0
    shank = SHANK_SHARE * holes.ROOT_SHARE * size.diameter if size.gauge else size.diameter
    moment = eurocode.yield_moment(shank, square=size.family == "square")
    in_trim = eurocode.embedment(trim.characteristic, shank, predrilled=True)
    gap = bearing.gap[1]
    if bearing.base:
        found = johansen.thick_steel(under, in_trim, moment, shank)
        if gap:
            found = min(found, johansen.across_gap_from_masonry(under, in_trim, moment, shank, gap)[1])
    else:
        in_frame = eurocode.embedment(frame.characteristic, shank, predrilled=True)
        deep = size.embedment[0]
        found = johansen.single_shear(under, deep, in_trim, in_frame, moment, shank)[1]
        if gap:
            found = min(found, johansen.across_gap(under, deep, in_trim, in_frame, moment, shank, gap)[1])
    return found / working_factor()


SHEAR_WORDS = (
    "shear: modes of failure after Johansen with plaster and hollow as a gap, characteristic over {factor:.2f}"
)
SHEAR_SOURCES = (
    eurocode.clause("equations 8.6, 8.10, 8.14, 8.16"),
    Source("Equilibrium of a shank across a gap", standing="derived"),
)


def by_allowance(size: Size, bearing: Bearing, trim: Timber, under: float, head: float) -> Strength:
    """Masonry, earth, old plugs and board: least of the allowance's lower end, the head and the shank."""
    row = load_table(__package__, "pullout").row(pull_row(bearing, size.kind))
    low = float(row["working"][0])
    seat = float(row["embedment"])
    if size.embedment is not None and size.embedment[0] < seat:
        low = low * max(0.0, size.embedment[0] - seat / 2) / (seat / 2)
    words = (
        f"working allowance {row['working'][0]} to {row['working'][1]} N, the lower taken"
        + (
            f", less for {size.embedment[0]:.0f} mm of embedment" if size.embedment and size.embedment[0] < seat else ""
        ),
        f"head through the trim {head:.0f} N",
        SHEAR_WORDS.format(factor=working_factor()),
    )
    shear = min(low, lateral(size, bearing, trim, trim, under)) if bearing.kind != "board" else low
    return Strength(
        pull=min(low, head),
        shear=shear,
        smooth=False,
        words=words,
        factor="the allowance is a working load; a pull test on site may raise it",
        sources=(*row.sources, american.nds("12.2.5.1"), *SHEAR_SOURCES),
    )


def screw_in_timber(
    size: Size, bearing: Bearing, trim: Timber, frame: Timber, code: str, under: float, head: float
) -> Strength:
    """Wood screws: NDS allowable, Eurocode 5 from 6 mm up, else the Wood Handbook's mean over five."""
    thread = size.embedment[0] if size.embedment else 0.0
    source: Source
    if code == "nds":
        factor = american.duration()
        pounds = american.nds_screw_withdrawal(frame.gravity, size.diameter / american.INCH)
        pull = american.per_mm(pounds) * thread * factor if thread >= american.LEAST_DEPTH * size.diameter else 0.0
        words, safety, source = (
            f"withdrawal: NDS allowable times {factor}",
            "about 5 on the mean test value, in the NDS",
            american.nds("12.2.2.1"),
        )
    elif 6 <= size.diameter <= 12 and thread >= 6 * size.diameter:
        pull = eurocode.screw_withdrawal(frame.characteristic, size.diameter, thread) / working_factor()
        words, safety, source = (
            "withdrawal: equation 8.39, characteristic over the working factor",
            f"{working_factor():.2f} on the characteristic value",
            eurocode.clause("8.7.2, equation 8.39"),
        )
    else:
        pull = american.handbook_screw_withdrawal(frame.gravity, size.diameter, thread) / american.WORKING_DIVISOR
        words, safety, source = (
            "withdrawal: mean test value over 5, since equation 8.39 of Eurocode 5 covers 6 to 12 mm with 6 "
            "diameters of thread only",
            "5 on the mean test value; a maker's declared value may take its place",
            american.handbook("chapter 8, wood screws", "published-from-memory"),
        )
    return Strength(
        pull=min(pull, head),
        shear=lateral(size, bearing, trim, frame, under),
        smooth=False,
        words=(words, f"head through the trim {head:.0f} N", SHEAR_WORDS.format(factor=working_factor())),
        factor=safety,
        sources=(source, american.nds("12.2.5.1"), *SHEAR_SOURCES),
    )


def nail_in_timber(
    size: Size, bearing: Bearing, trim: Timber, frame: Timber, code: str, under: float, head: float
) -> Strength:
    """Nails: Eurocode 5 gives a smooth nail no lasting pull; the NDS the lesser of its withdrawal and its head's."""
    deep = size.embedment[0] if size.embedment else 0.0
    shear = lateral(size, bearing, trim, frame, under)
    words: tuple[str, ...] = (SHEAR_WORDS.format(factor=working_factor()),)
    if code == "nds":
        factor = american.duration()
        pounds = american.nds_nail_withdrawal(frame.gravity, size.diameter / american.INCH)
        pull = american.per_mm(pounds) * deep * factor if deep >= american.LEAST_DEPTH * size.diameter else 0.0
        return Strength(
            pull=min(pull, head),
            shear=shear,
            smooth=True,
            words=(f"withdrawal: NDS allowable times {factor}", f"head through the trim {head:.0f} N", *words),
            factor="about 5 on the mean test value, in the NDS",
            sources=(american.nds("12.2.3.1"), american.nds("12.2.5.1"), *SHEAR_SOURCES),
        )
    if not eurocode.may_hold_lasting_pull(size.family):
        words = ("pull: Eurocode 5 gives smooth nails none that lasts", *words)
        sources = (eurocode.clause("8.3.2(1)"), *SHEAR_SOURCES)
        return Strength(
            pull=0.0,
            shear=shear,
            smooth=True,
            words=words,
            factor=f"{working_factor():.2f} on the characteristic value",
            sources=sources,
        )
    ring = eurocode.withdrawal_strength(frame.characteristic) * size.diameter * deep
    pull = ring * eurocode.penetration_factor(deep, size.diameter, ring=True) / working_factor()
    held = eurocode.pull_through_strength(trim.characteristic) * size.head**2 / working_factor()
    words = (
        "withdrawal: as a smooth nail's, the least a ring-shank nail should be declared at, over the working factor",
        *words,
    )
    return Strength(
        pull=min(pull, held),
        shear=shear,
        smooth=False,
        words=words,
        factor=f"{working_factor():.2f} on the characteristic value",
        sources=(eurocode.clause("equations 8.23, 8.25, 8.26"), *SHEAR_SOURCES),
    )

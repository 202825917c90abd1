"""The heights that firms' rules offer for rails: what can be no height is told, and where two differ neither stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.contract.findings import Finding, Grounds, Source, Where
from listel.core.contract.firms import FirmHeights, HeightOffer, HeightRule
from listel.core.contract.rules import Rules
from listel.core.host.answers import unfit
from listel.core.host.limits import told_error
from listel.core.host.outsiders import Limits
from listel.core.host.plugin import Plugin
from listel.core.host.taking import listed
from listel.core.survey.job import Job
from listel.core.survey.units import Units, show_length

Asked = dict[tuple[str, str], list[tuple[str, HeightOffer]]]
"""By room and member, who offers what."""


def firm_heights(
    rules: Rules, job: Job, plugins: Iterable[Plugin], limits: Limits, faults: list[tuple[Plugin, str]]
) -> tuple[FirmHeights, list[Finding]]:
    """The heights that stand, and a hold for each rail of a room to which rules would give different ones. A rule that
    fails, and an offer that can be no height there, goes into ``faults``."""
    asked: Asked = {}
    for plugin in plugins:
        for rule in plugin.heights:
            for offer in _offers(job, plugin, rule, limits, faults):
                asked.setdefault((offer.room, offer.member), []).append((f"{plugin.name}: {rule.name}", offer))
    split = {at: each for at, each in asked.items() if len({_means(offer) for _, offer in each}) > 1}
    stand = tuple(offer for at, each in asked.items() if at not in split for _, offer in each)
    return FirmHeights(stand), [_split(rules, job.units, *at, each) for at, each in split.items()]


def _offers(
    job: Job, plugin: Plugin, rule: HeightRule, limits: Limits, faults: list[tuple[Plugin, str]]
) -> Iterator[HeightOffer]:
    """What a rule offers that can be a height."""
    try:
        offers = limits.ask(plugin, lambda: listed(rule.offers(job)))
        if says := next((s for o in offers if (s := unfit(o) if isinstance(o, HeightOffer) else "junk")), ""):
            raise TypeError(f"it offers what is no height: {says}")
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        faults.append((plugin, f"its rule for heights {rule.name} failed: {told_error(error)}"))
        return
    for offer in offers:
        if says := _no_height(job, offer):
            faults.append((plugin, f"its rule for heights {rule.name} is passed over in the {offer.room}: {says}"))
        else:
            yield offer


def _no_height(job: Job, offer: HeightOffer) -> str:
    """Why an offer can be no height of its rail, in words; "" where it can."""
    room = next((room for room in job.rooms if room.name == offer.room), None)
    if room is None:
        return f"there is no room {offer.room}"
    if (offer.top is None) is (offer.share is None):
        return "it offers either a top or a share of the height, and one of the two"
    if offer.share is not None:
        within = 0 < offer.share < 1
        return "" if within else f"{offer.share:g} is no share of a height between the floor and the ceiling"
    top, ceiling = offer.top or 0.0, max((reading.height for reading in room.height), default=None)
    says = f"it offers {show_length(top, job.units)} for the {offer.member.replace('-', ' ')}"
    if top <= 0:
        return f"{says}, which is not above the floor"
    if ceiling is not None and top >= ceiling:
        return f"{says}, and the room is {show_length(ceiling, job.units)} high"
    return ""


def _means(offer: HeightOffer) -> tuple[object, ...]:
    return (offer.top,) if offer.share is None else (offer.share, offer.of)


def _split(rules: Rules, units: Units, room: str, member: str, offers: list[tuple[str, HeightOffer]]) -> Finding:
    wanted = {f"{by} gives it {_shown(offer, units)}": by for by, offer in offers}
    says = (
        f"The height of the {member.replace('-', ' ')} in the {room}: {' and '.join(wanted)}, so neither stands there."
    )
    grounds = Grounds(sources=tuple(Source(by, standing="house-rule") for by in dict.fromkeys(wanted.values())))
    mend = "Narrow one of the two, or give both the same height."
    return rules["amended-otherwise"].told("hold", says, Where(room), grounds, mend)


def _shown(offer: HeightOffer, units: Units) -> str:
    return show_length(offer.top, units) if offer.top is not None else f"{offer.share:.4g} of the {offer.of}'s height"

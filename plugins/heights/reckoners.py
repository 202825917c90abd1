"""The reckoners ``order`` and ``height``: one wall against one author, and one room's height by every rule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from listel.core.contract.findings import Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.survey.job import Building, Choices, Evidence, HeightReading, Job, Room
from listel.plugins.heights import candidates as rules
from listel.plugins.heights.case import Case
from listel.plugins.heights.orders import ORDERS, order_on_wall, order_parts, order_sources
from listel.plugins.heights.results import HeightCandidate
from listel.plugins.heights.rooms import room_orders
from listel.plugins.site import site_of

AUTHORS = (
    "vignola", "palladio", "scamozzi", "gibbs", "chambers", "ware", "perrault", "director", "mauclerc", "benjamin",
    "serlio",
)  # fmt: skip
USES = ("passage", "stair", "reception", "dining", "bedroom", "kitchen", "bathroom", "study", "service")


def order(given: Mapping[str, Any]) -> Reckoning:
    """A wall divided after an author's order: every part he gives, mm. Raises ValueError where he does not give it."""
    author, name, height = given["author"], given["order"], given["height"]
    parts = order_parts(author, name, height, pedestal=not given["no_pedestal"])
    given_height = Input("wall height", height, "mm")
    grounds = order_on_wall(author, name, height, given_height, followed=True, units="mm").grounds
    if given["no_pedestal"]:
        formula = "column and entablature alone take the wall, in the author's ratio"
        grounds = replace(grounds, formula=formula, worked="", result="", sources=order_sources(author, name))
    return Reckoning(dict(parts), (grounds,))


def height(given: Mapping[str, Any]) -> Reckoning:
    """Every rule's height for a rail in a room, mm, and the one chosen by order of precedence."""
    wall = given["room_height"] + (given["cornice"] or 0.0)
    room = Room(
        "the room",
        given["period"],
        given["use"],
        height=(HeightReading(wall),),
        evidence=tuple(Evidence("ghost-line", given["member"], mark, edge="top") for mark in given["evidence"]),
    )
    choices = Choices(author=given["author"], order=given["order"])
    job = Job("a reckoning", building=Building(region=None), rooms=(room,), choices=choices)
    site = site_of(job).rooms[room.name]
    case = Case(job=job, site=site, member=given["member"], trim=None, orders=room_orders(job, site))
    offers = rules.offers(case)
    chosen = rules.choose(case, offers)
    if chosen is None:
        raise ValueError(f"no rule keeps a {case.rail} within a room {case.show(wall)} high; check the height")
    found = rules.candidates(case, offers, chosen, rules.band(case.member, room.use, job.units))
    results: dict[str, Any] = {
        "candidates": [
            {
                "rule": one.rule,
                "height": one.height,
                "standing": one.grounds.sources[0].standing,
                "chosen": one.chosen,
                "set_aside": one.set_aside,
                "misses": one.misses,
            }
            for one in found
        ],
        "chosen": chosen.height,
        "chosen_rule": chosen.rule,
    }
    says = tuple(
        f"{one.rule}: {case.show(one.height)}; {one.set_aside or 'chosen'}{_outside(case, one)}" for one in found
    )
    return Reckoning(results, tuple(one.grounds for one in found if one.chosen), says)


def _outside(case: Case, one: HeightCandidate) -> str:
    where = "below" if one.misses < 0 else "above"
    return f"; it lies {case.show(abs(one.misses))} {where} the band" if one.misses else ""


ORDER = Reckoner(
    "order",
    "divide a wall after an author's order: pedestal, column, entablature and their parts",
    (
        Option("height", "length", "height of the wall from floor to ceiling", required=True, least=500, most=20000),
        Option("author", "choice", "whose order", required=True, choices=AUTHORS),
        Option("order", "choice", "which order", required=True, choices=(*ORDERS, "interior")),
        Option("no-pedestal", "flag", "column and entablature alone take the wall"),
    ),
    order,
    {"mm": "pedestal base die cap plinth column entablature architrave frieze cornice"},
)

HEIGHT = Reckoner(
    "height",
    "the height of a dado rail or plate rail by every rule, and which comes first",
    (
        Option(
            "room-height", "length", "height of the room from floor to ceiling", required=True, least=500, most=20000
        ),
        Option(
            "cornice", "length", "depth of the cornice, if the height was taken to its underside", least=0, most=2000
        ),
        Option("member", "choice", "which rail", default="dado-rail", choices=("dado-rail", "plate-rail")),
        Option(
            "evidence", "length", "height of a ghost line left by the rail's top edge", many=True, least=0, most=20000
        ),
        Option("period", "text", "a year, or a period by name, as georgian"),
        Option("use", "choice", "what the room is for", choices=USES),
        Option("author", "choice", "the author followed", choices=AUTHORS),
        Option("order", "choice", "the order followed", choices=ORDERS),
    ),
    height,
    {"mm": "height misses chosen"},
)

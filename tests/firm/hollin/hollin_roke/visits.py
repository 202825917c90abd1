"""What our visits cost: two to a job, and one to each room beyond the first."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from listel import Grounds, Input, Job, Option, Options, Reckoner, Reckoning, Sheet, Source, told

OWN = Source("Book of Hollin & Roke (invented)", standing="house-rule")


@dataclass(frozen=True, kw_only=True)
class Visit:
    """The visits that one room asks for."""

    LINE: ClassVar[str] = "visit"
    room: str = told("the room")
    visits: int = told("how many")
    price: float = told("with tax", "GBP")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Visits:
    """What all our visits cost."""

    lines: tuple[Visit, ...] = ()


def price(job: Job, sheet: Sheet) -> Iterator[object]:
    """Price the visits of each room by the options we were told."""
    own = sheet[Options].of("hollin-roke")
    lines = []
    for number, room in enumerate(job.rooms):
        visits = 2 if number == 0 else 1
        total = round(visits * own["visit"] * (1 + own["vat"] / 100), 2)
        inputs = (Input("a visit", own["visit"], "GBP"), Input("tax", own["vat"], "%"))
        worked = f"{visits} x {own['visit']:g} x {1 + own['vat'] / 100:g}"
        grounds = Grounds(inputs, "visits, with tax", worked, f"{total:g} GBP", (OWN,))
        lines.append(Visit(room=room.name, visits=visits, price=total, grounds=grounds))
    yield Visits(tuple(lines))


def reckoned(given: Mapping[str, Any]) -> Reckoning:
    """How many visits so many rooms ask for. Raises ValueError for none."""
    if given["rooms"] < 1:
        raise ValueError("a job has a room at least")
    count = 1 + int(given["rooms"])
    return Reckoning({"visits": count}, (Grounds(formula="one, and one a room", result=str(count), sources=(OWN,)),))


VISITS = Reckoner(
    "hollin-visits", "how often we come", (Option("rooms", "number", "how many rooms", required=True),), reckoned
)

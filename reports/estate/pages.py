"""The pages of an estate: the index, a page for each street, the timber, and the rooms of one name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from markupsafe import Markup

from listel.core.files import beside
from listel.core.quick import dataclass
from listel.plugins.cutting import PooledTrim
from listel.reports.estate.estimate import OverAll
from listel.reports.estate.house import House
from listel.reports.estate.programme import Spell
from listel.reports.estate.sisters import differing, offered
from listel.reports.templating import environment_in, render_ours

A_PAGE = 200
"""Houses on one page of a street."""
LINKS = (("index", "index.html"), ("timber", "timber.html"), ("rooms of one name", "rooms.html"))
ESTIMATE = ("estimate", "estimate.html")


@dataclass(frozen=True, kw_only=True)
class Street:
    """A street's line in the index."""

    name: str
    files: tuple[str, ...]
    houses: int
    holds: int
    lacking: int
    metres: float


def pages(
    houses: Sequence[House],
    timber: Sequence[PooledTrim],
    priced: OverAll | None,
    found: Sequence[Spell],
    crews: int,
    slips: Sequence[str],
) -> Iterator[tuple[Path, str]]:
    """Every page with its file, relative to the estate's folder."""
    links = (*LINKS, ESTIMATE) if priced else LINKS
    held, unread = sum(bool(house.holds) for house in houses), sum(bool(house.fault) for house in houses)
    made = environment_in("mm", "")
    style = Markup(beside("listel.reports", "statement.css").read_text("utf-8"))

    def page(name: str, title: str, **values: Any) -> str:
        body = render_ours(made, f"estate-{name}.html.j2", values)
        frame = {"title": title, "style": style, "links": links, "body": body}
        return str(render_ours(made, "estate-frame.html.j2", frame))

    streets = []
    for name in sorted({house.street for house in houses}):
        here = [house for house in houses if house.street == name]
        files = tuple(f"street-{_slug(name)}{f'-{n + 1}' if n else ''}.html" for n in range(-(-len(here) // A_PAGE)))
        streets.append(_street(name, files, here))
        for number, file in enumerate(files):
            some = here[number * A_PAGE : (number + 1) * A_PAGE]
            yield Path(file), page("street", name or "The houses", houses=some)
    yield (
        Path("index.html"),
        page(
            "index",
            "Houses examined",
            houses=houses,
            fit=sum(house.fit for house in houses),
            held=held,
            unread=unread,
            priced=priced,
            slips=slips,
            streets=streets,
            holds=_holds(houses),
            lacking=_lacking(houses),
            programme=found,
            crews=crews,
        ),
    )
    if priced:
        yield Path(ESTIMATE[1]), page("estimate", "Estimate over all", all=priced, held=held, unread=unread)
    yield Path("timber.html"), page("timber", "Timber for all", timber=timber)
    for number, line in enumerate(timber, 1):
        yield Path(f"boards-{number}.html"), page("boards", line.named, line=line)
    yield (
        Path("rooms.html"),
        page("sisters", "Rooms of one name", differs=differing(houses), offered=offered(houses)),
    )


def _street(name: str, files: tuple[str, ...], houses: Sequence[House]) -> Street:
    return Street(
        name=name,
        files=files,
        houses=len(houses),
        holds=sum(len(house.holds) for house in houses),
        lacking=sum(len(house.lacking) for house in houses),
        metres=sum(house.metres for house in houses),
    )


def _slug(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "here"


def _holds(houses: Sequence[House]) -> list[tuple[str, list[str]]]:
    """Each rule that holds houses, with them; the one that holds most first."""
    found: dict[str, list[str]] = {}
    for house in houses:
        for rule in dict.fromkeys(hold.rule for hold in house.holds):
            found.setdefault(rule, []).append(house.name)
    return sorted(found.items(), key=lambda item: (-len(item[1]), item[0]))


def _lacking(houses: Sequence[House]) -> list[tuple[str, str, int]]:
    found: dict[tuple[str, str], int] = {}
    for house in houses:
        for one in house.lacking:
            found[one.fact, one.decides] = found.get((one.fact, one.decides), 0) + 1
    return [(fact, decides, count) for (fact, decides), count in sorted(found.items(), key=lambda i: (-i[1], i[0]))]

"""The orders after named authors, laid on a wall: pedestal, column and entablature, and their parts."""

from __future__ import annotations

from collections.abc import Sequence

from listel.core.contract.findings import Grounds, Input, Source
from listel.core.contract.tables import Row, Table, load_table
from listel.core.survey.units import Units, show_length
from listel.plugins.heights.results import WallOrder

ORDERS: tuple[str, ...] = ("tuscan", "doric", "ionic", "corinthian", "composite")
"""The five orders, plainest first."""


def table(name: str) -> Table:
    """A table of this plugin."""
    return load_table(__package__, name)


def authors() -> tuple[str, ...]:
    """The short names of the authors, as a survey may give them."""
    return tuple(row.name for row in table("authors"))


def printed(author: str) -> str:
    """An author's name as the statement prints it."""
    return str(table("authors").row(author)["printed"])


def shared(whole: float, parts: Sequence[float]) -> tuple[float, ...]:
    """A length divided in proportion to some numbers; the pieces sum to it.

    ``whole``: mm. Returns mm. Raises ZeroDivisionError where the numbers sum to nothing.
    Source: arithmetic.
    """
    total = sum(parts)
    return tuple(whole * part / total for part in parts)


def order_row(author: str, order: str) -> Row:
    """The author's row for an order.

    Raises ValueError, naming the orders he is known for, if the table has none.
    """
    found = table("orders").find(f"{author}-{order}")
    if found is None:
        known = ", ".join(row["order"] for row in table("orders") if row["author"] == author)
        raise ValueError(f"no {order} order is known for {author}; it may be {known}")
    return found


def nearest_order(author: str, order: str) -> str:
    """The order itself if the author gives it, else the nearest he gives (the plainer of two as near)."""
    given = [row["order"] for row in table("orders") if row["author"] == author]
    if order in given:
        return order
    place = ORDERS.index(order)
    places = [ORDERS.index(one) for one in given if one in ORDERS]
    return ORDERS[min(places, key=lambda other: (abs(other - place), other))]


def order_parts(author: str, order: str, height: float, pedestal: bool = True) -> dict[str, float]:
    """The height of each part of an author's order in a wall of some height.

    The wall is divided in the ratio pedestal : column : entablature; the pedestal into base, die and cap and
    the entablature into architrave, frieze and cornice where the author gives them.
    ``height``: floor to ceiling, mm, above 0. ``pedestal`` False: column and entablature alone take the wall.
    Returns mm by part. Raises ValueError where the author is not known for the order, or not for its column.
    Source: the row of the table ``orders``, and of ``pedestals`` and ``entablatures``.
    """
    if height <= 0:
        raise ValueError("the height of the wall must be above 0")
    shares = order_row(author, order)["shares"]
    if not pedestal:
        if len(shares) < 3:
            raise ValueError(f"{author} is known for the pedestal only")
        shares = [0, *shares[1:]]
    heights = shared(height, shares)
    parts = {"pedestal": heights[0]} if pedestal else {}
    found = _part_row("pedestals", author, order)
    if pedestal and found is not None:
        parts.update(zip(("base", "die", "cap"), shared(heights[0], found["parts"]), strict=True))
        plinth = found.get("plinth")
        if plinth:
            parts["plinth"] = parts["base"] * plinth[0] / plinth[1]
    if len(heights) == 3:
        parts |= {"column": heights[1], "entablature": heights[2]}
        found = _part_row("entablatures", author, order)
        if found is not None:
            parts.update(zip(("architrave", "frieze", "cornice"), shared(heights[2], found["parts"]), strict=True))
    return parts


def _part_row(name: str, author: str, order: str) -> Row | None:
    return next((row for row in table(name) if row["author"] == author and order in row["orders"]), None)


def order_sources(author: str, order: str) -> tuple[Source, ...]:
    """The sources of an author's order, his pedestal's and his entablature's after it."""
    rows = (order_row(author, order), _part_row("pedestals", author, order), _part_row("entablatures", author, order))
    return tuple(dict.fromkeys(source for row in rows if row is not None for source in row.sources))


def order_on_wall(
    author: str, order: str, height: float, height_input: Input, *, followed: bool, units: Units
) -> WallOrder:
    """An author's order on a wall, with its grounds."""
    shares = order_row(author, order)["shares"]
    parts = order_parts(author, order, height)
    whole = sum(shares)
    ratio = " : ".join(str(share) for share in shares)
    named = "pedestal : column : entablature" if len(shares) == 3 else "pedestal : the rest"
    note = order_row(author, order).note
    grounds = Grounds(
        inputs=(height_input, Input(named, ratio, note=note)),
        formula="the room height is divided in the author's ratio; the pedestal reaches the top of the dado rail",
        worked=f"{show_length(height, units)} x {shares[0]}/{whole} = {show_length(parts['pedestal'], units)}",
        result=show_length(parts["pedestal"], units),
        sources=order_sources(author, order),
    )
    return WallOrder(
        author=author,
        printed=printed(author),
        order=order,
        followed=followed,
        parts=tuple(parts.items()),
        grounds=grounds,
    )


def pedestal_range(height: float) -> tuple[float, float]:
    """The least and the greatest pedestal, mm, over every author and order in a wall of some height, mm."""
    tops = [shared(height, row["shares"])[0] for row in table("orders")]
    return min(tops), max(tops)

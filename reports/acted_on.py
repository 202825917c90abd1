"""What anyone acts on between two outcomes in their JSON form: what is marked, cut, drilled and bought otherwise, and
how long it takes. Like changes are one line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from listel.core.house.filters import date
from listel.core.quick import dataclass
from listel.core.survey.units import Units, show_length

Json = Mapping[str, Any]
SAME = 0.5
"""Lengths within this of each other are marked and cut alike, mm."""
SAME_ANGLE = 0.1
"""Angles within this of each other are one setting of the saw, degrees."""
MOST = 12
"""Names in one line at most; the rest are counted."""


@dataclass(frozen=True, kw_only=True)
class Acts:
    """What is done otherwise in one room, or ("") in the whole job: a line each."""

    room: str
    lines: tuple[str, ...]


def acts(old: Json, new: Json) -> list[Acts]:
    """What anyone acts on, room by room in the order of the job, the whole job last."""
    pair = _Pair(old, new)
    told = [Acts(room=room, lines=tuple(pair.room(room))) for room in pair.rooms]
    return [each for each in (*told, Acts(room="", lines=tuple(pair.whole()))) if each.lines]


def dated(told: Json) -> str:
    """Which outcome it is: "revision A, surveyed 9 March 2026, outcome 116a293039e9", as its papers have it, and
    when it was last measured again."""
    about = told["survey"]
    day = date(about["surveyed"]) if about.get("surveyed") else ""
    named = f"revision {about['revision']}" if about.get("revision") else ""
    surveyed = f"{'surveyed' if named else 'the survey of'} {day}" if day else ""
    again = max((each["on"] for each in told["results"].get("Progress", {}).get("measured", ())), default="")
    measured = f"measured again {date(again)}" if again else ""
    return ", ".join(filter(None, (named, surveyed, measured, f"outcome {told['digest'][:12]}")))


class _Pair:
    def __init__(self, old: Json, new: Json) -> None:
        self.old, self.new = old["results"], new["results"]
        self.units: Units = new["survey"].get("units", "mm")
        sites = [room for told in (self.new, self.old) for room in told.get("Site", {}).get("rooms", ())]
        self.rooms = list(dict.fromkeys(sites))

    def show(self, length: float) -> str:
        return show_length(length, self.units)

    def lines(self, result: str, field: str, room: str) -> tuple[list[Json], list[Json]]:
        """The lines of a result in a room, before and now."""
        was, now = (told.get(result, {}).get(field, ()) for told in (self.old, self.new))
        return [line for line in was if line["room"] == room], [line for line in now if line["room"] == room]

    def room(self, room: str) -> Iterator[str]:
        yield from self.marks(room)
        yield from self.pieces(room)
        yield from self.fixings(room)
        yield from self.done(room)

    def whole(self) -> Iterator[str]:
        was, now = (self.bought(told) for told in (self.old, self.new))
        told = (
            ("Buy as well", [f"{count} of {what}" for what, count in now.items() if what not in was]),
            (
                "Buy another number",
                [
                    f"{what}: {count}, where it was {was[what]}"
                    for what, count in now.items()
                    if was.get(what, count) != count
                ],
            ),
            ("Buy no longer", [what for what in was if what not in now]),
        )
        for says, things in told:
            if things:
                yield f"{says}: {_some(things, '; ')}."
        yield from self.steps()

    # ------------------------------------------------------------ a room

    def marks(self, room: str) -> Iterator[str]:
        was, now = (
            {(m["trim"], m["edge"], m["wall"], round(m["station"])): m for m in told if m["from_datum"] is not None}
            for told in self.lines("SettingOut", "marks", room)
        )
        moved: dict[str, list[tuple[float, float]]] = {}
        for key, mark in now.items():
            if key[1] == "top" and key in was and abs(mark["from_datum"] - was[key]["from_datum"]) >= SAME:
                moved.setdefault(key[0], []).append((was[key]["from_datum"], mark["from_datum"]))
        for trim, pairs in moved.items():
            (before, after), by = pairs[0], [after - before for before, after in pairs]
            way = "higher" if by[0] > 0 else "lower"
            if max(by) - min(by) <= SAME:
                yield (
                    f"Mark the {trim} {self.show(abs(by[0]))} {way}: its top {_level(after, self.show)}, "
                    f"where it was {_level(before, self.show)}."
                )
            else:
                yield f"Mark the {trim} anew: its top moves, and not everywhere by the same."

    def pieces(self, room: str) -> Iterator[str]:
        was, now = ({p["label"]: p for p in told} for told in self.lines("SettingOut", "pieces", room))
        numbers_was, numbers = (_numbers(told, self.rooms) for told in (self.old, self.new))
        other = [label for label, piece in now.items() if label in was and not cut_alike(was[label], piece)]
        come = [label for label in now if label not in was]
        gone = [label for label in was if label not in now]
        if other:
            recut = [self._recut(_called(label, numbers), was[label], now[label]) for label in other]
            yield f"Cut to another length or end: {_counted(recut, '; ')}."
        if come:
            yield f"Cut as well: {_pieces(come, numbers)}."
        if gone:
            yield f"No longer cut: {_pieces(gone, numbers_was)}, as numbered before."
        renumbered = [label for label in now if label in was and numbers[label] != numbers_was[label]]
        if renumbered:
            yield f"Another number than before: {_pieces(renumbered, numbers)}. Pencil it anew."

    def _recut(self, piece: str, was: Json, now: Json) -> str:
        """A piece with its length over all, and what that was, where that is what has changed."""
        if abs(was["overall"] - now["overall"]) < SAME:
            return piece
        return f"{piece} {self.show(now['overall'])}, before {self.show(was['overall'])}"

    def fixings(self, room: str) -> Iterator[str]:
        was, now = (_by_wall(told) for told in self.lines("FixingSchedule", "lines", room))
        sizes, stations, heights = [], [], []
        for place, lines in now.items():
            before = was.get(place)
            if before is None:
                continue
            if {_size(line) for line in lines} != {_size(line) for line in before}:
                sizes.append(place)
            if _stations(lines) != _stations(before):
                stations.append(place)
            elif _heights(lines) != _heights(before):
                heights.append(place)
        told = (
            ("Other screws or nails", sizes),
            ("Drill at other places along the wall", stations),
            ("Drill at another height, at the same places along the wall", heights),
        )
        for says, places in told:
            if places:
                yield f"{says}: {_places(places)}."

    def done(self, room: str) -> Iterator[str]:
        """How far pieces came meanwhile."""
        was, now = ({p["label"]: p for p in told} for told in self.lines("Progress", "pieces", room))
        numbers = _numbers(self.new, self.rooms)
        come: dict[str, list[str]] = {}
        for label, piece in now.items():
            if piece["state"] and piece["state"] != was.get(label, {}).get("state"):
                come.setdefault(piece["state"].replace("-", " "), []).append(label)
        for state, labels in come.items():
            yield f"Told as {state} since: {_pieces(labels, numbers)}."

    # ------------------------------------------------------------ the whole job

    def bought(self, told: Json) -> dict[str, int]:
        """What is bought by what it is and how it is sold: how many."""
        return {
            f"{line['what']}, {line['pack']}": line["count"] for line in told.get("Estimate", {}).get("shopping", ())
        }

    def steps(self) -> Iterator[str]:
        was, now = ({s["name"]: s for s in told.get("Sequence", {}).get("steps", ())} for told in (self.old, self.new))
        come = [now[name]["title"] for name in now if name not in was]
        gone = [was[name]["title"] for name in was if name not in now]
        if come:
            yield f"Steps added: {_some(come, '; ')}."
        if gone:
            yield f"Steps no longer needed: {_some(gone, '; ')}."
        before, after = (told.get("Sequence", {}).get("days", 0.0) for told in (self.old, self.new))
        if round(before) != round(after):
            yield f"The work takes about {after:.0f} days, was {before:.0f}."


def _level(height: float, show: Any) -> str:
    return f"{show(abs(height))} {'above' if height >= 0 else 'below'} the level line"


def _numbers(told: Json, rooms: Sequence[str]) -> dict[str, str]:
    """The number of each piece by its label, as the papers have it."""
    place = {room: number for number, room in enumerate(rooms)}
    pieces = told.get("SettingOut", {}).get("pieces", ())
    pieces = sorted(pieces, key=lambda p: (place.get(p["room"], len(place)), p["order"]))
    return {piece["label"]: str(place) for place, piece in enumerate(pieces, 1)}


def cut_alike(was: Json, now: Json) -> bool:
    """Whether a piece is cut by the same figures."""
    ends = [(was[side], now[side]) for side in ("left", "right")]
    return (
        was["trim"] == now["trim"]
        and abs(was["overall"] - now["overall"]) < SAME
        and all(
            a["kind"] == b["kind"] and abs((a["saw_reading"] or 0) - (b["saw_reading"] or 0)) < SAME_ANGLE
            for a, b in ends
        )
    )


Place = tuple[str, str]
"""A trim, and the wall it is on."""


def _by_wall(lines: Iterable[Json]) -> dict[Place, list[Json]]:
    found: dict[Place, list[Json]] = {}
    for line in lines:
        found.setdefault((line["trim"], line["wall"]), []).append(line)
    return found


def _size(line: Json) -> tuple[Any, ...]:
    return line["kind"], line["gauge"], line["length"]


def _stations(lines: Iterable[Json]) -> set[int]:
    return {round(point["station"]) for line in lines for point in line["points"]}


def _heights(lines: Iterable[Json]) -> set[int]:
    return {round(point["height"]) for line in lines for point in line["points"] if point["height"] is not None}


def _places(places: Iterable[Place]) -> str:
    walls: dict[str, list[str]] = {}
    for trim, wall in places:
        walls.setdefault(trim, []).append(wall)
    return "; ".join(f"{trim} on {'wall' if len(on) == 1 else 'walls'} {', '.join(on)}" for trim, on in walls.items())


def _pieces(labels: Sequence[str], numbers: Mapping[str, str]) -> str:
    """Pieces by the number pencilled on them and the label that the cutting list has."""
    return _counted([_called(label, numbers) for label in labels], ", ")


def _called(label: str, numbers: Mapping[str, str]) -> str:
    return f"{numbers[label]} ({label})" if label in numbers else label


def _counted(pieces: Sequence[str], between: str) -> str:
    return f"{'piece' if len(pieces) == 1 else 'pieces'} {_some(pieces, between)}"


def _some(names: Sequence[str], between: str) -> str:
    more = len(names) - MOST
    return between.join(names) if more <= 1 else f"{between.join(names[:MOST])} and {more} more"

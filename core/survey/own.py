"""Facts of its own that a firm asks the survey for: read in their units, listed, and told in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from listel.core.quick import dataclass
from listel.core.survey.units import PARSERS, SHOWN, Units, parsers, show_fine

Schema = Mapping[str, Any]
FORMATS = (*sorted(PARSERS), "date")
"""The formats that a value is read in."""
On = Literal["job", "room", "wall", "trim"]


def own_schema(schema: Schema, on: str) -> dict[str, Any]:
    """What the survey's schema says of ``own`` on a job, room, wall or trim."""
    holder = schema["properties"]["job"] if on == "job" else schema["$defs"][on]
    own: dict[str, Any] = holder["properties"]["own"]
    return own


def read_own(data: Any, schema: Schema, units: Units) -> None:
    """Put mm, degrees and C in the place of the measures among the facts that firms ask for."""
    from listel.core.survey.data import Hung, Shared, Taped, Warm

    kinds = {"length": Taped, "load": Hung, "percent": Shared, "temperature": Warm}
    reads = parsers(units)
    rooms = data.get("rooms", ())
    holders = [
        ("job", data["job"]),
        *(("room", room) for room in rooms),
        *(("trim", one) for one in data.get("trim", ())),
    ]
    holders += [("wall", wall) for room in rooms for wall in room.get("walls", ())]
    for kind, holder in holders:
        for plugin, told in holder.get("own", {}).items():
            known = own_schema(schema, kind)["properties"][plugin]["properties"]
            for key, value in told.items():
                form = known[key].get("format", "")
                if form in reads:
                    told[key] = kinds.get(form, float)(reads[form](value))


@dataclass(frozen=True)
class OwnFact:
    """A fact that a plugin or a firm asks for, by its key: what it ``says``, and the ``format`` it is read in."""

    plugin: str
    key: str
    says: str
    format: str

    def told(self, own: Mapping[str, Mapping[str, Any]], units: Units) -> str:
        """Its value as one writes it; "" where it was not surveyed."""
        value = own.get(self.plugin, {}).get(self.key)
        if value is None:
            return ""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if self.format == "length" and not float(value).is_integer():
            return show_fine(value, units)
        if self.format in SHOWN:
            return SHOWN[self.format](value, units)
        return ", ".join(map(str, value)) if isinstance(value, (list, tuple)) else str(value)


def own_facts(schema: Schema, on: On) -> list[OwnFact]:
    """Every fact that is asked for on a job, room, wall or trim."""
    asked = own_schema(schema, on)["properties"]
    return [
        OwnFact(plugin, key, known["description"], known.get("format", ""))
        for plugin, form in asked.items()
        for key, known in form["properties"].items()
    ]

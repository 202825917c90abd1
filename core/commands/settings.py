"""The user's own settings: plugins, house rules and dress that are always at work.

The file is ``listel/settings.yaml`` in the user's configuration folder (``$XDG_CONFIG_HOME``, else ``~/.config``),
or the file that ``$LISTEL_SETTINGS`` names::

    plugins: [~/firm/acme_fixings.py]
    house: [~/firm/house-rules.yaml]
    dress: ~/firm/dress
    options: {acme: {depth: 20}}

``options`` are for plugins, by name; each plugin judges its own. Relative paths are taken from the settings file's
folder. A survey can set none of this.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import KW_ONLY, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault

if TYPE_CHECKING:
    from listel.core.survey.yaml_places import Document


@dataclass(frozen=True)
class Settings:
    """Files that are always at work, what plugins are told (by name), and the file that said so (None: there is
    none)."""

    plugins: tuple[Path, ...] = ()
    house: tuple[Path, ...] = ()
    dress: Path | None = None
    source: Path | None = None
    options: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    _: KW_ONLY
    document: Document | None = None

    def file(self, plugin: str, key: str) -> Path | None:
        """A file that an option of a plugin names, relative paths from the settings' own folder; None for none."""
        told = self.options.get(plugin, {}).get(key)
        return None if told is None or self.source is None else self.source.parent / Path(str(told)).expanduser()


def settings_path() -> Path | None:
    """Where the user's settings lie, whether or not the file is there; None where the user has no home.

    Raises InputFault where ``$LISTEL_SETTINGS`` names a file that is not there.
    """
    named = os.environ.get("LISTEL_SETTINGS")
    if named:
        if not Path(named).is_file():
            raise InputFault(f"{named}: there is no such file, and LISTEL_SETTINGS names it as the settings")
        return Path(named)
    try:
        home = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")
    except RuntimeError:  # a user without a home has no settings
        return None
    return home / "listel" / "settings.yaml"


def read_settings(path: Path | None = None) -> Settings:
    """The user's settings; none at all where there is no file.

    Raises SurveyFaults with every fault, also where a file or folder it names is not there.
    """
    path = path or settings_path()
    if path is None or not path.is_file():
        return Settings()
    import json

    from listel.core.files import beside
    from listel.core.survey.messages import SurveyFaults
    from listel.core.survey.schema_words import schema_faults
    from listel.core.survey.yaml_places import read_text, text_of

    text = text_of(path, "settings")
    if not any(line.partition("#")[0].strip() for line in text.splitlines()):
        return Settings(source=path)
    document = read_text(text, str(path), "settings")
    schema = json.loads(beside("listel.schemas", "settings.schema.json").read_text(encoding="utf-8"))
    faults = [*document.faults, *schema_faults(document, schema)]
    if faults:
        raise SurveyFaults(faults)

    def found(name: str, *place: str | int) -> Path:
        try:
            target = path.parent / Path(name).expanduser()
        except RuntimeError:
            faults.append(document.fault(place, f"there is no home folder for {name}"))
            return path
        if says := _unfit(target, str(place[0])):
            faults.append(document.fault(place, says))
        elif target.resolve() in seen:
            faults.append(document.fault(place, f"{name} is named twice; name it once"))
        seen.add(target.resolve())
        return target

    data, seen = document.data, set[Path]()
    plugins, house = (
        tuple(found(name, key, number) for number, name in enumerate(data.get(key, ()))) for key in ("plugins", "house")
    )
    dress = found(data["dress"], "dress") if "dress" in data else None
    if faults:
        raise SurveyFaults(faults)
    return Settings(plugins, house, dress, path, data.get("options", {}), document=document)


def _unfit(path: Path, key: str) -> str:
    """Why a file or folder cannot be what the settings' key names; empty where it can. One whose name the disk cannot
    hold is not there."""
    with suppress(OSError):
        if path.is_dir():
            return "" if key == "dress" else f"{path} is a folder; name the file in it"
        if path.exists():
            if key == "dress":
                return f"{path} is a file; a dress is a folder"
            fits = key == "house" or path.suffix == ".py"
            return "" if fits else f"{path} is no plugin; a plugin is a Python file, as acme.py"
    return f"there is nothing at {path}"

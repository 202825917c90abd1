"""The user's own settings: plugins, house rules and dress that are always at work.

The file is ``listel/settings.yaml`` in the user's configuration folder (``$XDG_CONFIG_HOME``, else ``~/.config``),
or the file that ``$LISTEL_SETTINGS`` names::

    plugins: [~/firm/acme_fixings.py]
    house: [~/firm/house-rules.yaml]
    dress: ~/firm/dress

Relative paths are taken from the settings file's folder. A survey can set none of this.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from listel.core.faults import InputFault


@dataclass(frozen=True)
class Settings:
    """Files that are always at work, and the file that said so (None: there is none)."""

    plugins: tuple[Path, ...] = ()
    house: tuple[Path, ...] = ()
    dress: Path | None = None
    source: Path | None = None


class SettingsFault(InputFault):
    """The settings file cannot be read; the message says where and how to mend it."""


def settings_path() -> Path:
    """Where the user's settings lie, whether or not the file is there."""
    named = os.environ.get("LISTEL_SETTINGS")
    if named:
        return Path(named)
    home = os.environ.get("XDG_CONFIG_HOME")
    return (Path(home) if home else Path.home() / ".config") / "listel" / "settings.yaml"


def read_settings(path: Path | None = None) -> Settings:
    """The user's settings; none at all where there is no file.

    Raises SettingsFault if the file is not of the form above.
    """
    path = path or settings_path()
    if not path.is_file():
        return Settings()
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        data = YAML(typ="safe").load(path.read_text(encoding="utf-8")) or {}
    except (YAMLError, UnicodeDecodeError) as error:
        raise SettingsFault(f"{path}: the settings cannot be read: {error}") from error
    if not isinstance(data, dict) or set(data) - {"plugins", "house", "dress"}:
        raise SettingsFault(f"{path}: settings hold plugins, house (lists of files) and dress (a folder), nothing else")
    for key in ("plugins", "house"):
        listed = data.get(key) or []
        if not isinstance(listed, list) or any(not isinstance(item, str) for item in listed):
            raise SettingsFault(f"{path}: {key} must be a list of files")

    def found(name: str) -> Path:
        return path.parent / Path(name).expanduser()

    dress = data.get("dress")
    return Settings(
        tuple(found(name) for name in data.get("plugins") or []),
        tuple(found(name) for name in data.get("house") or []),
        found(str(dress)) if dress else None,
        path,
    )

"""A firm's dress: a folder with its own title block, words of a section, sign-off, style sheet or logo.

Only what the folder holds takes the place of ours. Its templates run in the sandbox; nothing in it may reach out
of the statement's one file.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterable
from pathlib import Path

from listel.core.files import lies_in
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import did_you_mean
from listel.reports.templating import LARGEST_FILE, TemplateFault

LOGOS = {".png": "image/png", ".jpg": "image/jpeg", ".svg": "image/svg+xml"}
OWN_TEMPLATES = ("title", "opening", "sign-off")
"""The statement's own templates that a dress may take the place of; the others are those of its sections."""

_REACHES_OUT = re.compile(r"url\s*\(|@import|image-set\s*\(|</|\\", re.IGNORECASE)


class Dress:
    """What a folder holds in place of ours; no folder, nothing. Raises InputFault if the folder is not there."""

    def __init__(self, folder: Path | None) -> None:
        if folder is not None and not folder.is_dir():
            raise InputFault(f"{folder}: there is no such folder; a dress is the folder of a firm's templates")
        self._folder = folder

    def check(self, sections: Iterable[str]) -> None:
        """Raises InputFault where the folder holds a template that would take the place of nothing."""
        names = (*OWN_TEMPLATES, *sorted(sections))
        for path in sorted(self._folder.glob("*.j2")) if self._folder else ():
            if path.name.removesuffix(".html.j2") not in names:
                known = [f"{name}.html.j2" for name in names]
                raise InputFault(
                    f"{path}: it takes the place of nothing.{did_you_mean(path.name, known, 'a dress may hold')}"
                )

    def template(self, name: str) -> Path | None:
        """The folder's template of that name (``title``, ``opening``, ``sign-off``, or a section's), if it has one."""
        return self._file(f"{name}.html.j2")

    def style(self) -> str:
        """The folder's ``statement.css``, which comes after ours. Raises TemplateFault where it reaches out."""
        path = self._file("statement.css")
        if path is None:
            return ""
        text = path.read_text("utf-8", "replace")
        for number, line in enumerate(text.split("\n"), 1):
            found = _REACHES_OUT.search(line)
            if found:
                raise TemplateFault(str(path), number, f"{found[0]} is not allowed: a statement is one file")
        return text

    def logo(self) -> str:
        """The folder's ``logo.png``, ``.jpg`` or ``.svg`` as a data address, or ""."""
        for ending, kind in LOGOS.items():
            path = self._file(f"logo{ending}")
            if path:
                return f"data:{kind};base64,{b64encode(path.read_bytes()).decode()}"
        return ""

    def _file(self, name: str) -> Path | None:
        path = self._folder / name if self._folder else None
        if path is None or not path.is_file():
            return None
        if not lies_in(path, self._folder or path):
            raise InputFault(f"{path}: it leads out of the dress; what a dress holds lies in its folder")
        if path.stat().st_size > LARGEST_FILE:
            raise InputFault(f"{path}: it is larger than {LARGEST_FILE // 1024} KiB")
        return path

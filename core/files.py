"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> None:
    """Write text (UTF-8, line ends as they are) or bytes to ``path`` by a temporary file beside it and a rename.

    A run that is stopped half way leaves the old file, or none. Raises OSError if the folder cannot be written.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink()
        raise


def cache_folder() -> Path | None:
    """The folder where what can be made again is kept (parsed tables, compiled templates), as Python keeps compiled
    modules: ``$XDG_CACHE_HOME/listel``, else ``~/.cache/listel``.

    None where Python may keep nothing either (``PYTHONDONTWRITEBYTECODE``), or the folder cannot be made or written.
    """
    if sys.dont_write_bytecode:
        return None
    try:
        folder = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "listel"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return None
    return folder if os.access(folder, os.W_OK) else None

"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
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

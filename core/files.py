"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
from hashlib import blake2b
from importlib import import_module
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

    None where the folder cannot be made or written.
    """
    try:
        folder = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "listel"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return None
    return folder if os.access(folder, os.W_OK) else None


def kept(kind: str, *what: bytes) -> Path | None:
    """The file in the cache folder for what was made of exactly these bytes; None where nothing can be kept."""
    folder = cache_folder()
    return folder / f"{kind}-{blake2b(b'|'.join(what), digest_size=16).hexdigest()}" if folder else None


def keep(path: Path, content: bytes) -> None:
    """Keep what can be made again. It need not outlive a crash, so nothing waits for the disk; a failure is no
    matter."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    with contextlib.suppress(OSError):
        part.write_bytes(content)
        part.replace(path)


def beside(package: str, *parts: str) -> Path:
    """A data file that ships in a package: ``beside("listel.schemas", "survey.schema.json")``.

    Raises FileNotFoundError when it is opened and is not there. (importlib.resources does the same for packages inside
    archives too, at four times Python's own start.)
    """
    home = import_module(package).__file__
    assert home is not None, f"{package} is no package with files"
    return Path(home).with_name(parts[0]).joinpath(*parts[1:])

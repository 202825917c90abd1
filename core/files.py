"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import sys
import threading
from collections.abc import Iterable, Iterator
from functools import cache
from hashlib import blake2b
from importlib import import_module
from pathlib import Path
from secrets import token_hex

from listel.core.survey.faults import InputFault

Content = str | bytes


def refuse_outputs(outputs: Iterable[Path], inputs: Iterable[Path]) -> None:
    """Raises InputFault, before anything is reckoned, for an output that is an input of the run, stands there twice, or
    is no plain file: a folder, a link, a device."""
    read = {path.resolve() for path in inputs}
    seen: set[Path] = set()
    for path in outputs:
        place = path.resolve()
        if path.name in ("", ".", "..") or path.is_dir():
            raise InputFault(f"{path}: this is a folder; name a file in it")
        blocked = next((folder for folder in path.parents if folder.exists() and not folder.is_dir()), None)
        if blocked is not None:
            raise InputFault(f"{blocked}: this is a file, and no folder to write into; choose another name")
        if path.is_symlink():
            raise InputFault(f"{path}: this is a link; name the file itself")
        if path.exists() and not path.is_file():
            raise InputFault(f"{path}: this is no plain file; choose another name")
        if place in read:
            raise InputFault(f"{path}: this file is read in this run, and stays as it is; choose another name")
        if place in seen:
            raise InputFault(f"{path}: two things would be written into this one file; name another")
        seen.add(place)


def write_all(files: Iterable[tuple[Path, Content]]) -> None:
    """Write every file, or none: all are written beside their places first, in folders made where they are not there,
    then renamed.

    A run that is stopped half way leaves the old files, or none. Raises InputFault, naming the file asked for, where
    one cannot be written.
    """
    parts: list[tuple[Path, Path]] = []
    try:
        for path, content in files:
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                parts.append((_part(path), path))
                _written(parts[-1][0], content)
            except OSError as error:
                raise InputFault(f"{path}: it cannot be written: {error.strerror or error}") from error
        with _undisturbed():
            for part, path in parts:
                part.replace(path)
                WRITTEN.append(path)
    except BaseException:
        for part, _ in parts:
            with contextlib.suppress(OSError):
                part.unlink()
        raise


WRITTEN: list[Path] = []
"""Every file this process has written, in order: what a person is told who stops it."""


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Within the block nobody stops this process; a wish to is heard at its end."""
    if threading.current_thread() is not threading.main_thread():  # only the main thread is ever stopped
        yield
        return
    heard: list[int] = []
    stops = (signal.SIGINT, signal.SIGTERM)
    before = [signal.signal(number, lambda number, _: heard.append(number)) for number in stops]
    try:
        yield
    finally:
        for number, handler in zip(stops, before, strict=True):
            signal.signal(number, handler)
        for late in heard[:1]:
            signal.raise_signal(late)


def write_whole(path: Path, content: Content) -> None:
    """One file, as :func:`write_all` does."""
    write_all([(path, content)])


def _written(part: Path, content: Content) -> None:
    """The content on the disk, text as UTF-8 with its line ends as they are; a byte of a name that is no letter is a
    ?."""
    with part.open("xb") as file:
        file.write(content.encode("utf-8", "replace") if isinstance(content, str) else content)
        file.flush()
        os.fsync(file.fileno())


_FORMULA = re.compile(r"(?:^|[;\t\r\n])\s*[=+\-@]|^[\t\r]")


def spreadsheet_safe(cell: str) -> str:
    """A cell of CSV that no spreadsheet takes for a formula, nor one that takes ``;`` or a tab for the end of a
    cell."""
    return f"'{cell}" if _FORMULA.search(cell) else cell


def lies_in(path: Path, folder: Path) -> bool:
    """Whether a file lies in a folder or below it, wherever links lead."""
    return path.resolve().is_relative_to(folder.resolve())


def state_folder() -> Path | None:
    """The user's folder for reports of errors: ``$XDG_STATE_HOME/listel``, else ``~/.local/state/listel``; None where
    there is no home, or it cannot be made or written."""
    try:
        folder = Path(os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state") / "listel"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return None
    return folder if os.access(folder, os.W_OK) else None


@cache
def shipped(path: Path) -> bytes:
    """A data file that ships with us, read once in a process: its digest is of what is reckoned with."""
    return path.read_bytes()


def read_made(source: Path, ending: str, *made_of: bytes) -> bytes | None:
    """What was made of exactly these bytes and kept beside its source; None where it was not, or is spoilt.

    It lies in ``__pycache__``, where Python keeps its own compiled modules, and is trusted as far as they are: whoever
    can write there can change the code itself.
    """
    try:
        kept = _beside_source(source, ending).read_bytes()
    except OSError:
        return None
    content = kept[2 * _MARK :]
    return content if kept[: 2 * _MARK] == _mark(b"\0".join(made_of)) + _mark(content) else None


def keep_made(source: Path, ending: str, content: bytes, *made_of: bytes) -> None:
    """Keep what can be made again. It need not outlive a crash, so nothing waits for the disk; a failure is no
    matter, and where Python is told to keep no compiled modules nothing is kept."""
    if sys.dont_write_bytecode:
        return
    path = _beside_source(source, ending)
    with contextlib.suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        part = _part(path)
        part.write_bytes(_mark(b"\0".join(made_of)) + _mark(content) + content)
        part.replace(path)


_MARK = 16


def _mark(content: bytes) -> bytes:
    return blake2b(content, digest_size=_MARK).digest()


def _beside_source(source: Path, ending: str) -> Path:
    return source.parent / "__pycache__" / f"{source.name}.{ending}"


def _part(path: Path) -> Path:
    """A name beside ``path`` that nobody else has."""
    return path.with_name(f".{path.name}.{token_hex(4)}.part")


def beside(package: str, *parts: str) -> Path:
    """A data file that ships in a package: ``beside("listel.schemas", "survey.schema.json")``.

    Raises FileNotFoundError when it is opened and is not there. (importlib.resources does the same for packages inside
    archives too, at four times Python's own start.)
    """
    home = import_module(package).__file__
    assert home is not None, f"{package} is no package with files"
    return Path(home).with_name(parts[0]).joinpath(*parts[1:])

"""``listel plugins --start DIR NAME``: a whole small plugin to begin from."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path

from listel.core.files import beside, write_all
from listel.core.host.registry import BUILT_IN
from listel.core.survey.faults import InputFault

STARTED = "acme-fixings"
"""The name that stands in the started files and is replaced."""


class StartFault(InputFault):
    """A plugin cannot be started there, or under that name."""


def start_plugin(folder: Path, name: str) -> None:
    """Write a plugin of that name into the folder, which must be empty or not be there.

    Raises StartFault if the name is not in kebab-case or is taken, or if the folder holds anything.
    """
    if not re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", name):
        raise StartFault(f"{name}: a plugin's name is in kebab-case, as {STARTED}")
    module = name.replace("-", "_")
    if module in BUILT_IN or _is_there(module):
        raise StartFault(f"{name}: that name is taken; choose your own, as {STARTED}")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise StartFault(f"{folder}: it is not empty; a plugin starts in a folder of its own")
    texts = {
        target: beside("listel.core", "started", f"{source}.txt").read_text(encoding="utf-8")
        for source, target in _files(module).items()
    }
    write_all((folder / target, _renamed(text, name)) for target, text in texts.items())


def _is_there(module: str) -> bool:
    """Whether Python imports something by that name already; a folder without code is nothing yet."""
    found = find_spec(module)
    return found is not None and found.origin is not None


def _files(module: str) -> dict[str, str]:
    return {
        "pyproject.toml": "pyproject.toml",
        "README.md": "README.md",
        "__init__.py": f"{module}/__init__.py",
        "rules.py": f"{module}/rules.py",
        "rules.yaml": f"{module}/rules.yaml",
        "spacing.yaml": f"{module}/spacing.yaml",
        "section.html.j2": f"{module}/section.html.j2",
        "test_rules.py": "tests/test_rules.py",
        "cases.yaml": "tests/cases.yaml",
    }


def _renamed(text: str, name: str) -> str:
    short = name.split("-")[0]
    text = text.replace(STARTED, name).replace(STARTED.replace("-", "_"), name.replace("-", "_"))
    return text.replace("acme-spacing", f"{short}-spacing").replace("acme-trial", f"{short}-trial")

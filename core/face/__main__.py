"""``python -m listel`` is the command ``listel``."""

from listel.core.cli import program

raise SystemExit(program())

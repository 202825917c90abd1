"""``python -m listel`` is the command ``listel``."""

from listel.core.commands.cli import program

raise SystemExit(program())

"""``python -m listel`` is the command ``listel``."""

import sys

if not sys.flags.safe_path:
    del sys.path[0]  # nothing is ever imported from the folder one stands in

from listel.core.commands.cli import program

raise SystemExit(program())

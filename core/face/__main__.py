"""``python -m listel`` is the command ``listel``."""

from listel.core.cli import main

raise SystemExit(main())

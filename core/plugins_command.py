"""``listel plugins``: what is installed, in running order, where it came from, what it needs and gives."""

from __future__ import annotations

import argparse
import json

from listel.core.order import in_order
from listel.core.run import add_plugin_arguments, installed


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument("--json", action="store_true", help="print JSON")
    add_plugin_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the stages in running order; exit status 1 if a plugin is at fault."""
    registry = installed(arguments)
    owners = {stage.name: plugin for plugin, stage in registry.stages()}
    rows = [
        {
            "name": stage.name,
            "plugin": owners[stage.name].name,
            "version": owners[stage.name].version,
            "origin": owners[stage.name].origin,
            **{key: [kind.__name__ for kind in getattr(stage, key)] for key in ("needs", "wants", "gives", "amends")},
        }
        for stage in in_order([stage for _, stage in registry.stages()])
    ]
    faults = [(plugin.name, fault) for plugin in registry.plugins for fault in plugin.faults]
    if arguments.json:
        print(json.dumps(rows, indent=1))
    else:
        for row in rows:
            print(f"{row['name']} ({row['plugin']} {row['version']}, {row['origin']})")
            for key in ("needs", "wants", "gives", "amends"):
                if row[key]:
                    print(f"  {key:<7}{', '.join(row[key])}")
        idle = [plugin for plugin in registry.plugins if not plugin.stages and not plugin.faults]
        for plugin in idle:
            print(f"{plugin.name} ({plugin.version}, {plugin.origin}): no stage; steps, sections or reckoners only")
    import sys

    for name, fault in faults:
        print(f"{name}: {fault}", file=sys.stderr)
    return 1 if faults else 0

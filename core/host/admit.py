"""What may stand beside what: a plugin that clashes with those before it loses what clashes, and says so.

Built-in plugins stand first, so that nothing from outside can put one of them out of work.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from listel.core.contract.stage import Section, Stage
from listel.core.contract.tables import Table
from listel.core.host.order import OrderFault, in_order
from listel.core.survey.messages import did_you_mean

if TYPE_CHECKING:
    from listel.core.host.plugin import Plugin


def admitted(plugins: Iterable[Plugin]) -> tuple[Plugin, ...]:
    """The plugins, each without what cannot stand beside the others; its ``faults`` then say why.

    Stages of an outside plugin are left out together where they cannot be put in order; a step, a section or a
    reckoner is left out where another plugin has one of that name, a section also where its template is not there, a
    rule where it is not named by its plugin.
    """
    plugins = tuple(_with_rules(tuple(_with_tables(plugins))))
    stages = [stage for plugin in plugins if not plugin.outside for stage in plugin.stages]
    stages, refused = _orderly(stages, [plugin for plugin in plugins if plugin.outside])
    taken: dict[str, dict[str, str]] = {"steps": {}, "sections": {}, "reckoners": {}}
    return tuple(_beside(_without_stages(plugin, refused), taken) for plugin in plugins)


def _with_tables(plugins: Iterable[Plugin]) -> Iterator[Plugin]:
    taken: list[Table] = []
    for plugin in plugins:
        tables = plugin.tables() if plugin.outside else ()
        if not tables:
            yield plugin
            continue
        from listel.core.host.added import added_tables, own_tables

        kept, faults = added_tables(plugin.name, tables, own_tables(), taken)
        taken += kept
        fresh = (fault for fault in faults if fault not in plugin.faults)
        yield replace(plugin, tables=partial(tuple, kept), faults=(*plugin.faults, *fresh))


def _with_rules(plugins: Sequence[Plugin]) -> Iterator[Plugin]:
    """A plugin speaks by rules of its own name only, and what lifts one is said by a competence that there is."""
    known: set[str] = set()
    for plugin in plugins:
        rules = plugin.rules() if plugin.outside and plugin.code else ()
        if not rules:
            yield plugin
            continue
        from listel.core.host.added import own_tables

        tables = (own_tables()["competences"], *(table for each in plugins if each.outside for table in each.tables()))
        known = known or {row.name for table in tables if table.name == "competences" for row in table}
        kept = [rule for rule in rules if rule.plugin == plugin.name]
        faults = [
            f"its rule {rule.name} is left out: the rules of a plugin are named by it, {plugin.name}/..."
            for rule in rules
            if rule not in kept
        ]
        faults += [
            f"its rule {rule.name} can be lifted by nobody: there is no competence {who}.{did_you_mean(who, known)}"
            for rule in kept
            if rule.lifted_by is not None
            for who in dict.fromkeys(who for told in rule.lifted_by.outcomes.values() for who in told)
            if who not in known
        ]
        fresh = (fault for fault in faults if fault not in plugin.faults)
        yield replace(plugin, rules=partial(tuple, kept), faults=(*plugin.faults, *fresh))


def _orderly(stages: list[Stage], outside: Sequence[Plugin]) -> tuple[list[Stage], dict[int, str]]:
    """The stages that can be put in order, and why those of a plugin (by identity) cannot.

    A plugin may need what a later one gives; so those that could not stand are tried again after each that could.
    """
    waiting = list(outside)
    while True:
        refused: dict[int, str] = {}
        for plugin in waiting:
            try:
                in_order([*stages, *plugin.stages])
            except OrderFault as fault:
                refused[id(plugin)] = str(fault)
            else:
                stages = [*stages, *plugin.stages]
        still = [plugin for plugin in waiting if id(plugin) in refused]
        if len(still) == len(waiting):
            return stages, refused
        waiting = still


def _without_stages(plugin: Plugin, refused: dict[int, str]) -> Plugin:
    why = refused.get(id(plugin))
    if why is None:
        return plugin
    return replace(plugin, stages=(), faults=(*plugin.faults, f"its stages are left out: {why}"))


def _beside(plugin: Plugin, taken: dict[str, dict[str, str]]) -> Plugin:
    faults: list[str] = []
    kept: dict[str, Any] = {}
    for group, owners in taken.items():
        kept[group] = ()
        for item in getattr(plugin, group):
            why = f"{owners[item.name]} has one of that name" if item.name in owners else _no_template(item)
            if why:
                faults.append(f"its {group[:-1]} {item.name} is left out: {why}")
            else:
                owners[item.name] = plugin.name
                kept[group] += (item,)
    return replace(plugin, **kept, faults=(*plugin.faults, *faults)) if faults else plugin


def _no_template(item: Any) -> str:
    if isinstance(item, Section) and not item.template.is_file():
        return f"there is no file {item.template.name} where it looks for its template"
    return ""

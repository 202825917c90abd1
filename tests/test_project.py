"""The house is whole: packages, tables, schemas, layers, modules."""

from __future__ import annotations

import ast
import doctest
import json
import re
import tomllib
from graphlib import TopologicalSorter
from importlib import import_module
from importlib.resources import files
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

ROOT = Path(__file__).parent.parent
ROOMS = {"core": "listel.core", "plugins": "listel.plugins", "reports": "listel.reports", "schemas": "listel.schemas"}
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
TABLES = sorted(path for path in (ROOT / "plugins").glob("*/*.yaml") if path.stem not in ("rules", "cases"))
SCHEMAS = sorted((ROOT / "schemas").glob("*.schema.json"))
SOURCES = sorted(path for room in ROOMS for path in (ROOT / room).rglob("*.py"))


def module_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    if parts[:2] == ("reports", "face"):
        return ".".join(["listel", *parts[2:]]).removesuffix(".__init__")
    return ".".join([ROOMS[parts[0]], *parts[1:]]).removesuffix(".__init__")


def test_every_package_is_listed_for_the_wheel():
    packages = {module_of(path) for path in SOURCES if path.name == "__init__.py"}
    assert packages == set(PYPROJECT["tool"]["setuptools"]["packages"])


def by_place(node: ast.ClassDef) -> int:
    """How many values a dataclass takes by their place; 0 of another class."""
    told = [each for each in node.decorator_list if "dataclass" in ast.unparse(each)]
    if not told or any("kw_only=True" in ast.unparse(each) for each in told):
        return 0
    fields = [each for each in node.body if isinstance(each, ast.AnnAssign)]
    names = [ast.unparse(each.annotation) for each in fields if "ClassVar" not in ast.unparse(each.annotation)]
    return names.index("KW_ONLY") if "KW_ONLY" in names else len(names)


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_class_takes_more_than_five_values_by_their_place(path):
    """A swapped pair of values must not pass silently."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert [node.name for node in ast.walk(tree) if isinstance(node, ast.ClassDef) and by_place(node) > 5] == []


def test_top_level_holds_only_what_the_design_names():
    named = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", *ROOMS, "tests", "build"}
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.suffix != ".egg-info"}
    assert found <= named


@pytest.mark.parametrize("path", SCHEMAS, ids=lambda path: path.name)
def test_every_schema_is_a_schema_and_describes_its_keys(path):
    schema = json.loads(path.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    assert schema["description"]


TABLE_SCHEMA = Draft202012Validator(json.loads((ROOT / "schemas" / "table.schema.json").read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", TABLES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_table_names_a_source_for_each_row_and_a_meaning_for_each_column(path):
    from listel.core.contract.tables import table_from

    data = YAML(typ="safe").load(path.read_text(encoding="utf-8"))
    assert [error.message for error in TABLE_SCHEMA.iter_errors(data)] == []
    table = table_from(data, path.stem)
    used = {key for row in data["rows"] for key in row} - {"name", "source", "note"}
    assert used <= set(data["columns"]), "a column without a meaning"
    cited = {
        key for row in data["rows"] for key in ([row["source"]] if isinstance(row["source"], str) else row["source"])
    }
    assert cited == set(data["sources"]), "a source that no row cites, or one that is not listed"
    names = [row.name for row in table]
    assert len(names) == len(set(names)), "two rows of one name"


def imported(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            found.add(node.module or "")
    return found


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_layers(path):
    module, names = module_of(path), imported(path)
    if module.startswith("listel.core"):
        assert not [name for name in names if name.startswith(("listel.plugins", "listel.reports"))]
    if module.startswith("listel.plugins."):
        own = ".".join(module.split(".")[:3])
        insides = [
            name for name in names if re.match(r"listel\.plugins\.\w+\.", name) and not name.startswith(own + ".")
        ]
        assert not insides, "another plugin's insides"
        assert not [name for name in names if name.startswith("listel.reports")]
    if module.startswith("listel.reports"):
        assert not [name for name in names if re.match(r"listel\.plugins\.\w+\.", name)], "a plugin's insides"


@pytest.mark.parametrize("path", [path for path in SOURCES if path.name != "__main__.py"], ids=module_of)
def test_every_module_and_public_function_says_what_it_is(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    lacking = [] if ast.get_docstring(tree) else ["the module"]
    for node in tree.body:
        public = isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_")
        if public and not ast.get_docstring(node):
            lacking.append(node.name)
    assert lacking == []


MODULES = {module_of(path): path for path in SOURCES if path.name != "__main__.py"}


def imported_at_once(module: str, tree: ast.AST) -> set[str]:
    """The modules of listel that are imported as a module is, with the packages they come through, but its own."""
    found: set[str] = set()
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            parts = [f"{node.module}.{alias.name}" for alias in node.names]
            found |= {part if part in MODULES else str(node.module) for part in parts}
        elif not isinstance(node, (ast.FunctionDef, ast.Lambda)) and not (
            isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        ):
            found |= imported_at_once(module, node)
    through = {name.rsplit(".", depth)[0] for name in found for depth in range(1, name.count(".") + 1)}
    return found | {name for name in through if not f"{module}.".startswith(f"{name}.")}


def test_every_module_can_be_imported_first():
    """No two modules import each other, so their order is no matter."""
    needs = {name: imported_at_once(name, ast.parse(path.read_text("utf-8"))) for name, path in MODULES.items()}
    order = TopologicalSorter({name: need & MODULES.keys() for name, need in needs.items()}).static_order()
    assert [name for name in order if import_module(name).__name__ != name] == []


CALLED_BY_LIBRARIES = {
    *("pytest_collect_file", "collect", "runtest", "repr_failure", "reportinfo", "find_class", "enableCallbacks"),
    *("get_cache_key", "load_bytecode", "dump_bytecode", "handle_starttag", "handle_endtag", "handle_data"),
}


def test_no_function_class_or_constant_is_there_for_tests_alone():
    """Each is named somewhere in the product, in a template or in the page for developers, beside its own making."""
    texts = [path for room in ROOMS for end in ("j2", "txt") for path in (ROOT / room).rglob(f"*.{end}")]
    used = set(re.findall(r"\w+", "".join(path.read_text("utf-8") for path in (*texts, ROOT / "DEVELOPERS.md"))))
    used |= CALLED_BY_LIBRARIES
    made: dict[str, str] = {}
    for path in SOURCES:
        tree = ast.parse(path.read_text("utf-8"))
        listed = [
            node.value
            for node in tree.body
            if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
        ]
        prose = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        prose |= {id(name) for names in listed for name in ast.walk(names)}
        for node in ast.walk(tree):
            match node:
                case ast.Name(id=name, ctx=ast.Load()) | ast.Attribute(attr=name):
                    used.add(name)
                case ast.Constant(value=str(text)) if id(node) not in prose and len(text) < 100:
                    used.update(re.findall(r"\w+", text))
                case ast.FunctionDef(name=name, decorator_list=marks) if not any(
                    isinstance(m, ast.Call) for m in marks
                ):
                    made[name] = f"{path.relative_to(ROOT)}:{node.lineno}"
                case ast.ClassDef(name=name):
                    made[name] = f"{path.relative_to(ROOT)}:{node.lineno}"
        of_module = [node.targets[0] for node in tree.body if isinstance(node, ast.Assign)]
        made |= {one.id: f"{path.relative_to(ROOT)}:{one.lineno}" for one in of_module if isinstance(one, ast.Name)}
    assert [f"{at} {name}" for name, at in made.items() if name not in used and name[:2] != "__"] == []


WITH_EXAMPLES = [path for path in SOURCES if ">>> " in path.read_text(encoding="utf-8")]


@pytest.mark.parametrize("path", WITH_EXAMPLES, ids=module_of)
def test_the_examples_in_docstrings_are_so(path):
    failed, tried = doctest.testmod(import_module(module_of(path)))
    assert tried and not failed


def test_the_face_offers_every_name_it_lists():
    import listel

    assert [name for name in listel.__all__ if not hasattr(listel, name)] == []
    with pytest.raises(AttributeError, match="no attribute 'Nonesuch'"):
        _ = listel.Nonesuch


def test_a_name_that_is_to_go_warns_one_version_before(monkeypatch):
    import listel

    monkeypatch.setitem(listel._LEAVING, "Where", "write Place")
    with pytest.warns(DeprecationWarning, match=r"listel.Where goes with number 2 of the plugin contract; write Place"):
        assert listel.Where.__name__ == "Where"


def test_data_files_ship_with_the_packages():
    assert files("listel.schemas").joinpath("survey.schema.json").is_file()
    assert files("listel.core").joinpath("py.typed").is_file() or files("listel").joinpath("py.typed").is_file()

"""The shape of the tree: small modules and functions, names that say something, a test module for each of core's."""

import ast
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("bot", "core")
FEWEST_MODULES = 40  # a check that finds nothing must fail
MOST_LINES = 350
MOST_LINES_OF_A_FUNCTION = 40  # without its docstring: that of a formula has its equation, range and sources
EMPTY_NAMES = {"utils", "helpers", "common", "misc", "manager", "base"}
NO_BUSINESS_OF_CORE = {"time", "random", "os"}
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "bot", "core", "tests", "deploy"}
BUILT = {"build", "dist"}

MODULES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
CORE_MODULES = [path for path in MODULES if path.is_relative_to(ROOT / "core") and path.name != "__init__.py"]


def name_of(path):
    return path.relative_to(ROOT).as_posix()


def functions(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def lines_of(function):
    first = function.body[0]
    has_docstring = ast.get_docstring(function) is not None
    docstring = first.end_lineno - first.lineno + 1 if has_docstring else 0
    return function.end_lineno - function.lineno - docstring


def imported(path):
    """The top names of what a module imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module.split(".")[0]


def top_level():
    """The names that a clone would have; where git cannot tell, those that are there and are not built."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    try:
        listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout  # noqa: S603
        paths = [Path(line) for line in listed.splitlines() if (ROOT / line).exists()]
    except (OSError, subprocess.CalledProcessError):
        paths = [path.relative_to(ROOT) for path in ROOT.iterdir()]
        paths = [path for path in paths if path.suffix != ".egg-info" and path.name not in BUILT]
    return {path.parts[0] for path in paths if not path.parts[0].startswith(".")}


def test_the_modules_are_found():
    assert len(MODULES) >= FEWEST_MODULES
    assert len(CORE_MODULES) >= FEWEST_MODULES // 2


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_is_short_and_so_are_its_functions(path):
    long = {f.name: lines_of(f) for f in functions(path) if lines_of(f) > MOST_LINES_OF_A_FUNCTION}

    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES
    assert long == {}


def test_a_modules_name_says_what_it_is():
    assert [name_of(path) for path in MODULES if EMPTY_NAMES & set(path.relative_to(ROOT).with_suffix("").parts)] == []


def test_each_module_of_core_has_a_test_module():
    mirrored = {path: ROOT / "tests" / path.relative_to(ROOT).with_name(f"test_{path.name}") for path in CORE_MODULES}

    assert [name_of(path) for path, mirror in mirrored.items() if not mirror.exists()] == []


def test_core_has_neither_clock_nor_chance_nor_system():
    found = {name_of(path): NO_BUSINESS_OF_CORE & set(imported(path)) for path in CORE_MODULES}

    assert {name: names for name, names in found.items() if names} == {}


def test_the_top_level_holds_what_it_is_meant_to():
    assert top_level() == TOP_LEVEL

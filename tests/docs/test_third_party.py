"""What the code imports is declared, pinned, and named with its licence."""

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def _names(requirements: list[str]) -> set[str]:
    return {_plain(re.split(r"[<>=!~ \[;]", line, maxsplit=1)[0]) for line in requirements}


DECLARED = _names(PROJECT["dependencies"])
FOR_TESTS = _names(PROJECT["optional-dependencies"]["test"])
FOR_FITTING = _names(PROJECT["optional-dependencies"]["fit"])
PINNED = _names(
    [
        line
        for line in (ROOT / "constraints.txt").read_text("utf-8").splitlines()
        if line and not line.startswith("#")
    ]
)


def _imported(folder: Path) -> set[str]:
    """The distributions whose modules the Python files below `folder` import."""
    modules: set[str] = set()
    files = list(folder.rglob("*.py"))
    for file in files:
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                modules |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                modules.add(node.module.split(".")[0])
    foreign = (
        modules
        - set(sys.stdlib_module_names)
        - {"rehearse", "tests"}
        - {file.stem for file in files}
    )
    known = packages_distributions()
    return {_plain(known.get(module, [module])[0]) for module in foreign}


def test_the_package_imports_only_what_it_declares() -> None:
    """A fresh installation has every library the package imports, fitting's extra included."""
    imported = _imported(ROOT / "rehearse")
    assert len(imported) > 5
    assert imported - DECLARED - FOR_FITTING == set()


def test_the_tests_import_only_what_is_declared() -> None:
    """So has one with the test extra, for every library the tests import."""
    assert _imported(ROOT / "tests") - DECLARED - FOR_TESTS == set()


@pytest.mark.parametrize("name", sorted(DECLARED | FOR_TESTS))
def test_every_dependency_is_pinned_and_credited(name: str) -> None:
    """Each dependency has an exact version in the tested set and a line with its licence."""
    assert name in PINNED
    credited = (ROOT / "THIRD_PARTY.md").read_text("utf-8").lower().replace("_", "-")
    assert re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", credited)


def test_pins_are_versions_and_nothing_else() -> None:
    """No address, no path: where packages come from is the installing machine's business."""
    for line in (ROOT / "constraints.txt").read_text("utf-8").splitlines():
        assert line.startswith("#") or re.fullmatch(r"[\w.-]+==[\w.]+", line), line

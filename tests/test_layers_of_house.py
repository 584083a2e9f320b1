"""The direction of flow of the house and what may be imported where, by parsing every module."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import isolate

ROOT = Path(isolate.__file__).parent
GROUND = {"errors", "units", "bands", "version", "store", "processes"}
FOLDERS = [
    "describe", "standards", "physics", "room", "remedies", "answers", "measuring", "show", "desk",
    "library", "commands", "cli", "__main__",
]  # fmt: skip
ONLY_IN = {
    "matplotlib": ("show/figures/",),
    "click": ("cli", "commands/"),
    "tomllib": ("describe/",),
    "tomlkit": ("describe/",),
    "jinja2": ("show/",),
    "flask": ("desk/",),
    "waitress": ("desk/",),
}
MODULES = sorted(ROOT.rglob("*.py"))
TESTS = sorted(Path(__file__).parent.rglob("test_*.py"))


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _place(name: str) -> str:
    """Folder or module directly below the package that a dotted name lies in."""
    return name.split(".")[1] if "." in name else ""


def _own(path: Path) -> str:
    return path.relative_to(ROOT).with_suffix("").parts[0].replace("__init__", "")


def _allowed(own: str) -> set[str]:
    if own == "":  # the names of the library, each loaded when it is first used
        return {*GROUND, "describe", "room", "remedies", "answers", "measuring", "library"}
    if own in GROUND:
        return GROUND
    if own == "standards":
        return GROUND | {"standards"}
    if own in ("__main__",):
        return {"cli"}
    return GROUND | set(FOLDERS[: FOLDERS.index(own) + 1])


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_module_imports_only_from_above(path: Path) -> None:
    own = _own(path)
    for name in _imports(path):
        if name.split(".")[0] != "isolate":
            continue
        place = _place(name)
        if not (ROOT / place).is_dir() and not (ROOT / f"{place}.py").is_file():
            place = ""  # a name of the package itself
        assert place in _allowed(own), f"{path.relative_to(ROOT)} imports {name}"


def _graph() -> dict[str, set[str]]:
    """The modules each module imports, late imports and those for type checking included."""
    names = {
        ".".join(path.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(".__init__"): path
        for path in MODULES
    }
    graph: dict[str, set[str]] = {}
    for own, path in names.items():
        graph[own] = set()
        for name in _imports(path):
            while name and name not in names:
                name = name.rpartition(".")[0]
            graph[own] |= {name} - {"", own}
    return graph


def _circle(graph: dict[str, set[str]]) -> list[str]:
    """Modules that import each other in a circle; empty where there is none."""
    left = dict(graph)
    while True:  # take away what imports nothing that is left, until nothing can be taken
        free = [own for own, others in left.items() if not others & left.keys()]
        if not free:
            break
        for own in free:
            del left[own]
    if not left:
        return []
    way = [min(left)]
    while way[-1] not in way[:-1]:
        way.append(min(left[way[-1]] & left.keys()))
    return way[way.index(way[-1]) :]


def test_no_modules_import_each_other_in_a_circle() -> None:
    circle = _circle(_graph())
    assert not circle, " -> ".join(circle)
    tied = {"a": {"b", "d"}, "b": {"c"}, "c": {"b"}, "d": set()}
    assert _circle(tied) == ["b", "c", "b"]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_module_is_short_enough_to_be_about_one_thing(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 500


def _may_pass_unasked(tree: ast.AST) -> Iterator[str]:
    """Each `if` of a test of which one way asserts something and the other nothing."""
    tests = [one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef) and one.name[:5] == "test_"]
    for node in (node for test in tests for node in ast.walk(test) if isinstance(node, ast.If)):
        asserts = [any(isinstance(part, ast.Assert) for one in way for part in ast.walk(one))
                   for way in (node.body, node.orelse)]  # fmt: skip
        if asserts[0] != asserts[1]:
            yield f"line {node.lineno}: if {ast.unparse(node.test)}"


@pytest.mark.parametrize("path", TESTS, ids=lambda path: path.name)
def test_what_a_test_asserts_it_asserts_always(path: Path) -> None:
    """No test passes because what it is about did not come up."""
    assert not [*_may_pass_unasked(ast.parse(path.read_text(encoding="utf-8")))]


def test_an_assert_that_may_not_be_asked_is_found() -> None:
    source = "def test_x():\n    if a:\n        assert b\n"
    neither = source.replace("assert b", "pass\n    elif c:\n        assert b\n    else:\n        assert d")
    for one in (source, neither):
        assert [*_may_pass_unasked(ast.parse(one))] == ["line 2: if a"]
    assert not [*_may_pass_unasked(ast.parse(f"{source}    else:\n        assert d\n"))]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_each_library_stays_in_its_room(path: Path) -> None:
    where = path.relative_to(ROOT).as_posix()
    for name in _imports(path):
        rooms = ONLY_IN.get(name.split(".")[0])
        assert rooms is None or where.startswith(rooms), f"{where} imports {name}"


@pytest.mark.parametrize(
    ("arguments", "unwanted"),
    [
        (["--help"], {"numpy", "pandas", "scipy", "matplotlib"}),
        (["room", "--help"], {"numpy", "pandas", "scipy", "matplotlib"}),
        (["room"], {"pandas", "matplotlib"}),
    ],
)
def test_nothing_heavy_is_loaded_before_it_is_needed(arguments: list[str], unwanted: set[str]) -> None:
    code = (
        "import sys\n"
        "from isolate.cli import root\n"
        f"root({arguments!r}, standalone_mode=False)\n"
        "print(*sorted({name.split('.')[0] for name in sys.modules}), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT.parent
    )
    assert not unwanted & set(done.stderr.split())

"""The house: what the rooms' docstrings, the guide and the contract say of each other is so."""

from __future__ import annotations

import ast
import functools
import re
import tomllib
from collections import defaultdict
from pathlib import Path

import anchorsim

ROOT = Path(__file__).parents[2]
PACKAGE = Path(anchorsim.__file__).parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
    "contracts"
]
ROOMS = [path.parent.name for path in sorted(PACKAGE.glob("*/__init__.py"))]
MODULES = {
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
    for path in PACKAGE.rglob("*.py")
}


@functools.cache
def tree_of(path: Path) -> ast.Module:
    """A module, parsed once for all tests."""
    return ast.parse(path.read_text(encoding="utf-8"))


def room_of(module: str) -> str:
    return f"{module}.".split(".")[1]


def imported(path: Path) -> set[str]:
    """Modules of the package that a module imports, at its top or later."""
    found: set[str] = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("anchorsim."):
            names = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= {name if name in MODULES else str(node.module) for name in names}
    return found


def doors() -> dict[str, set[str]]:
    """The modules of each room that other rooms import."""
    found: dict[str, set[str]] = defaultdict(set)
    for module, path in MODULES.items():
        for other in imported(path):
            if room_of(other) != room_of(module) and module != "anchorsim":
                found[room_of(other)].add(
                    other.split(".", 2)[2] if other.count(".") > 1 else "the room itself"
                )
    return found


def test_each_room_says_its_job_and_its_door() -> None:
    for room, door in doors().items():
        if room not in ROOMS:
            continue
        text = ast.get_docstring(tree_of(PACKAGE / room / "__init__.py")) or ""
        said = re.search(r"Door: (.*?)\.$", text.replace("\n", " "), re.MULTILINE)
        assert said, (
            f"anchorsim/{room}: its docstring names no door. Expected: Door: {', '.join(sorted(door))}."
        )
        assert {name.strip() for name in said[1].split(",")} == door, (
            f"{room}: Door: {', '.join(sorted(door))}."
        )


def test_the_guide_and_the_contract_have_the_same_rooms_in_the_same_order() -> None:
    (layers,) = (each["layers"] for each in CONTRACTS if each["type"] == "layers")
    contract = [sorted(layer.replace("|", " ").split()) for layer in layers]
    rows = re.findall(r"^\| (`[^|]*`) \| [^|]* \|$", GUIDE.split("## One outcome")[0], re.MULTILINE)
    guide = [sorted(re.findall(r"`(\w+)`", row)) for row in rows]
    assert sorted(name for layer in guide for name in layer) == sorted(
        name for layer in contract for name in layer
    )
    order = [name for layer in guide for name in layer]
    places = {name: place for place, layer in enumerate(contract) for name in layer}
    assert [places[name] for name in order] == sorted(places[name] for name in order)
    assert {name for layer in contract for name in layer} >= set(ROOMS)


def test_no_module_only_forwards() -> None:
    for module, path in MODULES.items():
        body = tree_of(path).body
        rest = [
            node for node in body if not isinstance(node, ast.Import | ast.ImportFrom | ast.Expr | ast.Assign)
        ]
        names = [
            node
            for node in body
            if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) != "__all__"
        ]
        forwards = any(isinstance(node, ast.ImportFrom) and node.module != "__future__" for node in body)
        assert rest or names or not forwards or path.name == "__init__.py", f"{module} only forwards"


def test_tests_mirror_the_rooms() -> None:
    folders = {
        path.name for path in (ROOT / "tests").iterdir() if path.is_dir() and not path.name.startswith("_")
    }
    assert folders - {"benchmarks", "browser", "faces"} <= set(ROOMS)
    assert set(ROOMS) - folders <= {"jupyter"}, "which the browser's tests hold"


def test_every_file_that_the_guide_names_is_there() -> None:
    named = set(re.findall(r"`((?:tests|data|notebooks|[a-z]+)/[\w/]+\.(?:py|csv|ipynb|json))`", GUIDE))
    assert len(named) > 10
    for name in named:
        assert (ROOT / name).exists() or (PACKAGE / name).exists(), name


def test_modules_and_functions_stay_short() -> None:
    for module, path in MODULES.items():
        text = path.read_text(encoding="utf-8")
        assert len(text.splitlines()) <= 400, module
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef):
                body = [each for each in node.body if not isinstance(each, ast.Expr)] or node.body
                assert (node.end_lineno or 0) - body[0].lineno < 60, f"{module}.{node.name}"


def test_the_unit_system_is_known_to_wording_and_the_faces_alone() -> None:
    above = {"wording", "figures", "report", "explorer", "classroom", "cli", "core", "jupyter"}
    for module, path in MODULES.items():
        if room_of(module) in above or module == "anchorsim":
            continue
        used = {node.id for node in ast.walk(tree_of(path)) if isinstance(node, ast.Name)}
        assert "System" not in used, module


def markup_in(path: Path) -> list[str]:
    """The pieces of HTML in a module's strings, its docstrings apart."""
    tree = tree_of(path)
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in silent
        and re.search(r"</|<[a-z][a-z0-9]*[ >]", node.value)
    ]


def test_html_stands_in_templates() -> None:
    """Figures may hold the few tags that plotly reads in a label."""
    for module, path in MODULES.items():
        if room_of(module) in ("classroom", "explorer", "report", "wording"):
            assert markup_in(path) == [], f"{module}: put it into a template"
            assert "escape" not in imported_names(path), f"{module}: templates escape"


def imported_names(path: Path) -> set[str]:
    tree = tree_of(path)
    return {alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names}


def test_html_in_a_string_would_be_found(tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    module.write_text(
        '"""Not <b>this</b>."""\nx = f"<p class=y>{1}"\ny = "a < b"\nz = "<h3>"\n', encoding="utf-8"
    )
    assert sorted(markup_in(module)) == ["<h3>", "<p class=y>"]


WRITES = {"write_text", "write_bytes", "copyfile", "copy2", "copytree", "move"}
# Beside people's files: the lock, the page with the token, the sign of a running server, runs of our own.
NOT_PEOPLES = {
    "core.file_lock",
    "jupyter.launch",
    "jupyter.scratch",
    "jupyter.server",
    "validation.full_line_cases",
    "validation.long_stretch",
}


def test_one_module_writes_peoples_files() -> None:
    found = set()
    for module, path in MODULES.items():
        for node in ast.walk(tree_of(path)):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
                continue
            modes = [each.value for each in node.args if isinstance(each, ast.Constant)]
            opens = node.func.attr in ("open", "fdopen") and any(
                set("wxa+") & set(str(mode)) for mode in modes
            )
            if opens or node.func.attr in WRITES:
                found.add(module.removeprefix("anchorsim."))
    assert found == {"core.writing", *NOT_PEOPLES}

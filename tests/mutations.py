"""Tests of the tests: one change at a time in a copy of the sources, and whether the room's tests notice.

``python tests/mutations.py ROOM… [--count N] [--seed N] [--only MODULE…] [--tests FILE…]`` draws changes of a
room's modules by chance, the same for a seed, and runs ``tests/ROOM`` on each.  Drawn from are numbers (half
as much again; whole ones and zero one more), ``+`` and ``-``, ``*`` and ``/``, ``<`` and ``<=``, ``and`` and
``or``, ``min`` and ``max``, the wrong branch, a ``not`` and an ``abs`` left out.  Left alone are docstrings,
annotations, decorators, f-strings, ``__repr__``, what is raised, and guards against rounding.

With ``--bodies`` each change is made in a fork of one process that has collected the tests: a second each, in
place of a process that starts anew; what is compiled stays as it was.  With ``--plain`` too there is no
compiler, so that kernels count; name the files of tests then, without those that compile for themselves
(``mooring/test_statics_abreast.py``).

``survivors.csv`` names changes that no test needs to notice, each with its reason; they are not run again.
pytest does not collect this file but loads it as a plugin, so that hypothesis draws the same every time and
does not look for the smallest example.
"""

from __future__ import annotations

import argparse
import ast
import csv
import gc
import importlib
import json
import math
import multiprocessing
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from inspect import CO_OPTIMIZED
from pathlib import Path
from types import CodeType, FunctionType
from xml.etree import ElementTree

import hypothesis.extra.numpy  # noqa: F401 - here and below: imported once for all runs of the tests
import numba
import pint  # noqa: F401
import pydantic  # noqa: F401
import pytest
import scipy.interpolate
import scipy.optimize
import scipy.stats  # noqa: F401
from hypothesis import Phase, settings

TREE = Path(__file__).parents[1]
COPIED = ("anchorsim", "data", "shared", "tests", "pyproject.toml")
SURVIVORS = TREE / "tests" / "survivors.csv"
OPERATORS: dict[type[ast.AST], str] = {ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*"}
LIMITS: dict[type[ast.AST], str] = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">"}
ENDS = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum"}
MAGNITUDES = ("abs", "fabs")
ROUNDING = 1e-8  # numbers below are guards against rounding: half as much again is as good


@dataclass(frozen=True)
class Mutant:
    """A change of one module: bytes ``start`` to ``stop`` of its source become ``new``."""

    module: str
    function: str
    line: int
    start: int
    stop: int
    old: str
    new: str
    text: str

    @property
    def key(self) -> tuple[str, str, str]:
        """What stays the same of it while other lines come and go: module, function and the changed line."""
        return self.module, self.function, self.text

    def __str__(self) -> str:
        return f"{self.module}:{self.line} {self.function}: {self.text}"


class Finder(ast.NodeVisitor):
    """All changes that a module's source can undergo."""

    def __init__(self, module: str, source: bytes) -> None:
        self.module, self.source = module, source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.inside: list[str] = []
        self.found: list[Mutant] = []

    def at(self, node: ast.expr) -> tuple[int, int]:
        """Where a node stands in the source, bytes."""
        assert node.end_lineno is not None and node.end_col_offset is not None
        return (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def code(self, node: ast.expr) -> str:
        start, stop = self.at(node)
        return self.source[start:stop].decode()

    def add(self, start: int, stop: int, new: str) -> None:
        line = next(place for place, begins in enumerate(self.starts) if begins > start)
        begins, ends = self.starts[line - 1], max(self.starts[line], stop)
        before, after = (self.source[a:b].decode() for a, b in ((begins, start), (stop, ends)))
        old = self.source[start:stop].decode()
        text = re.sub(r"\s+", " ", f"{before}[{old} -> {new}]{after}").strip()
        function = ".".join(self.inside) or "module"
        self.found.append(Mutant(self.module, function, line, start, stop, old, new, text))

    def between(self, left: ast.expr, right: ast.expr, sign: str, new: str) -> None:
        """Change the sign that stands between two nodes, with brackets and line breaks about it."""
        start, stop = self.at(left)[1], self.at(right)[0]
        place = re.search(rf"(?<!\S){re.escape(sign)}(?!\S)", self.source[start:stop].decode())
        if place is not None:
            self.add(start + place.start(), start + place.end(), new)

    def visit_FunctionDef(self, node: ast.FunctionDef | ast.ClassDef) -> None:
        if node.name == "__repr__":
            return
        self.inside.append(node.name)
        if isinstance(node, ast.FunctionDef):
            for default in (*node.args.defaults, *filter(None, node.args.kw_defaults)):
                self.visit(default)
        for part in node.body:
            self.visit(part)
        self.inside.pop()

    visit_ClassDef = visit_FunctionDef

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def nothing(self, node: ast.AST) -> None:
        """Words, and what only the checker of types reads."""

    visit_JoinedStr = visit_Raise = visit_Import = visit_ImportFrom = nothing

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool) or not isinstance(node.value, (int, float)):
            return
        if 0 < node.value < ROUNDING:
            return
        more = isinstance(node.value, int) or node.value == 0.0
        self.add(*self.at(node), repr(node.value + 1 if more else float(f"{1.5 * node.value:.12g}")))

    def visit_BinOp(self, node: ast.BinOp) -> None:
        new = OPERATORS.get(type(node.op))
        words = any(isinstance(side, ast.JoinedStr) or isinstance(getattr(side, "value", 0), str)
                    for side in (node.left, node.right))  # fmt: skip
        if new and not words:
            sign = {"-": "+", "+": "-", "/": "*", "*": "/"}[new]
            self.between(node.left, node.right, sign, new)
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        for left, right, operator in zip(sides, sides[1:], node.ops, strict=False):
            if new := LIMITS.get(type(operator)):
                self.between(left, right, new[0] if len(new) == 2 else f"{new}=", new)
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in zip(node.values, node.values[1:], strict=False):
            self.between(left, right, old, new)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.Not):
            self.add(*self.at(node), f"({self.code(node.operand)})")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        if name in ENDS:
            stop = self.at(node.func)[1]
            self.add(stop - len(name), stop, ENDS[name])
        if name in MAGNITUDES and len(node.args) == 1:
            self.add(*self.at(node), f"({self.code(node.args[0])})")
        self.generic_visit(node)

    def visit_If(self, node: ast.If | ast.IfExp) -> None:
        if getattr(node.test, "id", "") == "TYPE_CHECKING":
            return
        if not isinstance(node.test, ast.UnaryOp):  # of which the `not` is left out already
            self.add(*self.at(node.test), f"(not ({self.code(node.test)}))")
        self.generic_visit(node)

    visit_IfExp = visit_If


def mutants(tree: Path, room: str, only: Sequence[str] = ()) -> list[Mutant]:
    """Every change of a room's modules that still can be compiled and is not the same as another."""
    found: dict[tuple[str, int, int, str], Mutant] = {}
    for path in sorted((tree / "anchorsim" / room).glob("*.py")):
        if only and path.stem not in only:
            continue
        source = path.read_bytes()
        finder = Finder(f"{room}/{path.name}", source)
        finder.visit(ast.parse(source))
        for one in finder.found:
            ast.parse(changed(source, one))
            found[one.module, one.start, one.stop, one.new] = one
    return list(found.values())


def changed(source: bytes, mutant: Mutant) -> bytes:
    return source[: mutant.start] + mutant.new.encode() + source[mutant.stop :]


def taken_in(tree: Path, path: Path) -> set[Path]:
    """Modules whose numbers or functions a module imports; classes are not frozen in machine code."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("anchorsim"):
            base = tree.joinpath(*str(node.module).split("."))
            for alias in node.names:
                module = base / f"{alias.name}.py"
                if module.exists() or alias.name.isupper() or alias.name[0].islower():
                    found.add(module if module.exists() else base.with_suffix(".py"))
    return found


def stale(tree: Path, module: str) -> set[str]:
    """Names of the modules whose machine code a change of one may alter, at whatever remove, and its own."""
    imports = {path: taken_in(tree, path) for path in (tree / "anchorsim").rglob("*.py")}
    found = {tree / "anchorsim" / module}
    while more := {path for path, others in imports.items() if others & found} - found:
        found |= more
    return {path.stem for path in found}


def machine_code(work: Path, module: str) -> Path:
    """A folder with the kernels of the unchanged sources that a change of one module leaves as they are.

    numba tells stale machine code by the function's own file only, so what took something in is left out.
    """
    names, folder = stale(work / "tree", module), work / "changed"
    shutil.rmtree(folder, ignore_errors=True)
    for path in (work / "kernels").rglob("*.nb?"):
        if path.name.split(".")[0] not in names:
            there = folder / path.relative_to(work / "kernels")
            there.parent.mkdir(parents=True, exist_ok=True)
            os.link(path, there)
    return folder


def suite(tree: Path, room: str, names: Sequence[str]) -> list[str]:
    """The room's files of tests, or those of some names."""
    paths = {path.stem: str(path.relative_to(tree)) for path in (tree / "tests" / room).glob("test_*.py")}
    if unknown := sorted(set(names) - set(paths)):
        sys.exit(f"No tests of {room} are called {', '.join(unknown)}. Expected names such as {min(paths)}.")
    return [paths[name] for name in sorted(names or paths)]


def likeliest_first(files: Iterable[str], times: Path, module: str) -> list[str]:
    """Files of tests by the time that they took in a report of pytest, those of a module's own name first."""
    took: dict[str, float] = {}
    for case in ElementTree.parse(times).iter("testcase"):
        name = next(part for part in case.attrib["classname"].split(".") if part.startswith("test_"))
        took[name] = took.get(name, 0.0) + float(case.attrib["time"])
    own = f"test_{Path(module).stem}"
    return sorted(files, key=lambda file: (own not in file, took.get(Path(file).stem, 0.0)))


def passes(tree: Path, files: Sequence[str], kernels: Path, limit: float, *more: str) -> tuple[bool, str]:
    """Whether tests pass within a limit (s), and the name of the first that does not."""
    told = tree.parent / "told.txt"
    child = multiprocessing.get_context("fork").Process(target=run, args=(tree, files, kernels, told, more))
    child.start()
    child.join(limit)
    if child.is_alive():
        os.killpg(child.pid or 0, signal.SIGKILL)
        child.join()
        return False, "took too long"
    if child.exitcode == 0:
        return True, ""
    first = re.search(r"^(?:FAILED|ERROR) (\S+)", text := told.read_text(), re.MULTILINE)
    return False, first[1].removeprefix("tests/") if first else text[-300:]


def run(
    tree: Path, files: Sequence[str], kernels: Path, told: Path, more: Sequence[str], *plugins: object
) -> None:
    """Run pytest in a forked process, which has the libraries already and of the package nothing."""
    os.setsid()
    signal.signal(signal.SIGINT, signal.default_int_handler)  # which a shell's background job ignores
    os.chdir(tree)
    os.dup2(os.open(told, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 1)
    os.dup2(1, 2)
    sys.path[:0] = paths = [str(tree), str(tree / "tests")]
    os.environ.update(PYTHONPATH=os.pathsep.join(paths), NUMBA_CACHE_DIR=str(kernels))
    numba.config.CACHE_DIR = str(kernels)
    options = ("-x", "-q", "-p", "no:cacheprovider", "-p", "mutations", "-m", "not browser")
    os._exit(int(pytest.main([*options, *more, *files], plugins=[*plugins])))


Key = tuple[str, int]  # a function's qualified name and first line


def bodies(code: CodeType) -> Iterator[tuple[Key, CodeType]]:
    """The code of a module and of all that is defined in it."""
    yield (code.co_qualname, code.co_firstlineno), code
    for part in code.co_consts:
        if isinstance(part, CodeType):
            yield from bodies(part)


def only_in_functions(old: CodeType, new: CodeType) -> bool:
    """Whether codes of a module differ in bodies of functions alone, and not in what importing it runs."""
    apart = [
        one
        for (_, one), (_, other) in zip(bodies(old), bodies(new), strict=True)
        if (one.co_code, one.co_names) != (other.co_code, other.co_names) or _values(one) != _values(other)
    ]
    return all(one.co_flags & CO_OPTIMIZED for one in apart)


def _values(code: CodeType) -> list[str]:
    return [repr(value) for value in code.co_consts if not isinstance(value, CodeType)]


def put_in(path: Path, code: CodeType) -> None:
    """Give each function of a module that is loaded its body in another code, wherever it is known by name.

    What numba has compiled stays as it was.
    """
    new = dict(bodies(code))
    for function in [one for one in gc.get_objects() if isinstance(one, FunctionType)]:
        own = function.__code__
        if own.co_filename == str(path):
            function.__code__ = new[own.co_qualname, own.co_firstlineno]


def put_values(name: str, path: Path, code: CodeType) -> bool:
    """Give a module that is loaded, and what took them in, the values and defaults of another code of it.

    Whether there are any: defaults of fields, and what others made of a value, stay as they were.
    """
    module, scratch, found = sys.modules[name], {"__name__": name, "__file__": str(path)}, False
    exec(code, scratch)
    for key, value in scratch.items():
        old = vars(module).get(key)
        if (
            type(value) is not type(old)
            or callable(value)
            or " at 0x" in repr(value)
            or repr(value) == repr(old)
        ):
            continue
        found = True
        for other in [*sys.modules.values()]:
            if (
                getattr(other, "__name__", "").startswith(("anchorsim", "test_"))
                and vars(other).get(key) is old
            ):
                setattr(other, key, value)
    functions = [one for one in gc.get_objects() if isinstance(one, FunctionType)]
    olds = {
        (one.__qualname__, one.__code__.co_firstlineno): one
        for one in functions
        if one.__globals__ is vars(module) and one.__code__.co_filename == str(path)
    }
    for new in [one for one in functions if one.__globals__ is scratch]:
        old = olds.get((new.__qualname__, new.__code__.co_firstlineno))
        if old is not None and repr((new.__defaults__, new.__kwdefaults__)) != repr(
            (old.__defaults__, old.__kwdefaults__)
        ):
            old.__defaults__, old.__kwdefaults__, found = new.__defaults__, new.__kwdefaults__, True
    return found


def shares(item: pytest.Item) -> bool:
    """Whether a test uses what is made once for its module, and so takes long where it is the first."""
    made = getattr(item, "_fixtureinfo").name2fixturedefs  # noqa: B009 - has no public name
    return any(one[-1].scope == "module" for one in made.values())


class Within:
    """A plugin of pytest that runs the collected tests on each change of a body, in a fork that has it all.

    Writes a line for each to a file: ``caught`` with the test that failed, ``survived``; or ``aside`` where a
    change is not of a body alone and so wants a process of its own.
    """

    def __init__(self, work: Path, sample: Sequence[Mutant], slowest: float, plain: bool) -> None:
        self.work, self.sample, self.slowest, self.plain = work, sample, slowest, plain
        self.took: dict[Path, float] = {}

    def pytest_sessionstart(self) -> None:
        if self.plain:
            sys.modules["numba"] = None  # type: ignore[assignment]

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        begun, told = time.monotonic(), self.work / "within.txt"
        for item in session.items:
            importlib.import_module(item.module.__name__)
        first = self.forked(session, None, 3600.0)
        lines = [first]
        if first == "survived":
            limit = 3.0 * (time.monotonic() - begun) + 20.0
            for name, seconds in json.loads((self.work / "took.json").read_text()).items():
                self.took[Path(name)] = seconds
        for mutant in self.sample if first == "survived" else ():
            lines.append(self.forked(session, mutant, limit))
            told.write_text("\n".join(lines))
        told.write_text("\n".join(lines))
        return True

    def forked(self, session: pytest.Session, mutant: Mutant | None, limit: float) -> str:
        answer = self.work / "answer.txt"
        answer.unlink(missing_ok=True)
        child = multiprocessing.get_context("fork").Process(target=self.tried, args=(session, mutant, answer))
        child.start()
        child.join(limit)
        if child.is_alive():
            os.killpg(child.pid or 0, signal.SIGKILL)
            child.join()
            return "caught took too long"
        return answer.read_text() if answer.exists() else "caught the process died"

    def tried(self, session: pytest.Session, mutant: Mutant | None, answer: Path) -> None:
        os.setsid()
        if mutant is not None:
            path = self.work / "tree" / "anchorsim" / mutant.module
            source = path.read_bytes()
            old, new = (compile(text, path, "exec") for text in (source, changed(source, mutant)))
            put_in(path, new)
            name = f"anchorsim.{mutant.module.removesuffix('.py').replace('/', '.')}"
            if not only_in_functions(old, new) and not put_values(name, path, new):
                answer.write_text("aside")
                os._exit(0)
        own = "" if mutant is None else f"test_{Path(mutant.module).stem}"
        took = self.took
        items = [
            one for one in session.items if own in one.path.stem or took.get(one.path, 0.0) < self.slowest
        ]
        items.sort(key=lambda item: (own not in item.path.stem, took.get(item.path, 0.0), shares(item)))
        spent: dict[str, float] = {}
        for item, following in zip(items, [*items[1:], None], strict=True):
            begun = time.process_time()
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            spent[str(item.path)] = spent.get(str(item.path), 0.0) + time.process_time() - begun
            if session.testsfailed:
                answer.write_text(f"caught {item.nodeid.removeprefix('tests/')}")
                os._exit(0)
        if mutant is None:
            (self.work / "took.json").write_text(json.dumps(spent))
        answer.write_text("survived")
        os._exit(0)


def quickly(
    work: Path, files: Sequence[str], sample: Sequence[Mutant], slowest: float, plain: bool
) -> list[str]:
    """What became of each change of a body, all in forks of one process that has collected the tests.

    ``plain``: as if there were no compiler, so that bodies of kernels count too.
    """
    plugin = Within(work, sample, slowest, plain)
    child = multiprocessing.get_context("fork").Process(
        target=run, args=(work / "tree", files, work / "kernels", work / "told.txt", (), plugin)
    )
    child.start()
    child.join()
    first, *lines = (work / "within.txt").read_text().splitlines()
    if first != "survived":
        sys.exit(f"Tests fail on the unchanged sources: {first.removeprefix('caught ')}. Mend them first.")
    return lines


def pytest_configure() -> None:
    """As a plugin of pytest: hypothesis draws the same each time, and stops at the first that fails."""
    settings.register_profile(
        "mutations", derandomize=True, database=None, deadline=None, phases=(Phase.explicit, Phase.generate)
    )
    settings.load_profile("mutations")


def known() -> dict[tuple[str, ...], str]:
    """Reasons of the changes that need not be noticed, by module, function and changed line."""
    with SURVIVORS.open(newline="") as file:
        rows = list(csv.DictReader(file))
    return {(row["module"], row["function"], row["change"]): row["reason"] for row in rows}


def judge(
    work: Path, files: Sequence[str], sample: Iterable[Mutant], limit: float
) -> Iterator[tuple[str, str]]:
    """For each change what became of it (survived, caught or harmless), and by which test or why."""
    tree, reasons = work / "tree", known()
    for mutant in sample:
        if mutant.key in reasons:
            yield "harmless", reasons[mutant.key]
            continue
        path, original = tree / "anchorsim" / mutant.module, work / "original" / mutant.module
        path.write_bytes(changed(original.read_bytes(), mutant))
        kernels = machine_code(work, mutant.module)
        fine, failed = passes(tree, likeliest_first(files, work / "times.xml", mutant.module), kernels, limit)
        shutil.copy2(original, path)
        yield ("survived" if fine else "caught"), failed


def measure_bodies(
    work: Path, room: str, files: Sequence[str], sample: Sequence[Mutant], slowest: float, plain: bool
) -> None:
    """As :func:`measure`, with bodies of functions changed in place, and machine code left as it is."""
    reasons = known()
    became = quickly(work, files, sample, slowest, plain)
    counts = dict.fromkeys(("caught", "survived", "harmless", "aside"), 0)
    for mutant, line in zip(sample, became, strict=True):
        what, _, why = line.partition(" ")
        what, why = ("harmless", reasons[mutant.key]) if mutant.key in reasons else (what, why)
        print(f"{what:9}{mutant}{f'  ({why})' if why else ''}", flush=True)
        counts[what] += 1
    print(f"{room}: {', '.join(f'{count} {became}' for became, count in counts.items())}", flush=True)


def measure(work: Path, room: str, files: Sequence[str], sample: Sequence[Mutant]) -> None:
    """Run a room's tests as they are, then on each change, and print what became of it."""
    begun, tree, times = time.monotonic(), work / "tree", f"--junitxml={work / 'times.xml'}"
    fine, failed = passes(tree, files, work / "kernels", 3600.0, times)
    if not fine:
        sys.exit(f"tests/{room} fail on the unchanged sources: {failed}. Mend them first.")
    limit = 3.0 * (time.monotonic() - begun) + 60.0  # kernels may have to be compiled again
    counts = dict.fromkeys(("caught", "survived", "harmless"), 0)
    for mutant, (became, why) in zip(sample, judge(work, files, sample, limit), strict=True):
        print(f"{became:9}{mutant}{f'  ({why})' if why else ''}", flush=True)
        counts[became] += 1
    print(f"{room}: {', '.join(f'{count} {became}' for became, count in counts.items())}", flush=True)


def copy_of(tree: Path, work: Path) -> None:
    """The tree, and its sources once more, with their times, by which numba knows its machine code."""
    for entry in COPIED:
        copy = shutil.copytree if (tree / entry).is_dir() else shutil.copy2
        (work / "tree").mkdir(exist_ok=True)
        copy(tree / entry, work / "tree" / entry)
    shutil.copytree(tree / "anchorsim", work / "original")


def main() -> None:
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("rooms", nargs="+")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="*", default=(), help="names of modules")
    parser.add_argument("--tests", nargs="*", default=(), help="names of files of tests, in place of all")
    parser.add_argument(
        "--bodies", action="store_true", help="bodies of functions only, in place; not compiled"
    )
    parser.add_argument("--slowest", type=float, default=math.inf, help="s of a file, but for a module's own")
    parser.add_argument("--plain", action="store_true", help="with --bodies: kernels as plain Python")
    parser.add_argument("--list", action="store_true", help="print the sample and run nothing")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="mutations-") as name:
        work = Path(name)
        copy_of(TREE, work)
        for room in given.rooms:
            every = mutants(work / "tree", room, given.only)
            sample = random.Random(given.seed).sample(every, min(given.count, len(every)))
            print(f"{room}: {len(sample)} of the {len(every)} changes that can be made", flush=True)
            if given.list:
                print(*sample, sep="\n")
            elif given.bodies:
                measure_bodies(
                    work, room, suite(work / "tree", room, given.tests), sample, given.slowest, given.plain
                )
            else:
                measure(work, room, suite(work / "tree", room, given.tests), sample)


if __name__ == "__main__":
    main()

"""What ``import anchorsim`` offers: every name is what it says, whatever was imported first."""

from __future__ import annotations

import ast
import pkgutil
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import anchorsim

MODULES = {found.name for found in pkgutil.walk_packages(anchorsim.__path__, "anchorsim.")} - {
    "anchorsim.__main__"
}


def declared() -> dict[str, str]:
    """The names that a type checker sees, with the modules they come from."""
    tree = ast.parse(Path(anchorsim.__file__).read_text(encoding="utf-8"))
    (guarded,) = (node for node in tree.body if isinstance(node, ast.If))
    imports = [node for node in guarded.body if isinstance(node, ast.ImportFrom)]
    return {alias.asname or alias.name: str(node.module) for node in imports for alias in node.names}


def test_every_name_is_what_a_type_checker_takes_it_for() -> None:
    assert set(declared()) == set(anchorsim.__all__)
    for name, home in declared().items():
        own = import_module(f"{home}.statics") if name == "line" else getattr(import_module(home), name)
        assert getattr(anchorsim, name) is own
    assert anchorsim.__all__ == sorted(anchorsim.__all__)
    assert dir(anchorsim) == sorted([*anchorsim.__all__, "__version__"])


def test_no_name_is_that_of_a_module() -> None:
    """A module that is imported becomes an attribute of the package, and would stand before the name."""
    assert not {found.name for found in pkgutil.iter_modules(anchorsim.__path__)} & set(anchorsim.__all__)


def test_the_names_hold_when_every_module_was_imported_before() -> None:
    script = f"""
from importlib import import_module
for module in {sorted(MODULES)!r}:
    import_module(module)
import anchorsim
for name in anchorsim.__all__:
    found = getattr(anchorsim, name)
    assert name == "line" or found.__module__.startswith("anchorsim.") and found.__name__ == name, name
"""
    subprocess.run([sys.executable, "-c", script], check=True)


def test_what_is_raised_for_wrong_input_is_one_class_and_public() -> None:
    """Every error derives from the one that people can catch, but for what befalls workers and paper."""
    found = {
        one
        for name in sorted(MODULES)
        for one in vars(import_module(name)).values()
        if isinstance(one, type) and issubclass(one, Exception) and one.__module__ == name
    }
    others = {one.__name__ for one in found if not issubclass(one, anchorsim.AnchorsimError)}
    assert others == {"SpellsStoppedError", "SweepStoppedError", "WorkersStopped", "NoPaper"}
    internal = {
        "ColumnError",
        "Refusal",
        "HandoutError",
        "LastSurveyError",
        "LetterheadError",
        "LaunchError",
        "PhotographError",
        "ShortcutError",
        "ReadError",
        "WorkersStopped",
        "NoPaper",
    }
    assert {one.__name__ for one in found} - internal <= set(anchorsim.__all__)
    assert issubclass(anchorsim.AnchorsimError, ValueError)

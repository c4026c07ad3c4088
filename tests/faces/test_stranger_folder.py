"""A folder that a stranger handed over: nothing in it is imported, read as settings, or trusted.

Each file that lies there would leave its name in a list if Python ran it, and the traps are shown to work
where nothing keeps them from being met.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from browser.visiting import COMMAND, Lab, running
from jupyter_client.blocking.client import BlockingKernelClient
from nbformat import from_dict
from nbformat.sign import NotebookNotary

from anchorsim.core.file_lock import alone
from anchorsim.jupyter import contents
from anchorsim.jupyter.copies import RECORD, assemble
from anchorsim.jupyter.launch import HOST, LOG, STATE, THEME, Launch, LaunchError, open_explorer

INSTALLED = ("anchorsim", "numpy", "ipykernel", "IPython", "ipykernel_launcher", "traitlets", "ipywidgets")
AT_START = ("sitecustomize", "usercustomize")
OF_PYTHON = ("typing", "json", "argparse", "tomllib", "hashlib")
SERVER = ("jupyter_config", "jupyter_server_config", "jupyter_anchorsim_config", "jupyter_notebook_config")
KERNEL = ("ipython_config", "ipython_kernel_config", "startup/00_first")


@dataclass
class Trap:
    """The folder, and the list of what Python ran of it."""

    home: Path
    list: Path

    def sprung(self) -> set[str]:
        found = set(self.list.read_text(encoding="utf-8").split()) if self.list.exists() else set()
        self.list.unlink(missing_ok=True)
        return found

    def lay(self, path: str) -> None:
        text = f"open({str(self.list)!r}, 'a').write({path!r} + '\\n')\n"
        self.write(path, text)

    def write(self, path: str, content: str | dict[str, Any]) -> None:
        file = self.home / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")


def environment(trap: Trap, **more: str) -> dict[str, str]:
    left = ("JUPYTER", "IPYTHON", "NUMBA")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(left)}
    return kept | {"HOME": str(trap.home)} | more


@pytest.fixture(scope="module")
def trap(tmp_path_factory: pytest.TempPathFactory) -> Trap:
    """A folder that is the person's home too, full of what would run."""
    base = tmp_path_factory.mktemp("stranger")
    found = Trap(base / "home", base / "sprung.txt")
    for place in ("", "sub/"):
        for name in (*INSTALLED, *AT_START, *OF_PYTHON):
            found.lay(f"{place}{name}.py")
        found.write(f"{place}matplotlibrc", "text.usetex: True\n")
        found.write(f"{place}.numba_config.yaml", f"cache_dir: {found.home / 'machine code'}\n")
        found.write(f"{place}.env", f"PYTHONSTARTUP={found.home / 'numpy.py'}\n")
    hidden = ".anchorsim"
    believing = {"trustByDefault": True}
    found.write(f"{hidden}/settings/@jupyterlab/htmlviewer-extension/plugin.jupyterlab-settings", believing)
    for place in ("", "sub/", ".jupyter/", f"{hidden}/", f"{hidden}/config/", f"{hidden}/data/"):
        for name in SERVER:
            found.lay(f"{place}{name}.py")
            found.write(f"{place}{name}.json", {"ContentsManager": {"hide_globs": ["*"]}})
        found.write(f"{place}overrides.json", {"@jupyterlab/htmlviewer-extension:plugin": believing})
        found.write(f"{place}labconfig/page_config.json", {"disabledExtensions": {"anchorsim": True}})
    for place in ("", "sub/", ".ipython/profile_default/", f"{hidden}/ipython/profile_default/"):
        for name in KERNEL:
            found.lay(f"{place}{name}.py")
    spec = {"argv": [sys.executable, str(found.home / "numpy.py"), "{connection_file}"], "language": "python"}
    for place in ("", f"{hidden}/data/", ".local/share/jupyter/", "share/jupyter/"):
        for name in ("python3", "strange"):
            found.write(f"{place}kernels/{name}/kernel.json", spec | {"display_name": "A stranger's"})
    found.write("sub/signed.ipynb", signed(found))
    return found


def signed(trap: Trap) -> dict[str, Any]:
    """A notebook with a script in its output, trusted by a store of signatures that lies beside it."""
    output = {"output_type": "display_data", "metadata": {}, "data": {"text/html": "<script>0</script>"}}
    cell = {
        "cell_type": "code",
        "id": "a",
        "metadata": {},
        "source": "",
        "outputs": [output],
        "execution_count": 1,
    }
    spec = {"name": "strange", "display_name": "A stranger's", "language": "python"}
    made = {"cells": [cell], "metadata": {"kernelspec": spec}, "nbformat": 4, "nbformat_minor": 5}
    notary = NotebookNotary(data_dir=str(trap.home / ".anchorsim" / "data"))
    notary.sign(from_dict(made))
    assert notary.check_signature(from_dict(made)), "a signature that counts where it is looked for"
    return made


# The command as its script runs it, with ways of Python's that lead into the folder left for the kernels.
GIVEN = """
import os, sys
ways = [".", "", *filter(None, [os.environ.get("PYTHONPATH")])]
os.environ.update(PYTHONPATH=os.pathsep.join(ways), PYTHONSTARTUP="numpy.py", JUPYTER_PATH=".")
from anchorsim.cli import main
main()
"""


@pytest.fixture(scope="module")
def lab(trap: Trap) -> Iterator[Lab]:
    """The command, given in that folder and for it."""
    scratch = trap.home.parent / "scratch"
    scratch.mkdir()
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("TMPDIR", str(scratch))
        with running(trap.home, folder=".", command=(sys.executable, "-P", "-c", GIVEN, "open")) as found:
            yield found


def fetched(lab: Lab, path: str) -> Any:
    return urllib.request.urlopen(f"{lab.origin}{path}?token={lab.token}", timeout=20)


def asked(lab: Lab, trap: Trap, path: str, code: str) -> list[str]:
    """The lines that a kernel prints which JupyterLab would start for a notebook."""
    wanted = {"path": path, "name": path, "type": "notebook", "kernel": {"name": "python3"}}
    kernel = lab.ask("/api/sessions", "POST", wanted)["kernel"]["id"]
    (file,) = (trap.home.parent / "scratch").glob(f"anchorsim-*/runtime/kernel-{kernel}.json")
    client = BlockingKernelClient(connection_file=str(file))
    client.load_connection_file()
    client.start_channels(hb=False)  # whose beat is missed while a machine is busy
    said: list[str] = []

    def hear(message: dict[str, Any]) -> None:
        said.append(message["content"].get("text") or "\n".join(message["content"].get("traceback", [])))

    try:
        client.wait_for_ready(timeout=120)
        client.execute_interactive(code, output_hook=hear, timeout=120)
    finally:
        client.stop_channels()
    return "".join(said).splitlines()


KERNEL_SAYS = """
import os, sys
import anchorsim, numpy, matplotlib
from anchorsim.report.drawing import style
here = os.getcwd()
print([place for place in sys.path if not os.path.isabs(place) or os.path.abspath(place).startswith(here)])
print(anchorsim.__file__)
with style():
    print(matplotlib.rcParams["text.usetex"])
print(here)
"""


@pytest.mark.parametrize("place", ["", "sub/"], ids=["in the folder", "in a folder below it"])
def test_a_kernel_takes_nothing_from_the_folder_of_its_notebook(lab: Lab, trap: Trap, place: str) -> None:
    ways, package, letters, here = asked(lab, trap, f"{place}any.ipynb", KERNEL_SAYS)
    assert Path(here) == trap.home / place
    assert ways == "[]"
    assert Path(package) == Path(contents.__file__).parents[1] / "__init__.py"
    assert letters == "False"
    assert trap.sprung() == set()


def test_the_server_takes_no_settings_from_the_folder(lab: Lab, trap: Trap) -> None:
    assert "explorer.ipynb" in {one["name"] for one in lab.ask("/api/contents/")["content"]}
    assert lab.ask("/lab/api/settings/@jupyterlab/htmlviewer-extension:plugin")["settings"] == {}
    with fetched(lab, "/doc/tree/explorer.ipynb") as answer:
        page = answer.read().decode()
    config = json.loads(page.partition('type="application/json">')[2].partition("</script>")[0])
    assert "anchorsim" in {one["name"] for one in config["federated_extensions"]}
    assert "anchorsim" not in config["disabledExtensions"]
    assert trap.sprung() == set()


def test_a_page_in_a_folder_below_finds_no_links_in_what_is_remembered_there(lab: Lab, trap: Trap) -> None:
    state = trap.home / "sub" / STATE
    state.symlink_to(trap.home.parent)
    with fetched(lab, "/doc/tree/sub/any.ipynb"):
        assert not state.is_symlink()
    state.mkdir()
    (state / "survey.txt").symlink_to(trap.home.parent / "diary.txt")
    with fetched(lab, "/doc/tree/sub/any.ipynb"):
        assert list(state.iterdir()) == []


def test_there_is_one_kind_of_kernel_and_it_is_ours(lab: Lab) -> None:
    (found,) = lab.ask("/api/kernelspecs")["kernelspecs"].values()
    assert found["spec"]["display_name"] == "Python 3 (anchorsim)"
    assert found["spec"]["argv"][:2] == ["python", "-P"]


def test_a_signature_that_lies_in_the_folder_does_not_count(lab: Lab) -> None:
    (cell,) = lab.ask("/api/contents/sub/signed.ipynb")["content"]["cells"]
    assert cell["metadata"]["trusted"] is False


# The command, where another program takes the port between the look at it and the start.
FOUND_FREE = """
import sys
from anchorsim.cli import main
from anchorsim.jupyter import launch
launch.free_port = lambda wanted: {port}
sys.exit(main(sys.argv[1:]))
"""


CHOSEN = {"theme": "JupyterLab Dark", "adaptive-theme": False}  # so it no longer follows the system


def test_only_light_or_dark_is_kept_from_one_start_to_the_next(tmp_path: Path) -> None:
    """The next start finds its port taken by another, since it was found free."""
    home = tmp_path / "home"
    home.mkdir()
    with running(home) as lab:
        lab.set_theme(dark=True)
        lab.ask(
            "/lab/api/settings/@jupyterlab/htmlviewer-extension:plugin",
            "PUT",
            {"raw": '{"trustByDefault": true}'},
        )
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        command = (sys.executable, "-P", "-c", FOUND_FREE.format(port=port), "open")
        with running(home, command=command) as lab:
            assert urlsplit(lab.origin).port not in (port, None)
            held = lab.ask("/lab/api/settings/@jupyterlab/apputils-extension:themes")
            assert held["settings"] == CHOSEN
            assert lab.ask("/lab/api/settings/@jupyterlab/htmlviewer-extension:plugin")["settings"] == {}


@pytest.mark.parametrize(
    ("file", "kind"), [("page.html", "text/html"), ("script.js", "text/plain"), ("module.mjs", "text/plain")]
)
def test_a_file_is_served_as_what_runs_nothing(lab: Lab, trap: Trap, file: str, kind: str) -> None:
    trap.write(file, "<script>0</script>")
    with fetched(lab, f"/files/{file}") as answer:
        assert answer.headers.get_content_type() == kind
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        allowed = answer.headers["Content-Security-Policy"].split("; ")
        assert {"default-src 'none'", "sandbox"} <= set(allowed)  # nothing after "sandbox": scripts neither


@pytest.mark.parametrize("page", ["/nbconvert/html/sub/signed.ipynb", "/view/page.html"])
def test_no_other_page_is_made_of_a_file(lab: Lab, page: str) -> None:
    with pytest.raises(urllib.error.HTTPError, match="404"):
        fetched(lab, page)


# --- the command line ---


def test_the_command_runs_nothing_of_the_folder_it_is_given_in(trap: Trap) -> None:
    trap.write("mine.toml", 'format = 1\n[spot]\ndepth = "7.5 m"\n')
    done = subprocess.run(
        [*COMMAND, "check", "mine.toml"],
        cwd=trap.home,
        env=environment(trap),
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "mine.toml: no errors found\n"), done.stderr
    assert trap.sprung() == set()


def test_machine_code_that_lies_in_the_folder_is_not_loaded(trap: Trap) -> None:
    code = "import numba, anchorsim.core.jit as j; j.compiled(lambda x: x); print(numba.config.CACHE_DIR)"
    command = [sys.executable, "-P", "-c", code]
    done = subprocess.run(
        command, cwd=trap.home, env=environment(trap), capture_output=True, text=True, check=True
    )
    assert Path(done.stdout.strip()).parent == Path(contents.__file__).parents[1] / "__pycache__"


def test_as_a_module_it_imports_nothing_of_the_folder_but_what_python_does_before(trap: Trap) -> None:
    """Python imports ``anchorsim.py`` there before any line of ours is run: that name is left out."""
    elsewhere = Trap(trap.home.parent / "elsewhere", trap.list)
    for name in (*INSTALLED, *AT_START, "pydantic", "pint", "scipy", "tomli_w"):
        if name != "anchorsim":
            elsewhere.lay(f"{name}.py")
    elsewhere.write("mine.toml", 'format = 1\n[spot]\ndepth = "7.5 m"\n')
    command = [sys.executable, "-m", "anchorsim", "check", "mine.toml"]
    given = environment(trap)
    done = subprocess.run(command, cwd=elsewhere.home, env=given, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "mine.toml: no errors found\n"), done.stderr
    assert trap.sprung() == set()


def test_the_log_says_why_the_server_did_not_start_and_replaces_nothing_that_a_link_leads_to(
    tmp_path: Path,
) -> None:
    other = tmp_path / "diary.txt"
    other.write_text("mine", encoding="utf-8")
    log = tmp_path / "home" / STATE / LOG
    log.parent.mkdir(parents=True)
    theme = log.parent / "settings" / THEME
    theme.parent.mkdir(parents=True)
    notebook, nowhere = tmp_path / "home" / "survey.ipynb", tmp_path / "nowhere.txt"
    for link in (log, log.parent / RECORD, theme):
        link.symlink_to(other)
    notebook.symlink_to(nowhere)
    os.mkfifo(log.parent / "lock")
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        command = [sys.executable, "-P", "-c", FOUND_FREE.format(port=port), "open", "--no-browser"]
        wanted = ["--port", str(port), "--folder", str(tmp_path / "home")]
        done = subprocess.run([*command, *wanted], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, f"anchorsim: The server stopped unexpectedly. See {log}.\n")
    assert f"port {port} is not available" in log.read_text(encoding="utf-8")
    assert other.read_text(encoding="utf-8") == "mine"
    assert not nowhere.exists()
    assert not any(path.is_symlink() or path.is_fifo() for path in log.parent.rglob("*"))


def test_a_folder_of_ours_that_is_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / LOG).write_text("mine", encoding="utf-8")
    (tmp_path / STATE).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(LaunchError, match=r"a link\. Expected a folder of our own\. Move it elsewhere\.$"):
        open_explorer(Launch(tmp_path, "explorer.ipynb"))
    assert (tmp_path / "elsewhere" / LOG).read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "record", ["[]", '{"explorer.ipynb": 5}', '{"explorer.ipynb": [5]}', "[" * 100_000, "\0"]
)
def test_a_record_of_copies_that_is_none_counts_as_empty(tmp_path: Path, record: str) -> None:
    (tmp_path / STATE).mkdir()
    (tmp_path / STATE / RECORD).write_text(record, encoding="utf-8")
    assert assemble(tmp_path, tmp_path / STATE, "explorer.ipynb").left_alone is None
    assert assemble(tmp_path, tmp_path / STATE, "explorer.ipynb").left_alone is None


def test_a_pipe_in_place_of_the_lock_keeps_nobody_waiting(tmp_path: Path) -> None:
    (tmp_path / STATE).mkdir()
    os.mkfifo(tmp_path / STATE / "lock")
    with alone(tmp_path) as first:
        assert first


# --- the traps work ---


@pytest.mark.parametrize("place", ["", "sub/"], ids=["in the folder", "in a folder below it"])
def test_what_lies_there_would_run_if_python_looked(trap: Trap, place: str) -> None:
    names = (*INSTALLED, *OF_PYTHON)
    code = f"import contextlib\nfor name in {names}:\n with contextlib.suppress(Exception): __import__(name)"
    given = environment(trap, PYTHONPATH="")
    subprocess.run(
        [sys.executable, "-c", code], cwd=trap.home / place, env=given, check=False, capture_output=True
    )
    assert trap.sprung() >= {f"{place}{name}.py" for name in names}
    given = environment(trap, PYTHONPATH=f".{os.pathsep}")
    subprocess.run(
        [sys.executable, "-c", ""], cwd=trap.home / place, env=given, check=False, capture_output=True
    )
    assert trap.sprung() >= {f"{place}sitecustomize.py"}


def test_the_settings_would_be_read_if_jupyter_looked(trap: Trap) -> None:
    hidden = trap.home / ".anchorsim"
    code = """
from ipykernel.kernelapp import IPKernelApp
from jupyter_client.kernelspec import KernelSpecManager
from jupyter_server.serverapp import ServerApp
import matplotlib, numba
server = ServerApp()
server.load_config_file()
kernel = IPKernelApp()
kernel.init_profile_dir()
kernel.init_config_files()
kernel.load_config_file()
print("strange" in KernelSpecManager().find_kernel_specs(), server.config.ContentsManager.hide_globs)
print(matplotlib.rcParams["text.usetex"], numba.config.CACHE_DIR)
"""
    given = environment(
        trap,
        JUPYTER_CONFIG_DIR=str(hidden / "config"),
        JUPYTER_DATA_DIR=str(hidden / "data"),
        IPYTHONDIR=str(hidden / "ipython"),
    )
    command = [sys.executable, "-P", "-c", code]
    done = subprocess.run(command, cwd=trap.home, env=given, capture_output=True, text=True, check=False)
    assert done.stdout == f"True ['*']\nTrue {trap.home / 'machine code'}\n", done.stderr
    config, profile = ".anchorsim/config", ".anchorsim/ipython/profile_default"
    assert trap.sprung() >= {
        f"{config}/jupyter_config.py",
        f"{config}/jupyter_server_config.py",
        f"{profile}/ipython_config.py",
        f"{profile}/ipython_kernel_config.py",
    }

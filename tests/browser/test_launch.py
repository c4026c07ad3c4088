"""From the command to a moving picture: by itself, offline, and leaving the person's own Jupyter alone."""

from __future__ import annotations

import json
import time
import urllib.error
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from anchorsim.jupyter.contents import MARK
from anchorsim.scenario.scenario import Scenario
from browser.visiting import SIZES, START, Lab, Visit, running, visit

pytestmark = pytest.mark.browser

CODE_IN_SIGHT = """() => [...document.querySelectorAll('.jp-Cell-inputWrapper, .jp-InputPlaceholder')]
    .filter((element) => element.offsetHeight > 0).length"""


@pytest.fixture(scope="module")
def first(
    tmp_path_factory: pytest.TempPathFactory, browser: Browser
) -> Iterator[tuple[Lab, Visit, dict[str, float]]]:
    """A first start in a home that holds the settings of a Jupyter of the person's own."""
    home = tmp_path_factory.mktemp("person")
    own = home / ".jupyter" / "lab" / "user-settings"
    own.mkdir(parents=True)
    (own / "keep.json").write_text("{}", encoding="utf-8")
    (home / ".jupyter" / "jupyter_server_config.json").write_text(
        json.dumps({"ServerApp": {"base_url": "/elsewhere/"}}), encoding="utf-8"
    )
    with running(home, folder=None) as lab:
        times = {"server answers": time.monotonic() - lab.began}
        found = visit(browser.new_context(viewport={"width": SIZES["desk"][0], "height": SIZES["desk"][1]}))
        found.page.goto(lab.url)
        found.page.wait_for_selector(".jp-NotebookPanel .jp-Cell", state="attached")
        times["notebook open"] = time.monotonic() - lab.began
        found.page.wait_for_selector(".anchorsim-explorer", timeout=120_000)
        times["explorer there"] = time.monotonic() - lab.began
        found.wait_for_picture()
        times["picture there"] = time.monotonic() - lab.began
        yield lab, found, times
        found.page.context.close()


Started = tuple[Lab, Visit, dict[str, float]]


def test_the_command_leads_to_a_moving_picture_by_itself(
    first: Started, capsys: pytest.CaptureFixture[str]
) -> None:
    _, found, times = first
    before = float(found.page.locator(".anchorsim-player").get_attribute("data-time") or "nan")
    found.page.wait_for_function(
        "(before) => Number(document.querySelector('.anchorsim-player').dataset.time) > before + 1",
        arg=before,
    )
    with capsys.disabled():
        print("\n  command to " + ", ".join(f"{name} {seconds:.1f} s" for name, seconds in times.items()))


def test_it_says_where_it_is_and_how_to_stop(first: Started) -> None:
    lab, _, _ = first
    assert lab.url.startswith("http://127.0.0.1:")
    assert len(lab.token) >= 32
    assert lab.said[-1] == "in your browser. Keep this window open; press Ctrl-C to stop."


def test_the_server_sends_no_pings_that_a_page_at_rest_would_miss(first: Started) -> None:
    """Where it sends some, tornado says in the log that Jupyter's time to answer them is too long."""
    lab, _, _ = first
    log = (lab.home / "anchorsim" / ".anchorsim" / "server.log").read_text(encoding="utf-8")
    assert "Connecting to kernel" in log
    assert "ping" not in log


def test_no_code_is_in_sight(first: Started) -> None:
    _, found, _ = first
    assert found.page.evaluate(CODE_IN_SIGHT) == 0
    assert found.page.locator(".jp-NotebookPanel-toolbar").is_hidden()
    assert found.page.locator(".jp-SideBar:visible").count() == 0


def test_the_server_refuses_whoever_has_no_token(first: Started) -> None:
    lab, _, _ = first
    stranger = Lab(lab.origin + "/?token=", lab.home, 0.0, [])
    with pytest.raises(urllib.error.HTTPError, match="403"):
        stranger.ask("/api/contents")


def test_the_persons_own_jupyter_is_left_alone(first: Started) -> None:
    lab, _, _ = first
    assert sorted(path.name for path in lab.home.iterdir() if path.name != ".cache") == [
        ".jupyter",
        "anchorsim",
    ]
    left = sorted(
        str(path.relative_to(lab.home / ".jupyter")) for path in (lab.home / ".jupyter").rglob("*.json")
    )
    assert left == ["jupyter_server_config.json", "lab/user-settings/keep.json"]


def test_the_page_can_be_left_without_a_question(first: Started) -> None:
    _, found, _ = first
    found.page.mouse.click(5, 400)  # a browser asks only on behalf of a page that was touched
    found.page.reload()
    found.wait_for_picture()
    assert found.dialogs == []


def test_the_explorer_moves_to_a_second_tab_and_back(first: Started) -> None:
    lab, found, _ = first
    second = visit(found.page.context)
    second.page.goto(lab.url)
    second.wait_for_picture()
    assert second.foreign(lab.origin) == []
    notice = found.page.get_by_role("alert").filter(has_text="Reload this page to use it here.")
    notice.wait_for()
    found.page.get_by_role("button", name="Reload").click()
    found.wait_for_picture()
    second.page.close()


def test_code_of_another_origin_waits_for_a_click(first: Started) -> None:
    lab, found, _ = first
    notebook = json.loads((lab.home / "anchorsim" / "explorer.ipynb").read_text(encoding="utf-8"))
    notebook["cells"][0]["source"] = "open('ran.txt', 'w').close()"
    notebook["metadata"][MARK] = True  # as the server marks those that ship
    (lab.home / "anchorsim" / "stranger.ipynb").write_text(json.dumps(notebook), encoding="utf-8")
    other = visit(found.page.context)
    other.page.goto(f"{lab.origin}/doc/tree/stranger.ipynb")
    other.page.wait_for_selector(".jp-NotebookPanel .jp-Cell", state="attached")
    other.page.wait_for_selector('.jp-Notebook-ExecutionIndicator[data-status="idle"]', state="attached")
    other.page.wait_for_timeout(2000)
    other.page.close()
    assert not (lab.home / "anchorsim" / "ran.txt").exists()


def test_what_is_typed_counts_at_enter_and_what_was_just_typed_is_saved(first: Started) -> None:
    lab, found, _ = first
    page = found.page
    found.unfold("Spot")
    box = {
        name: page.locator(".anchorsim-inputs .anchorsim-amount", has_text=name).locator("input[type=number]")
        for name in ("Charted depth", "Scope")
    }
    run = page.locator(".anchorsim-player").get_attribute("data-run")
    box["Charted depth"].fill("25")
    box["Charted depth"].press("Enter")
    moved = "(run) => document.querySelector('.anchorsim-player').dataset.run !== run"
    page.wait_for_function(moved, arg=run)
    page.get_by_role("button", name="Open…").click()
    page.get_by_label("Save as", exact=True).fill("typed")
    box["Scope"].fill("4.2")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Saved as typed.toml").wait_for()
    saved = Scenario.load(lab.home / "anchorsim" / "typed.toml")
    assert (saved.spot.depth.m_as("m"), saved.tackle.scope) == (25.0, 4.2)


def test_nothing_is_asked_of_the_network(first: Started) -> None:
    lab, found, _ = first
    assert len(found.requests) > 20
    assert found.foreign(lab.origin) == []
    assert found.errors == []


def test_the_named_scenario_is_the_one_that_opens(browser: Browser, tmp_path: Path) -> None:
    scenario = tmp_path / "mine.toml"
    scenario.write_text('format = 1\n[spot]\ndepth = "7.5 m"\n', encoding="utf-8")
    home = tmp_path / "home"
    home.mkdir()
    with running(home, str(scenario)) as lab:
        found = visit(browser.new_context())
        found.page.goto(lab.url)
        depth = found.page.locator(".anchorsim-amount", has_text="Charted depth")
        expect(depth.locator("input[type=number]")).to_have_value("7.5", timeout=START)
        found.page.context.close()

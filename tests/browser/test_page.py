"""What is round a screen: the frame before it, JupyterLab out of reach until asked for, light and dark."""

from __future__ import annotations

import json
import string
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from anchorsim.jupyter.server import lab_folder
from browser.access import violations
from browser.visiting import EXPOSED, START, Lab, Visit, visit

pytestmark = pytest.mark.browser

SCREEN = ".anchorsim-explorer"
# What the notebook is, as its model has it, and whether its first output is the element it was.
NOTEBOOK = """() => {
  const panel = window.jupyterapp.shell.currentWidget, cells = [...panel.content.model.cells];
  const written = (cell) => [cell.id, cell.type, cell.sharedModel.getSource(), cell.executionCount ?? 0];
  return {
    cells: cells.map(written),
    same: document.querySelector('.anchorsim-explorer')?.marked === true,
    mode: panel.content.mode,
    over: [...document.querySelectorAll('.jp-Dialog, .lm-Menu, #modal-command-palette')]
      .filter((one) => one.checkVisibility()).length,
    name: panel.context.path,
  };
}"""
MARKED = "() => { document.querySelector('.anchorsim-explorer').marked = true; }"
# Where the parts of the frame and of the screen are, before and after the one takes the other's place.
RECORD = """(() => {
  window.frameWas = null;
  const parts = ['strip', 'view-above', 'view-side', 'view-parts', 'time'];
  window.placed = (prefix) => parts.map((part) => {
    const box = document.querySelector(`.${prefix}-${part}`).getBoundingClientRect();
    return [box.x, box.y, box.width, box.height].map(Math.round);
  });
  const look = () => {
    const frame = document.getElementById('anchorsim-frame');
    if (frame && !window.frameWas) {
      const said = frame.querySelector('[role=status]').textContent;
      const lab = Boolean(document.querySelector('.jp-LabShell'));
      window.frameWas = { placed: placed('starting'), said, lab };
    }
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();"""
IN_SIGHT = """() => ['#jp-menu-panel', '#jp-top-panel', '.jp-NotebookPanel-toolbar', '.jp-SideBar',
  '#jp-main-statusbar', '.jp-InputArea-editor', '.jp-skiplink']
    .filter((part) => document.querySelector(part)?.checkVisibility())"""
KINDS = {  # a part of each kind that can be clicked, and what is on it
    "slider": ".anchorsim-inputs input[type=range]",
    "entry": ".anchorsim-inputs input[type=number]",
    "dial": ".anchorsim-inputs svg",
    "page": ".anchorsim-head [role=tab][aria-selected=true]",
    "picture": ".anchorsim-view-above .js-plotly-plot",
    "player": ".anchorsim-player button",
    "headline of a group, which folds it": ".anchorsim-inputs button",
}
CUTTING = ["x", "d", "d", "a", "b", "c", "v", "z", "m", "y", "r", "j", "k", "Shift+M", "0", "0", "i", "i"]
NAMES = {"Accel": "Control", "Ctrl": "Control"}


def shortcuts() -> set[str]:
    """All keys that JupyterLab's settings bind, as they are pressed."""
    found = set()
    for path in (lab_folder() / "schemas").rglob("*.json"):
        for one in json.loads(path.read_text(encoding="utf-8")).get("jupyter.lab.shortcuts", []):
            for keys in filter(None, one["keys"]):
                *held, key = keys.split(" ")
                found.add(
                    "+".join(
                        [*(NAMES.get(name, name) for name in held), key.lower() if len(key) == 1 else key]
                    )
                )
    return found


@pytest.fixture(scope="module")
def there(lab: Lab, browser: Browser) -> Iterator[Visit]:
    """The explorer in a window of the smallest desk size; no colours were chosen, and the system is light."""
    lab.stop_kernels()
    lab.forget_theme()
    found = visit(browser.new_context(viewport={"width": 1280, "height": 720}, color_scheme="light"))
    found.page.add_init_script(EXPOSED)
    found.page.add_init_script(RECORD)
    found.page.goto(lab.url)
    found.wait_for_picture()
    found.page.evaluate(MARKED)
    yield found
    found.page.context.close()
    assert found.errors == []
    assert found.foreign(lab.origin) == []


def test_the_frame_stands_before_jupyterlab_does_and_the_screen_takes_its_place(there: Visit) -> None:
    was = there.page.evaluate("window.frameWas")
    assert was["said"] == "PreparingThe first start takes up to a minute."
    assert was["lab"] is False
    assert there.page.locator("#anchorsim-frame").count() == 0
    assert was["placed"] == there.page.evaluate("placed('anchorsim')")


@pytest.mark.parametrize("size", [(1280, 720), (1400, 900), (1920, 1080)])
def test_the_screen_has_the_window_to_itself(there: Visit, size: tuple[int, int]) -> None:
    page = there.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.wait_for_timeout(300)
    assert page.locator(SCREEN).bounding_box() == {"x": 0, "y": 0, "width": size[0], "height": size[1]}
    scrolls = page.evaluate(
        """() => ['.jp-WindowedPanel-outer', 'html'].map((name) => document.querySelector(name))
            .map((one) => [one.scrollHeight - one.clientHeight, one.scrollWidth - one.clientWidth])"""
    )
    assert scrolls == [[0, 0], [0, 0]]
    page.set_viewport_size({"width": 1280, "height": 720})


def test_nothing_of_jupyterlab_is_in_sight(there: Visit) -> None:
    assert there.page.evaluate(IN_SIGHT) == []


def test_what_is_round_the_screen_breaks_no_rule_of_access(there: Visit) -> None:
    assert violations(there.page, without=[SCREEN]) == []


def test_what_breaks_a_rule_of_access_would_be_found(there: Visit) -> None:
    page = there.page
    page.evaluate(
        """() => document.body.insertAdjacentHTML('beforeend',
            '<main id="broken"><img src="data:,"><input style="color: #eee"></main>')"""
    )
    found = violations(page, "#broken")
    page.evaluate("() => document.getElementById('broken').remove()")
    assert {line.split(" ")[0] for line in found} >= {"image-alt", "label"}


@pytest.mark.parametrize("kind", KINDS)
def test_no_key_that_cuts_or_runs_does_so_after_a_click(there: Visit, kind: str) -> None:
    page = there.page
    before = page.evaluate(NOTEBOOK)
    page.locator(f"{KINDS[kind]}:visible").first.click()
    press(page, CUTTING)
    assert page.evaluate(NOTEBOOK) == before


def test_no_key_at_all_does_anything_to_the_notebook(there: Visit) -> None:
    """Every printable one and every shortcut of JupyterLab's, on the ground and on a cell."""
    page = there.page
    before = page.evaluate(NOTEBOOK)
    assert before["same"] and before["over"] == 0 and before["mode"] == "command"
    assert len(shortcuts()) > 90
    page.mouse.click(3, 400)  # the ground beside the entries
    press(
        page, [*string.ascii_letters, *string.digits, *string.punctuation, " ", "Enter", "Escape", "Delete"]
    )
    press(page, sorted(shortcuts() - {"Tab", "Shift+Tab"}))
    assert page.evaluate(NOTEBOOK) == before
    page.evaluate(
        "() => document.querySelector('.jp-Cell').focus()"
    )  # where JupyterLab itself puts the focus
    press(page, sorted(shortcuts() - {"Tab", "Shift+Tab"}))
    assert page.evaluate(NOTEBOOK) == before
    assert page.evaluate(IN_SIGHT) == []


def press(page: Page, keys: list[str]) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_jupyterlabs_menu_does_not_open_over_the_screen(there: Visit) -> None:
    page = there.page
    page.mouse.click(3, 400, button="right")
    assert page.locator(".lm-Menu").count() == 0


def test_the_keys_of_the_browser_stay_its_own(there: Visit) -> None:
    """What a page takes from the browser it says to the event; saving the page is all it takes here."""
    page = there.page
    page.mouse.click(3, 400)
    taken = page.evaluate(
        """async () => {
          const keys = { reload: ['r', true], print: ['p', true], larger: ['+', true], help: ['F1', false],
            again: ['F5', false], next: ['Tab', false], save: ['s', true] };
          return Object.fromEntries(Object.entries(keys).map(([name, [key, ctrlKey]]) => {
            const event = new KeyboardEvent('keydown', { key, ctrlKey, bubbles: true, cancelable: true });
            document.activeElement.dispatchEvent(event);
            return [name, event.defaultPrevented];
          }));
        }"""
    )
    assert taken == {name: name == "save" for name in taken}


def test_the_notebook_is_shown_when_asked_for_and_hidden_again(there: Visit, lab: Lab) -> None:
    page = there.page
    before = page.evaluate(NOTEBOOK)
    button = page.get_by_role("button", name="Show notebook")
    button.scroll_into_view_if_needed()
    button.click()
    page.locator("#jp-menu-panel").wait_for()
    assert {"#jp-menu-panel", ".jp-NotebookPanel-toolbar", ".jp-InputArea-editor"} <= set(
        page.evaluate(IN_SIGHT)
    )
    page.locator(".jp-Cell").nth(1).evaluate("(cell) => cell.focus()")
    page.keyboard.press("x")  # as in any notebook: the keys are JupyterLab's again
    assert len(page.evaluate(NOTEBOOK)["cells"]) == len(before["cells"]) - 1
    page.keyboard.press("z")
    assert len(page.evaluate(NOTEBOOK)["cells"]) == len(before["cells"])
    page.get_by_role("button", name="Hide notebook").first.click()
    assert page.evaluate(IN_SIGHT) == []
    press(page, CUTTING)
    assert len(page.evaluate(NOTEBOOK)["cells"]) == len(before["cells"])
    assert page.locator(SCREEN).bounding_box() == {"x": 0, "y": 0, "width": 1280, "height": 720}


def test_the_colours_follow_the_system_until_a_person_chooses(there: Visit, lab: Lab) -> None:
    page = there.page
    light = "(light) => document.body.dataset.jpThemeLight === light"
    page.wait_for_function(light, arg="true")
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(light, arg="false", timeout=START)
    change = "(theme) => window.jupyterapp.commands.execute('apputils:change-theme', { theme })"
    page.evaluate(change, "JupyterLab Light")
    page.wait_for_function(light, arg="true")
    page.emulate_media(color_scheme="light")
    page.evaluate(change, "JupyterLab Dark")
    page.wait_for_function(light, arg="false")
    page.emulate_media(color_scheme="dark")
    page.emulate_media(color_scheme="light")
    page.wait_for_timeout(500)
    assert page.evaluate("document.body.dataset.jpThemeLight") == "false"


def test_the_frame_comes_in_the_colours_that_were_chosen(there: Visit, lab: Lab) -> None:
    """Chosen in the test before: dark, in a system that is light."""
    page = there.page
    page.wait_for_timeout(1000)  # JupyterLab saves what was chosen after a moment
    page.goto(lab.url, wait_until="commit")
    page.locator("#anchorsim-frame").wait_for()
    ground = page.locator("#anchorsim-frame").evaluate("(frame) => getComputedStyle(frame).backgroundColor")
    assert ground == "rgb(15, 23, 29)"  # --ground of the dark colours in look.css
    lab.forget_theme()


def test_a_notebook_that_is_not_ours_comes_as_jupyterlab_shows_it(lab: Lab, browser: Browser) -> None:
    own = json.loads((lab.home / "explorer" / "explorer.ipynb").read_text(encoding="utf-8"))
    own["cells"][0]["source"] = "1 + 1"
    Path(lab.home, "explorer", "own.ipynb").write_text(json.dumps(own), encoding="utf-8")
    found = visit(browser.new_context())
    found.page.add_init_script(EXPOSED)
    found.page.goto(f"{lab.origin}/doc/tree/own.ipynb?token={lab.token}")
    cell = found.page.locator(".jp-Cell").first
    cell.wait_for(timeout=START)
    assert found.page.locator("#anchorsim-frame, .anchorsim-corner").count() == 0
    cell.evaluate("(cell) => cell.focus()")
    found.page.keyboard.press("b")
    assert len(found.page.evaluate(NOTEBOOK)["cells"]) == len(own["cells"]) + 1
    found.page.context.close()

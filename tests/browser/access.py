"""What axe-core finds wrong in a page, by the rules of WCAG 2.2 A and AA and its own of good practice.

Its script comes with a package and is put in by the browser's debugger, which no policy of a page binds: the
page is looked at as people get it, and nothing is fetched.
"""

from __future__ import annotations

from collections.abc import Sequence

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

COLOURS = ["color-contrast", "link-in-text-block"]  # the rules that dark may break where light does not
STANDARDS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def turn(page: Page, dark: bool) -> None:
    """Have the system's colours dark or light, and the page follow, where no one has chosen."""
    page.emulate_media(color_scheme="dark" if dark else "light")
    page.wait_for_function("light => document.body.dataset.jpThemeLight === light", arg=str(not dark).lower())
    page.wait_for_timeout(1000)  # ms, in which the pictures follow


def violations(
    page: Page, within: str = "body", without: Sequence[str] = (), *, colours: bool = False
) -> list[str]:
    """A line for each part of the page that breaks a rule: the rule, how grave, where, and what to do.

    ``without`` names parts to leave out by selectors, for those that another test looks at; ``colours``:
    by the rules of colour alone, for a page whose other rules were gone through in light.
    """
    context = {"include": [[within]], "exclude": [[part] for part in without]}
    only = {"type": "rule", "values": COLOURS} if colours else {"type": "tag", "values": STANDARDS}
    options = {"runOnly": only, "resultTypes": ["violations"]}
    found = Axe().run(page, context=context, options=options).response["violations"]
    return [
        f"{rule['id']} ({rule['impact']}): {' '.join(map(str, node['target']))}: {node['failureSummary']}"
        for rule in found
        for node in rule["nodes"]
    ]

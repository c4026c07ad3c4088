"""What tests of several kinds share."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Generator, Iterator
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Collect without looking for garbage, of which there is next to none: two fifths of the time went there.

    What was collected stays to the end, and is not gone through again while the tests run.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()
        gc.freeze()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium without a window: ``CHROMIUM`` names one, else the one that is installed.

    Where there is none the tests that need it fail; they are not passed over.  One for each module, because
    while it is open its event loop counts as running, which tests of what waits for a loop must not meet.
    """
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - half a second most tests need not wait

    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if path is None:
        pytest.fail(
            "no Chromium was found; install it (Debian: apt-get install chromium) or name one in CHROMIUM"
        )
    root = hasattr(os, "geteuid") and os.geteuid() == 0  # as root Chromium has no sandbox to offer
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"] if root else [])
        yield found
        found.close()


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """With ``EVERY_TEST`` set, as in ``.ci/run``, name what was passed over, for then it is a failure."""
    for report in _passed_over(config):
        terminalreporter.write_line(f"NOT RUN {report.nodeid}: {report.longrepr}", red=True)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """With ``EVERY_TEST`` set, fail where a test was skipped, or let fail."""
    if session.exitstatus == pytest.ExitCode.OK and _passed_over(session.config):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def _passed_over(config: pytest.Config) -> list[Any]:
    reporter: Any = config.pluginmanager.get_plugin("terminalreporter")
    if reporter is None or not os.environ.get("EVERY_TEST"):
        return []
    return [report for outcome in ("skipped", "xfailed") for report in reporter.stats.get(outcome, [])]

"""A real browser on the program as it really runs, and builds to try it on.

One `manage.py serve` and one browser serve all the tests; each test has a build of its own.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect, sync_playwright

from tests import needs
from tests.browser.devices import DEVICES, Device
from tests.browser.watching import Watch
from tests.served import ROOT, Served, environment, served

PATIENCE_MS = 30_000


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(autouse=True)
def a_data_folder() -> None:
    """The rows and files here are those of the served program."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = os.environ.get("CHROMIUM") or needs.program(
        "chromium", "chromium-browser", "google-chrome"
    )
    as_root = hasattr(os, "geteuid") and os.geteuid() == 0
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox"] if as_root else []
        )
        yield running
        running.close()


@dataclass
class Site:
    """The running program, and the maker of builds in it."""

    running: Served
    maker: subprocess.Popen[str]

    @property
    def address(self) -> str:
        return self.running.address

    def make(self, what: str, **more: Any) -> Any:
        assert self.maker.stdin and self.maker.stdout
        self.maker.stdin.write(json.dumps({"make": what, **more}) + "\n")
        self.maker.stdin.flush()
        answer = json.loads(self.maker.stdout.readline())
        assert "error" not in answer, answer["error"]
        return answer["made"]


@contextlib.contextmanager
def site_in(folder: Path) -> Iterator[Site]:
    with served(folder) as running:
        maker = subprocess.Popen(
            [sys.executable, "-m", "tests.browser.scenes"],
            cwd=ROOT, env=environment(folder), text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        try:
            yield Site(running, maker)
        finally:
            maker.communicate(timeout=10)


@pytest.fixture(scope="session")
def site(browser: Browser, folder_once_served: Path, tmp_path_factory) -> Iterator[Site]:
    folder = shutil.copytree(folder_once_served, tmp_path_factory.mktemp("site") / "data")
    with site_in(Path(folder)) as running:
        yield running


@dataclass
class Scene:
    """A build of the test's own: see `scenes.make_scene` for what is in it."""

    site: Site
    made: dict[str, Any]

    def __getitem__(self, name: str) -> Any:
        return self.made[name]

    def url(self, path: str = "") -> str:
        return f"{self.site.address}b/{self.made['slug']}/{path}"

    def task(self, code: str, path: str = "") -> str:
        return self.url(f"tasks/{self.made['tasks'][code]}/{path}")


@pytest.fixture
def scene(site: Site) -> Scene:
    return Scene(site, site.make("scene"))


@pytest.fixture(params=DEVICES, ids=lambda device: device.name)
def device(request: pytest.FixtureRequest) -> Device:
    return request.param


@pytest.fixture
def open_window(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Open a window of a device, signed in or not. What goes wrong in it fails the test."""
    contexts: list[tuple[BrowserContext, Watch]] = []

    def open_one(device: Device, address: str = "", session: str = "", **more: Any) -> Page:
        context = browser.new_context(**device.options, **more)
        context.set_default_timeout(PATIENCE_MS)
        context.set_default_navigation_timeout(PATIENCE_MS)
        if session:
            context.add_cookies([{"name": "sessionid", "value": session, "url": address}])
        contexts.append((context, Watch(context)))
        return context.new_page()

    yield open_one
    for context, _ in contexts:
        context.close()
    found = [line for _, watch in contexts for line in watch.found]
    assert not found, "\n".join(found)


@pytest.fixture
def page(open_window, device: Device, scene: Scene) -> Page:
    """The owner's window on the scene."""
    return open_window(device, scene.site.address, scene["owner"]["session"])


@pytest.fixture
def press(device: Device) -> Callable[[Locator], None]:
    """A thumb on a phone, a mouse at the desk."""
    return lambda place: place.tap() if device.is_phone else place.click()

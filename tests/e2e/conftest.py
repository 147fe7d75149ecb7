"""A running service with two sites, and a real Chromium that tells of everything it should not have met."""

import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, ViewportSize, sync_playwright

from app.db import open_database
from app.deps import today
from app.main import create_app
from app.settings import Settings
from seed_demo.loader import survey_files
from survey.bundle import Survey, parse
from survey.repository import import_survey
from tests.builders import SurveyBuilder

TODAY = date(2026, 11, 25)
DESK = ViewportSize(width=1280, height=800)
TABLET = ViewportSize(width=800, height=1280)
PHONE = ViewportSize(width=390, height=844)
SIZES = {"desk": DESK, "tablet": TABLET, "phone": PHONE}
STARTS_WITHIN_S = 30.0
QUIET = (
    "--no-sandbox",  # the tests may run as root, where Chromium's own sandbox does not start
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""Keeps the browser from looking anything up on its own."""


@dataclass(frozen=True)
class Service:
    """Where the service listens, and the sites it holds."""

    address: str
    store: Survey
    """The smallest of the demo sites: one room, ten pallets, two drains."""
    bare: Survey
    """One drum, and nothing else."""

    def of(self, survey: Survey) -> str:
        return f"{self.address}/sites/{survey.site.id}"


@dataclass
class Visit:
    """A page in a browser, and what the browser complained of."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    hosts: set[str] = field(default_factory=set)


def _bare() -> Survey:
    build = SurveyBuilder("Bare lock-up")
    build.floor("Hall", width_m=6, depth_m=5)
    build.pallet("L-01", at=(3, 2))
    build.drum("L-01-1", product="ethylene-glycol")
    return build.survey()


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """Run the application on a free port of this machine."""
    settings = Settings(data_dir=tmp_path_factory.mktemp("service"), render_processes=0, what_if_processes=0)
    store = parse(next(path for path in survey_files() if "tessaly" in path.name).read_bytes(), max_bytes=10**7)
    bare = _bare()
    database = open_database(settings)
    with database.writing() as session:
        for survey in (store, bare):
            import_survey(session, survey, by="browser tests")
    database.close()
    app = create_app(settings)
    app.dependency_overrides[today] = lambda: TODAY
    with socket.create_server(("127.0.0.1", 0)) as listening:
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        deadline = time.monotonic() + STARTS_WITHIN_S
        while not server.started and thread.is_alive() and time.monotonic() < deadline:
            time.sleep(0.02)
        assert server.started, "the service did not start"
        yield Service(f"http://127.0.0.1:{listening.getsockname()[1]}", store, bare)
        server.should_exit = True
        thread.join()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start the Chromium of the machine; Playwright brings none."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    assert program is not None, "no chromium: python3 -m tests installs it"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()


Open = Callable[..., Visit]


@pytest.fixture
def visit(browser: Browser, service: Service) -> Iterator[Open]:
    """Open pages; at the end of the test nothing may have been complained of, and no other host asked."""
    visits: list[Visit] = []
    contexts: list[BrowserContext] = []

    def open_page(
        address: str,
        size: ViewportSize = DESK,
        *,
        script: bool = True,
        theme: str = "light",
        touch: bool = False,
    ) -> Visit:
        context = browser.new_context(
            viewport=size,
            java_script_enabled=script,
            color_scheme="dark" if theme == "dark" else "light",
            has_touch=touch,
        )
        contexts.append(context)
        made = Visit(context.new_page())
        visits.append(made)
        _listen(made)
        made.page.goto(address)
        return made

    yield open_page
    for made in visits:
        assert made.complaints == []
        assert made.hosts <= {service.address}
    for context in contexts:
        context.close()


def _listen(made: Visit) -> None:
    def on_console(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            made.complaints.append(message.text)

    def on_request(request: Request) -> None:
        made.hosts.add("/".join(request.url.split("/")[:3]))

    def on_failure(request: Request) -> None:
        # A page that is left while its icon is still on the way gives that request up; nothing failed then. What is
        # refused, blocked or not answered fails under other names, and a blocked one complains on the console too.
        if request.failure != "net::ERR_ABORTED":
            made.complaints.append(f"failed: {request.url} ({request.failure})")

    made.page.on("console", on_console)
    made.page.on("pageerror", lambda error: made.complaints.append(str(error)))
    made.page.on("requestfailed", on_failure)
    made.page.on("request", on_request)


@pytest.fixture(scope="session")
def axe() -> str:
    """Give the accessibility checker as a script."""
    return (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")

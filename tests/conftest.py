"""A running server over the demo rules, for tests that send raw bytes."""

import importlib.util
import os
import shutil
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import date
from pathlib import Path
from types import ModuleType

import httpx
import pytest
from litestar import Litestar
from playwright.sync_api import Browser, sync_playwright

from evenhang.app import create_app
from evenhang.demo import OFFER_KEY, RULES
from evenhang.rulebook.book import RuleBook, load_book
from evenhang.sealing.keys import load_seals
from evenhang.serving import server_of

ROOT = Path(__file__).parents[1]


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """Laws over random input run the same lines thousands of times: coverage does not count them, which would take as long again.

    So what is counted as covered is covered by tests by hand. Only this thread's tracing rests, and only coverage's.
    """
    tracing = sys.gettrace()
    if not getattr(getattr(item, "obj", None), "is_hypothesis_test", False) or not type(tracing).__module__.startswith("coverage"):
        return (yield)
    sys.settrace(None)
    try:
        return (yield)
    finally:
        sys.settrace(tracing)


@pytest.fixture(scope="session")
def book() -> RuleBook:
    return load_book(RULES)


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextmanager
def running(app: Litestar) -> Iterator[str]:
    """The address of the app, served as the command line serves it."""
    port = free_port()
    server = server_of(app, port=port)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    for _ in range(200):
        if server.started:
            break
        time.sleep(0.05)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(10)


@pytest.fixture(scope="session")
def serve() -> Callable[[Litestar], AbstractContextManager[str]]:
    """Serve an app of the test's own: `with serve(app) as address`."""
    return running


@pytest.fixture(scope="session")
def server(book: RuleBook) -> Iterator[str]:
    with running(create_app(book, lambda: date(2026, 5, 1), seals=load_seals(OFFER_KEY, demo=True))) as address:
        yield address


@pytest.fixture
def client(server: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=server, trust_env=False) as made:
        yield made


QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
    "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",  # a made-up camera, for the desk
)  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The one headless Chromium of all tests: a second driver beside it does not start. Without one: a skip by hand, a failure in CI."""
    names = ("chromium-headless-shell", "chromium", "chromium-browser")  # the first is the same engine without windows: half the time
    found = next(filter(None, map(shutil.which, names)), None)
    if found is None:
        how = "there is no Chromium: apt-get install chromium"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=Path(found), args=list(QUIET))
        yield made
        made.close()


@pytest.fixture(scope="session")
def serve_desk() -> ModuleType:
    """demo_clients/tablet/serve.py, which is a script and in no package."""
    spec = importlib.util.spec_from_file_location("desk_server", ROOT / "demo_clients/tablet/serve.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module

"""A running server over the demo rules, for tests that send raw bytes."""

import contextlib
import socket
import threading
import time
from collections.abc import Iterator
from datetime import date

import httpx
import pytest
import uvicorn
from litestar import Litestar

from evenhang.app import create_app
from evenhang.demo import RULES
from evenhang.rulebook.book import RuleBook, load_book


@pytest.fixture(scope="session")
def book() -> RuleBook:
    return load_book(RULES)


@contextlib.contextmanager
def running(app: Litestar) -> Iterator[str]:
    """The address of a server that runs the app on a free port of the loopback, for as long as the context lasts."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    made = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_config=None))
    thread = threading.Thread(target=made.run, daemon=True)
    thread.start()
    for _ in range(200):
        if made.started:
            break
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}"
    made.should_exit = True
    thread.join(10)


@pytest.fixture(scope="session")
def server(book: RuleBook) -> Iterator[str]:
    with running(create_app(book, lambda: date(2026, 5, 1))) as address:
        yield address


@pytest.fixture
def client(server: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=server, trust_env=False) as made:
        yield made

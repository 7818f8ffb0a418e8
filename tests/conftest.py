"""A running server over the demo rules, for tests that send raw bytes."""

import socket
import threading
import time
from collections.abc import Iterator
from datetime import date

import httpx
import pytest
import uvicorn

from evenhang.app import create_app
from evenhang.demo import OFFER_KEY, RULES
from evenhang.rulebook.book import RuleBook, load_book
from evenhang.sealing.keys import load_seals


@pytest.fixture(scope="session")
def book() -> RuleBook:
    return load_book(RULES)


@pytest.fixture(scope="session")
def server(book: RuleBook) -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    running = uvicorn.Server(
        uvicorn.Config(
            create_app(book, lambda: date(2026, 5, 1), load_seals(OFFER_KEY, demo=True)), host="127.0.0.1", port=port, log_config=None
        )
    )
    thread = threading.Thread(target=running.run, daemon=True)
    thread.start()
    for _ in range(200):
        if running.started:
            break
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}"
    running.should_exit = True
    thread.join(10)


@pytest.fixture
def client(server: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=server, trust_env=False) as made:
        yield made

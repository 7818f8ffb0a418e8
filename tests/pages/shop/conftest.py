"""The shop, built as its script builds it, from a running service that lets its pages call, and served on loopback."""

import json
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import date
from http.server import ThreadingHTTPServer
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from litestar import Litestar

from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook

SHOP = Path(__file__).parents[3] / "demo_clients" / "shop"


@dataclass
class Built:
    """A built shop: its folder, its address, and the service behind it."""

    folder: Path
    address: str
    service: str
    done: subprocess.CompletedProcess[str]

    def page(self, name: str) -> str:
        return (self.folder / "site" / name).read_text(encoding="utf-8")


def build(folder: Path, service: str, address: str, *more: str | Path, key: str = "") -> subprocess.CompletedProcess[str]:
    """The build script in a process of its own."""
    words = ["--service", service, "--address", address, "--kept", folder / "kept", "--out", folder / "site", *more]
    env = {"PATH": os.environ["PATH"], "EVENHANG_KEY": key, "PYTHONWARNINGS": "error"}
    return subprocess.run([sys.executable, SHOP / "build.py", *words], env=env, capture_output=True, text=True, check=False, timeout=60)


def changed_works(folder: Path, change: Callable[[dict[str, Any]], None]) -> Path:
    """The shop's catalogue with something changed in the works of one workshop; only that workshop's."""
    works = [row for row in json.loads((SHOP / "works.json").read_text()) if row["member"] == "alder-lane"]
    for row in works:
        change(row)
    file = folder / "works.json"
    file.write_text(json.dumps(works))
    return file


@pytest.fixture(scope="session")
def own() -> SimpleNamespace:
    """To build a shop of the test's own."""
    return SimpleNamespace(build=build, changed_works=changed_works)


@contextmanager
def served(site: Path, port: int) -> Iterator[None]:
    spec = spec_from_file_location("shop_serve", SHOP / "serve.py")
    assert spec
    assert spec.loader
    serve = module_from_spec(spec)
    spec.loader.exec_module(serve)
    server: ThreadingHTTPServer = serve.server_of(site, port)
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


@pytest.fixture(scope="session")
def shop(
    book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Built]:
    folder = tmp_path_factory.mktemp("shop")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    address = f"http://127.0.0.1:{port}"
    with serve(create_app(book, lambda: date(2026, 5, 1), origins=(address,))) as service:
        done = build(folder, service, address)
        assert done.returncode == 0, done.stderr
        with served(folder / "site", port):
            yield Built(folder, address, service, done)

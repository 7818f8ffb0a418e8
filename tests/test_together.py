"""Service, shop and desk started by one command, asked, and ended by one signal."""

import itertools
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from evenhang import together


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_one_command_starts_all_three_and_one_signal_ends_them(end: signal.Signals) -> None:
    service, shop, desk = (free_port() for _ in range(3))
    with subprocess.Popen(demo(service, shop, desk), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as running:
        try:
            assert running.stdout is not None
            said = "".join(itertools.takewhile(lambda line: line != "Ctrl-C ends all three.\n", running.stdout))
            with httpx.Client(trust_env=False, timeout=10) as client:
                for address, words_there in ((f"{service}/docs", "evenhang"), (f"{shop}/", "EUR"), (f"{desk}/", "<html")):
                    assert f"http://127.0.0.1:{address}" in said
                    assert words_there in answer_of(client, f"http://127.0.0.1:{address}")
        finally:
            running.send_signal(end)
            assert running.wait(60) == 0
    for port in (service, shop, desk):
        with pytest.raises(httpx.TransportError):
            httpx.get(f"http://127.0.0.1:{port}/", trust_env=False, timeout=5)


def answer_of(client: httpx.Client, address: str) -> str:
    """What stands there; shop and desk may take a moment to listen."""
    for _ in range(50):
        try:
            return client.get(address).raise_for_status().text
        except httpx.TransportError:
            time.sleep(0.2)
    return ""


def demo(service: int, shop: int, desk: int) -> list[str]:
    return [sys.executable, "-m", "evenhang", "demo", "--port", str(service), "--shop-port", str(shop), "--desk-port", str(desk)]


@pytest.mark.parametrize(("taken", "option"), [(0, "--port"), (1, "--shop-port"), (2, "--desk-port")])
def test_a_taken_port_is_told_and_nothing_is_started(taken: int, option: str) -> None:
    ports = [free_port() for _ in range(3)]
    with socket.socket() as other:
        other.bind(("127.0.0.1", ports[taken]))
        other.listen()
        run = subprocess.run(demo(*ports), capture_output=True, text=True, check=False, timeout=60)
    assert (run.returncode, run.stdout) == (1, "")
    assert f"port {ports[taken]} is taken" in run.stderr
    assert run.stderr.endswith(f": {option}\n")
    assert run.stderr.count("\n") == 1


def test_one_port_for_two_is_told() -> None:
    port = free_port()
    with pytest.raises(together.NotTogether, match="is taken"):
        together.run_together(free_port(), port, port, print)


def test_one_that_ends_is_a_fault(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in ("shop/build.py", "shop/serve.py", "tablet/serve.py"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("import time\n" + ("time.sleep(600)\n" if name == "shop/serve.py" else ""))
    monkeypatch.setattr(together, "CLIENTS", tmp_path)
    with pytest.raises(together.NotTogether, match="the desk has ended"):
        together.run_together(free_port(), free_port(), free_port(), lambda line: None)


def test_without_the_clients_it_says_where_they_are(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(together, "CLIENTS", tmp_path)
    with pytest.raises(together.NotTogether, match="checkout"):
        together.run_together(1, 2, 3, print)

"""What the scripts say when what answers is no evenhang, when the key is none, and when somebody stops them."""

import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "demo_clients" / "scripts"
ALDER = FOLDER / "alder-lane.csv"
SOLD = b"id,medium,outlet,sold_on,height,width,price,hours\nw,oil,studio,2026-04-01,30,40,250.00,3\n"
Run = Callable[..., subprocess.CompletedProcess[bytes]]


@contextmanager
def somebody_else(status: int, body: bytes, asked: threading.Event | None = None) -> Iterator[str]:
    """An address at which something else answers every POST; where `asked` wants to know of it, only after a while."""

    class Other(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            if asked:
                asked.set()
                time.sleep(5)
            self.rfile.read(int(self.headers["content-length"]))
            self.send_response(status)
            self.send_header("content-length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *words: object) -> None:
            pass

    other = HTTPServer(("127.0.0.1", 0), Other)
    thread = threading.Thread(target=other.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{other.server_port}"
    finally:
        other.shutdown()
        other.server_close()


@pytest.mark.parametrize("key", ["of\nthe-desk", "of-thé-desk", "of-the-desk\x7f"])
def test_a_key_that_no_header_can_hold_is_refused_at_once_and_never_shown(run: Run, key: str) -> None:
    done = run("price", ALDER, "--member", "alder-lane", EVENHANG_KEY=key)
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"EVENHANG_KEY holds a sign that no header can carry" in done.stderr
    assert b"desk" not in done.stderr
    assert b"once more in" not in done.stderr


def test_white_space_around_a_key_is_none_of_it(run: Run) -> None:
    done = run("price", ALDER, "--member", "alder-lane", EVENHANG_KEY=" of-the-desk\n")
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize("address", ["http://[::1", "http://", "https://:80", "http://here:x", "ftp://here"])
def test_an_address_that_is_none_is_told_so(run: Run, address: str) -> None:
    done = run("price", ALDER, "--member", "alder-lane", "--service", address)
    assert (done.returncode, b"is no address of a service" in done.stderr, b"Traceback" in done.stderr) == (2, True, False)


STRANGE = b'{"rows": [{}], "yields": 1, "settlement": [], "findings": [{}], "works": {}, "feel": null, "left_out_works": [{}]}'


@pytest.mark.parametrize(
    ("job", "status", "body"),
    [
        *((job, 200, STRANGE) for job in ("price", "settle", "season", "check", "review", "feel")),
        ("price", 200, b"{}"),
        ("settle", 400, b'{"errors": [{"detail": "no"}]}'),
        ("settle", 404, b'{"type": "about:blank", "status": 404}'),
        ("price", 401, b"<p>Who is there?</p>"),
        ("check", 422, b'{"type": "/problems/x", "status": 422, "errors": [{"detail": "no"}]}'),
    ],
)
def test_an_answer_of_somebody_else_is_none(run: Run, job: str, status: int, body: bytes) -> None:
    with somebody_else(status, body) as address:
        done = run(job, "-", "--member", "alder-lane", "--service", address, stdin=SOLD)
    assert (done.returncode, done.stdout) == (3, b"")
    assert b"is no evenhang" in done.stderr
    assert done.stderr.count(b"\n") == 1


@pytest.mark.parametrize("job", ["price", "settle", "season"])
def test_an_address_with_v1_blames_no_member(run: Run, server: str, job: str) -> None:
    done = run(job, "-", "--member", "alder-lane", "--service", f"{server}/v1", stdin=SOLD)
    assert (done.returncode, done.stdout) == (3, b"")
    assert b"without /v1" in done.stderr
    assert b"--member" not in done.stderr


def test_whoever_stops_a_script_gets_one_line() -> None:
    asked = threading.Event()
    with somebody_else(200, b"{}", asked) as address:
        command = [sys.executable, FOLDER / "evenhang_scripts.py", "price", ALDER, "--member", "alder-lane", "--service", address]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
            assert asked.wait(20)
            running.send_signal(signal.SIGINT)
            out, told = running.communicate(timeout=20)
    assert (running.returncode, out, told.count(b"\n")) == (130, b"", 1)
    assert told.startswith(b"Stopped")

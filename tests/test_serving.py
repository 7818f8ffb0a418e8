"""The service as a process: what it refuses to start with, keys made and used, and how it ends."""

import contextlib
import json
import logging
import os
import pty
import signal
import socket
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from click.testing import CliRunner
from tests.rulebook.folders import OWN, edited, write

from evenhang.api.access import load_keys
from evenhang.api.asked import Asked
from evenhang.cli import main
from evenhang.logs import PlainLines

QUOTE = {"work": {"medium": "oil", "format": "30f"}}


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextlib.contextmanager
def started(log: Path, *options: str, **environment: str) -> Iterator[tuple[subprocess.Popen[bytes], str]]:
    """A process of its own that serves, once it is ready."""
    port = free_port()
    with log.open("wb") as out:
        command = [sys.executable, "-m", "evenhang", "serve", "--port", str(port), *options]
        process = subprocess.Popen(command, stderr=out, env={**os.environ, **environment})
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(300):
            with contextlib.suppress(httpx.TransportError):
                if httpx.get(f"{address}/health/ready", trust_env=False).status_code == 200:
                    break
            assert process.poll() is None, log.read_text()
            time.sleep(0.1)
        yield process, address
    finally:
        process.kill()
        process.wait(10)


def test_a_new_key_opens_what_it_names(tmp_path: Path) -> None:
    said = ["new-key", "--name", 'the "till"', "--scope", "books", "--member", "alder-lane"]
    made = CliRunner().invoke(main, said).stdout
    token, _, block = made.partition("\n")
    assert len(token) == 43
    assert tomllib.loads(block)["keys"][0]["members"] == ["alder-lane"]
    (tmp_path / "keys.toml").write_text(block)
    with started(tmp_path / "log", "--keys", str(tmp_path / "keys.toml"), "--host", "0.0.0.0") as (_, address):
        key = {"Authorization": f"Bearer {token}"}
        path = f"{address}/v1/members/alder-lane/quotes"
        asked: dict[str, Any] = {"json": {**QUOTE, "view": "member"}, "trust_env": False}
        assert httpx.post(path, headers=key, **asked).status_code == 200
        assert httpx.post(path, **asked).status_code == 401
        assert httpx.get(f"{address}/v1/members", headers={"Host": "anything.example"}, trust_env=False).status_code == 200
    lines = [json.loads(line) for line in (tmp_path / "log").read_text().splitlines() if line.startswith("{")]
    asked_for = [line for line in lines if line["event"] == "request" and line["route"] == "/v1/members/{member}/quotes"]
    assert [(line["status"], line["key"]) for line in asked_for] == [(200, 'the "till"'), (401, "")]
    assert token not in (tmp_path / "log").read_text()


@pytest.mark.parametrize(
    "said", [[], ["--name", "x"], ["--name", "x", "--scope", "desk"], ["--name", "x", "--scope", "desk", "--member", "a", "--all-members"],
             ["--name", "x", "--scope", "public", "--all-members"]]
)  # fmt: skip
def test_a_key_without_reach_is_not_made(said: list[str]) -> None:
    assert CliRunner().invoke(main, ["new-key", *said]).exit_code == 2


@pytest.mark.parametrize(("said", "words"), [
    (["--name", "", "--member", "a"], "$.keys[0].name"), (["--name", "x" * 300, "--member", "a"], "$.keys[0].name"),
    (["--name", "x", "--member", "No Body"], "$.keys[0].members[0]"), (["--name", "a\x7f", "--member", "a"], "line 2"),
    (["--name", "a\udcff", "--member", "a"], "surrogates"),
])  # fmt: skip
def test_a_key_that_would_be_refused_at_the_start_is_not_made(said: list[str], words: str) -> None:
    run = CliRunner().invoke(main, ["new-key", "--scope", "desk", *said])
    assert (run.exit_code, run.stdout) == (2, "")
    assert words in run.stderr


def test_a_key_may_have_a_name_in_any_script(tmp_path: Path) -> None:
    made = CliRunner().invoke(main, ["new-key", "--scope", "desk", "--all-members", "--name", "Kasse \N{ARTIST PALETTE} é"]).stdout
    (tmp_path / "keys.toml").write_text(made.partition("\n")[2], encoding="utf-8")
    assert load_keys(tmp_path / "keys.toml").keys[0].name == "Kasse \N{ARTIST PALETTE} é"


def test_what_cannot_be_written_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for words in (
        ["new-offer-key", str(tmp_path / "file")],
        ["export-contract", str(tmp_path)],
        ["export-contract", str(tmp_path / "a/b")],
    ):
        run = CliRunner().invoke(main, words)
        assert (run.exit_code, run.stderr.count("\n")) == (1, 1)
        assert run.stderr.startswith(f"Error: {words[1]} cannot be written: ")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--host", "0.0.0.0"], "without a key file only loopback"), (["--keys", "none.toml"], "none.toml"),
        (["--rules", "none"], "not served"), (["--port", "70000"], "port"),
    ],
)  # fmt: skip
def test_it_does_not_start_with_a_mistake(options: list[str], words: str) -> None:
    run = CliRunner().invoke(main, ["serve", *options])
    assert run.exit_code == 1
    assert words in run.output


def test_without_keys_it_answers_for_loopback_only(tmp_path: Path) -> None:
    """A page elsewhere whose name is made to lead here (DNS rebinding) gets nothing."""
    with started(tmp_path / "log") as (_, address):
        assert "loopback only" in (tmp_path / "log").read_text()
        assert httpx.get(f"{address}/v1/members", trust_env=False).status_code == 200
        assert httpx.get(f"{address}/v1/members", headers={"Host": "localhost:1"}, trust_env=False).status_code == 200
        strange = httpx.get(f"{address}/v1/members", headers={"Host": "evil.example"}, trust_env=False)
        assert (strange.status_code, strange.json()["type"]) == (421, "/problems/wrong-host")


def doubtful(folder: Path) -> Path:
    """Rules that are served, with one warning."""
    return write(folder, edited(OWN, "octavo = 85", "octavo = 83"))


def test_every_line_of_the_log_is_json_from_the_first_on(tmp_path: Path) -> None:
    with started(tmp_path / "log", "--rules", str(doubtful(tmp_path / "rules"))):
        lines = [json.loads(line) for line in (tmp_path / "log").read_text().splitlines()]
    assert lines[0]["event"].endswith("loopback only: every caller sees everything.")
    assert lines[1]["event"].startswith("No keys for offers")
    (warned,) = [line for line in lines if line["level"] == "warning"]
    assert warned["event"].startswith(f"{OWN}: line ")
    assert "media.book.schedule.prices.octavo" in warned["event"]


def test_who_watches_at_a_terminal_reads_plain_words(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "evenhang", "serve", "--port", str(free_port()), "--rules", str(doubtful(tmp_path / "rules"))]
    with subprocess.Popen(command, stderr=theirs) as process:
        os.close(theirs)
        said = ""
        while "Press CTRL+C" not in said:
            said += os.read(ours, 65536).decode()
        process.terminate()
    os.close(ours)
    first = said.splitlines()
    assert first[0].startswith("evenhang on http://127.0.0.1:")
    assert first[2].startswith(f"warning: {OWN}: line ")
    assert "{" not in said


def test_a_request_and_a_fault_in_plain_words() -> None:
    asked = Asked({"method": "GET", "path": "/v1/members", "query_string": b"secret=1", "headers": []})
    asked.status = 200
    record = logging.makeLogRecord({"levelno": logging.INFO, "levelname": "INFO", "msg": "request", "asked": asked, "ms": 1.25})
    assert PlainLines().format(record) == "GET /v1/members 200, 1.25 ms"
    asked.path = b"/v1/\x1b[2J\x9b2J\n"
    assert PlainLines().format(record) == r"GET /v1/\x1b[2J\x9b2J\n 200, 1.25 ms"
    burst = ValueError("burst")
    fault = logging.makeLogRecord(
        {"levelno": logging.ERROR, "levelname": "ERROR", "msg": "unhandled", "exc_info": (ValueError, burst, None)}
    )
    assert PlainLines().format(fault) == "error: unhandled\nValueError: burst"


def test_readiness_turns_before_the_listener_closes(tmp_path: Path) -> None:
    with started(tmp_path / "log", EVENHANG_DRAIN_SECONDS="2") as (process, address):
        process.send_signal(signal.SIGTERM)
        told = time.monotonic()
        seen = set()
        while time.monotonic() - told < 1.5:
            ready = httpx.get(f"{address}/health/ready", trust_env=False)
            seen.add(ready.status_code)
            if ready.status_code == 503:
                assert ready.headers["retry-after"]
                assert ready.json()["type"] == "/problems/not-ready"
            asked = httpx.get(f"{address}/v1/members", trust_env=False)
            assert asked.status_code == 200, "answers go on until the listener closes"
        assert 503 in seen
        assert process.wait(15) == 0
        assert time.monotonic() - told >= 2


def test_a_second_signal_does_not_wait(tmp_path: Path) -> None:
    with started(tmp_path / "log", EVENHANG_DRAIN_SECONDS="60") as (process, address):
        process.send_signal(signal.SIGTERM)
        for _ in range(50):
            if httpx.get(f"{address}/health/ready", trust_env=False).status_code == 503:
                break
            time.sleep(0.05)
        process.send_signal(signal.SIGTERM)
        process.wait(15)

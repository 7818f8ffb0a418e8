"""Raw bytes over a socket to the running service, and what comes back."""

import json
import re
import socket
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import pytest


@dataclass
class Answer:
    """One answer as it stood on the wire."""

    status: int
    headers: dict[str, str]
    body: bytes
    raw: bytes = field(repr=False, default=b"")

    def problem(self) -> dict[str, Any]:
        """The problem document; the test fails where the answer is none."""
        assert self.headers["content-type"] == "application/problem+json", self.raw[:500]
        problem: dict[str, Any] = json.loads(self.body)
        assert problem["status"] == self.status
        assert re.fullmatch("/problems/[a-z-]+", problem["type"])
        assert problem["title"]
        assert problem["detail"]
        assert len(self.body) < 2_000, "refused input is never echoed at length"
        assert "Traceback" not in problem["detail"]
        return problem


def parsed(raw: bytes) -> Answer:
    head, _, body = raw.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    headers = {name.lower(): value.strip() for name, _, value in (line.partition(":") for line in lines)}
    if headers.get("transfer-encoding") == "chunked":
        pieces = []
        while (size := int(body.split(b"\r\n", 1)[0] or b"0", 16)) > 0:
            start = body.index(b"\r\n") + 2
            pieces.append(body[start : start + size])
            body = body[start + size + 2 :]
        body = b"".join(pieces)
    return Answer(int(first.split(" ")[1]), headers, body, raw)


def exchange(address: str, sent: bytes, *, patience: float = 10) -> bytes:
    """Everything that comes back until the service closes."""
    host, _, port = address.removeprefix("http://").partition(":")
    with socket.create_connection((host, int(port)), timeout=patience) as wire:
        wire.sendall(sent)
        got = b""
        while piece := wire.recv(65_536):
            got += piece
        return got


Send = Callable[..., Answer]


@pytest.fixture
def send(server: str) -> Send:
    """Send a request as bytes: `send(method, target, body, headers...)`; `raw=` sends exactly those bytes."""

    def one(method: str = "GET", target: str = "/", body: bytes = b"", *headers: str, raw: bytes | None = None) -> Answer:
        if raw is None:
            lines = [f"{method} {target} HTTP/1.1", "Host: localhost", "Connection: close", *headers]
            if body or method == "POST":
                lines.append(f"Content-Length: {len(body)}")
            raw = "\r\n".join(lines).encode("latin-1") + b"\r\n\r\n" + body
        return parsed(exchange(server, raw))

    return one

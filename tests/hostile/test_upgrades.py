"""A wish to go on in another protocol: passed over, the request answered as if it were not there (RFC 9110, section 7.8)."""

import socket
import time

import pytest

from evenhang.api.limits import MOST_HEADERS

BODY = b'{"works":[]}'
WISH = b"Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\nHTTP2-Settings: AAEAAEAAAAIAAAAB\r\n"
HEAD = b"POST /v1/quotes HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"


def exchange(server: str, *pieces: bytes, answers: int = 1) -> list[bytes]:
    """The first lines of that many answers to pieces that are sent one after another over one connection."""
    host, _, port = server.removeprefix("http://").partition(":")
    with socket.create_connection((host, int(port)), timeout=5) as wire:
        for piece in pieces:
            wire.sendall(piece)
            time.sleep(0.05)
        got = b""
        while got.count(b"HTTP/1.1 ") < answers and (piece := wire.recv(65_536)):
            got += piece
    return [b"HTTP/1.1 " + part.split(b"\r\n", 1)[0] for part in got.split(b"HTTP/1.1 ")[1:]]


@pytest.mark.parametrize("wish", [b"", WISH, WISH.replace(b"h2c", b"websocket")])
@pytest.mark.parametrize("apart", [0, 1, 2])
def test_the_body_is_read_all_the_same(server: str, wish: bytes, apart: int) -> None:
    """With its length or in chunks, with the head or after it, byte by byte, and another request after it."""
    for framing, body in (
        (b"Content-Length: %d" % len(BODY), BODY),
        (b"Transfer-Encoding: chunked", b"%x\r\n%s\r\n0\r\n\r\n" % (len(BODY), BODY)),
    ):
        head = HEAD + wish + framing + b"\r\n\r\n"
        after = b"GET /health/live HTTP/1.1\r\nHost: localhost\r\n\r\n"
        pieces = [[head + body + after], [head, body, after], [head[:90], head[90:] + body[:3], body[3:] + after]][apart]
        assert exchange(server, *pieces, answers=2) == [b"HTTP/1.1 200 OK"] * 2


def test_what_is_refused_still_is(server: str) -> None:
    many = b"".join(b"X-%d: a\r\n" % i for i in range(MOST_HEADERS + 5))
    assert exchange(server, HEAD + WISH + many + b"Content-Length: 12\r\n\r\n" + BODY)[0].startswith(b"HTTP/1.1 431")
    assert exchange(server, b"CONNECT a:1 HTTP/1.1\r\nHost: a:1\r\n\r\n")[0].startswith(b"HTTP/1.1 4")
    assert exchange(server, b"CONNECT a:1 HTTP/1.1\r\nHost: a:1\r\n" + WISH + b"\r\n")[0].startswith(b"HTTP/1.1 4")
    assert exchange(server, b"GET /health/live HTTP/1.1\r\nHost: localhost\r\n" + WISH + b"\r\n") == [b"HTTP/1.1 200 OK"]

"""The running server: uvicorn with its own refusals as problem documents, and a stop that is announced before it comes.

Knows the server; knows no operation.
"""

import time
from types import FrameType
from typing import Any

import httptools
import uvicorn
from litestar import Litestar
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from evenhang.api.house import House
from evenhang.api.problems import plain_problem
from evenhang.api.translation import encode

KEEP_ALIVE_SECONDS = 75  # longer than a proxy in front keeps an idle connection, so that it never sends into a closing one


class Wire(HttpToolsProtocol):
    """HTTP/1.1 as uvicorn speaks it; bytes that are no HTTP get a problem document as well.

    A wish to go on in another protocol is passed over (RFC 9110, section 7.8), and the request answered as if it were not there. The
    parser ends such a request at its head and the body would be lost; Java's own client says the wish with every plain request.
    """

    def data_received(self, data: bytes) -> None:
        self._unset_keepalive_if_required()
        try:
            self.parser.feed_data(data)
        except httptools.HttpParserUpgrade as upgrade:
            if self._wishes_for_more():
                head = self._head_without_the_wish()
                self.parser = httptools.HttpRequestParser(self)
                self.data_received(head + data[upgrade.args[0] :])
        except httptools.HttpParserError:
            self.logger.warning("Invalid HTTP request received.")
            self.send_400_response("")

    def on_headers_complete(self) -> None:
        if not self._wishes_for_more():
            super().on_headers_complete()

    def on_message_complete(self) -> None:
        if not self._wishes_for_more():
            super().on_message_complete()

    def _wishes_for_more(self) -> bool:
        return self.parser.should_upgrade() and any(name == b"upgrade" for name, _ in self.headers)

    def _head_without_the_wish(self) -> bytes:
        version = self.parser.get_http_version().encode()
        kept = (name + b": " + value for name, value in self.headers if name not in (b"upgrade", b"http2-settings"))
        return b"\r\n".join([self.parser.get_method() + b" " + self.url + b" HTTP/" + version, *kept, b"", b""])

    def send_400_response(self, msg: str) -> None:
        plain = plain_problem(400)
        body = encode(type(plain)(plain.type, plain.title, 400, "This is no HTTP request that is understood here."))
        head = (
            "HTTP/1.1 400 Bad Request\r\ncontent-type: application/problem+json\r\ncache-control: no-store\r\n"
            f"x-content-type-options: nosniff\r\ncontent-length: {len(body)}\r\nconnection: close\r\n\r\n"
        )
        self.transport.write(head.encode() + body)
        self.transport.close()


class Server(uvicorn.Server):
    """A server whose readiness turns before its listener closes: a balancer sees it and sends nothing more in the meantime."""

    def __init__(self, config: uvicorn.Config, house: House, drain_seconds: float = 0) -> None:
        super().__init__(config)
        self.house = house
        self.drain_seconds = drain_seconds
        self._close_at: float | None = None

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """The first signal turns readiness; the listener closes when the time is over, or at a second signal."""
        if self.drain_seconds <= 0 or self.house.draining:
            super().handle_exit(sig, frame)
            return
        self.house.draining = True
        self._close_at = time.monotonic() + self.drain_seconds

    async def on_tick(self, counter: int) -> bool:
        """Called ten times a second."""
        if self._close_at is not None and time.monotonic() >= self._close_at:
            self.should_exit = True
        return await super().on_tick(counter)


def server_of(app: Litestar, *, host: str = "127.0.0.1", port: int = 8317, drain_seconds: float = 0, **more: Any) -> Server:
    """The server of an app, not yet running; `more` goes to uvicorn's configuration."""
    said: dict[str, Any] = {"log_config": None, **more}
    config = uvicorn.Config(
        app,
        host=host,
        port=port,
        http=Wire,
        loop="uvloop",
        ws="none",
        access_log=False,
        server_header=False,
        timeout_keep_alive=KEEP_ALIVE_SECONDS,
        timeout_graceful_shutdown=30,
        **said,
    )
    return Server(config, app.state.house, drain_seconds)

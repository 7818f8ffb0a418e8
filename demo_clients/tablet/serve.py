"""The front desk: serves the page to this machine alone and passes its questions on, with the desk's key, which the page never sees.

Knows no prices. The standard library is all it needs.

    EVENHANG_DESK_KEY=... python demo_clients/tablet/serve.py [--service http://127.0.0.1:8317] [--port 8320]

Only what a buyer may see is asked: a question with hours, a cost's amount, another view than the public one, or a what-if is refused here
already, so that even a service without keys shows nothing private at the desk.
"""

import argparse
import gzip
import hashlib
import http.client
import json
import os
import re
import sys
import urllib.error
import urllib.parse
import urllib.request
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

PAGE = Path(__file__).parent / "page"
KINDS = {
    ".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".txt": "text/plain; charset=utf-8",
}  # fmt: skip
NAME = "[a-z0-9][a-z0-9-]{0,62}"
# What the page may ask: nothing else passes, whatever the key would reach.
ALLOWED = (
    ("GET", re.compile(rf"/v1/(members|formats|members/{NAME}/(choices|guide))")),
    ("POST", re.compile(rf"/v1/(offers/verify|members/{NAME}/(quotes|offers|ladders))")),
)
PRIVATE = frozenset({"hours", "try", "framing"})
MOST_BYTES = 64_000
PATIENCE = 6.0  # seconds for an answer, before the desk says that the service is away
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "manifest-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=()",
    "Cross-Origin-Resource-Policy": "same-origin",
}
DIRECT = urllib.request.build_opener(urllib.request.ProxyHandler({}))  # the service is named, no proxy of the machine's stands between


class Asset:
    """A file of the page, read once: its bytes, packed too, its kind and its tag."""

    def __init__(self, path: Path) -> None:
        self.kind = KINDS[path.suffix]
        self.raw = path.read_bytes()
        self.packed = gzip.compress(self.raw, mtime=0)
        self.tag = f'"{hashlib.sha256(self.raw).hexdigest()[:32]}"'


def load_page(folder: Path = PAGE) -> dict[str, Asset]:
    """Every file of the page by its address; nothing else can be reached."""
    found = {f"/{path.name}": Asset(path) for path in sorted(folder.iterdir()) if path.suffix in KINDS}
    return {"/": found["/index.html"], **found}


def private_in(said: Any, path: str = "#") -> str | None:
    """Where a question asks for what only the member may see; None where it does not."""
    if isinstance(said, list):
        return next((at for i, row in enumerate(said) if (at := private_in(row, f"{path}/{i}"))), None)
    if not isinstance(said, dict):
        return None
    for name, value in said.items():
        here = f"{path}/{name}"
        stated = name == "costs" and isinstance(value, list) and any(isinstance(row, dict) and "amount" in row for row in value)
        if name in PRIVATE or stated or (name == "view" and value != "public"):
            return here
        if at := private_in(value, here):
            return at
    return None


def is_address(text: str) -> bool:
    """Whether that is where a service can be: a scheme, a host, perhaps a port, and nothing after them."""
    try:
        parts = urllib.parse.urlsplit(text)
        whole = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:  # a port or an IPv6 address that is none
        return False
    return whole and parts.path in ("", "/") and not parts.query and not parts.fragment


def checked_key(key: str) -> str:
    """The key without the white space that a file put around it. ValueError, which does not tell the key, where no header can carry it."""
    key = key.strip()
    if not re.fullmatch("[!-~]*", key):
        raise ValueError("The desk's key holds a space or a sign that no header can carry: copy it anew, as new-key printed it.")
    return key


class Desk(ThreadingHTTPServer):
    """The desk's server on loopback: the page, the service behind it, and the key."""

    daemon_threads = True

    def __init__(self, service: str, key: str = "", port: int = 0) -> None:
        self.key = checked_key(key)
        super().__init__(("127.0.0.1", port), Handler)
        self.service = service.rstrip("/")
        self.page = load_page()
        self.patience = PATIENCE
        self.hosts = {f"{name}:{self.server_port}" for name in ("127.0.0.1", "localhost")}

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say what went wrong; a page that gives up a question for a newer one is no fault."""
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)


class Handler(BaseHTTPRequestHandler):
    """One request: a file of the page, or a question to pass on."""

    server: Desk
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "desk", ""
    timeout = 30

    def do_GET(self) -> None:
        if not self._is_ours():
            return
        path = self.path.partition("?")[0]
        if path.startswith("/v1/"):
            self._pass_on(None)
        elif asset := self.server.page.get(path):
            self._send_asset(asset)
        else:
            self._problem(404, "There is nothing here.")

    do_HEAD = do_GET

    def do_POST(self) -> None:
        said = self.headers.get("Content-Length", "")
        if not re.fullmatch("[0-9]{1,9}", said) or int(said) > MOST_BYTES:
            self.close_connection = True
            return self._problem(413, f"A question has a length of at most {MOST_BYTES} bytes.")
        body = self.rfile.read(int(said))
        if not self._is_ours():
            return None
        try:
            private = private_in(json.loads(body))
        except (ValueError, RecursionError):
            return self._problem(400, "This is no JSON.")
        if private:
            return self._problem(403, "The desk asks for nothing that only the member may see.", private)
        return self._pass_on(body)

    def _is_ours(self) -> bool:
        """Whether the page itself asks, by the name of this machine: a page elsewhere gets nothing, also one that rebinds its name."""
        site = self.headers.get("Sec-Fetch-Site", "none")
        if self.headers.get("Host") in self.server.hosts and (site in ("same-origin", "none") or self.path == "/"):
            return True
        self._problem(421, "Only this machine's own page is served here.")
        return False

    def _pass_on(self, body: bytes | None) -> None:
        path = self.path.partition("?")[0]
        if not any(self.command == method and shape.fullmatch(path) for method, shape in ALLOWED):
            return self._problem(404, "The desk does not ask that.")
        kept = {name: self.headers[name] for name in ("Accept-Language", "Accept-Encoding", "If-None-Match") if self.headers[name]}
        kept |= {"Content-Type": self.headers.get("Content-Type", "")} if body is not None else {}
        kept |= {"Authorization": f"Bearer {self.server.key}"} if self.server.key else {}
        request = urllib.request.Request(self.server.service + self.path, data=body, headers=kept, method=self.command)
        try:
            status, said, fields = self._answer_to(request)
        except (OSError, ValueError, http.client.HTTPException) as fault:
            self.log_error("the service does not answer: %s", fault)
            return self._problem(503, "The service that computes prices does not answer.")
        return self._send(status, said, fields)

    def _answer_to(self, request: urllib.request.Request) -> tuple[int, bytes, dict[str, str]]:
        """What the service says, a refusal as well."""
        try:
            with DIRECT.open(request, timeout=self.server.patience) as answer:
                return answer.status, answer.read(), dict(answer.headers)
        except urllib.error.HTTPError as said:
            with said:
                return said.code, said.read(), dict(said.headers)

    def _send_asset(self, asset: Asset) -> None:
        packed = "gzip" in self.headers.get("Accept-Encoding", "")
        fields = {"Content-Type": asset.kind, "ETag": asset.tag, "Cache-Control": "no-cache", "Vary": "Accept-Encoding"}
        if asset.tag == self.headers.get("If-None-Match"):
            return self._send(304, b"", fields)
        return self._send(200, asset.packed if packed else asset.raw, fields | ({"Content-Encoding": "gzip"} if packed else {}))

    def _problem(self, status: int, detail: str, pointer: str = "") -> None:
        errors = {"errors": [{"pointer": pointer, "code": "desk", "detail": detail}]} if pointer else {}
        said = {"type": "about:blank", "title": detail, "status": status, "detail": detail, **errors}
        self._send(status, json.dumps(said).encode(), {"Content-Type": "application/problem+json"})

    def _send(self, status: int, body: bytes, fields: dict[str, str]) -> None:
        """Answer with what of the fields is the page's affair."""
        low = {name.lower(): value for name, value in fields.items()}
        self.send_response(status)
        for name in ("Content-Type", "Content-Encoding", "Content-Language", "ETag", "Cache-Control", "Vary", "Retry-After"):
            if name.lower() in low:
                self.send_header(name, low[name.lower()])
        for name, value in HEADERS.items():
            self.send_header(name, value)
        if status != 304:
            self.send_header("Content-Length", str(len(body)))
        if self.close_connection:  # so that nobody sends another question into a closing line
            self.send_header("Connection", "close")
        self.end_headers()
        if self.command != "HEAD" and status != 304:
            self.wfile.write(body)

    def log_error(self, format: str, *args: Any) -> None:
        """Say what is wrong with the service; a browser that says nothing more is no fault."""
        if "timed out" not in format:
            super().log_error(format, *args)

    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        """Say nothing of each request: whose price was asked is nobody's business."""


def main() -> None:
    """Serve the desk until it is stopped."""
    asked = argparse.ArgumentParser(description="The front desk, for this machine alone.")
    asked.add_argument("--service", default="http://127.0.0.1:8317", help="where the service is")
    asked.add_argument("--port", type=int, default=8320)
    given = asked.parse_args()
    if not is_address(given.service):
        asked.error("--service is an address such as http://127.0.0.1:8317, and nothing after it")
    try:
        made = Desk(given.service, os.environ.get("EVENHANG_DESK_KEY", ""), given.port)
    except ValueError as fault:
        asked.error(str(fault))
    except (OSError, OverflowError) as fault:
        sys.exit(f"Port {given.port} of this machine cannot be had: {fault}. Another one: --port 8321.")
    with made as desk:
        print(f"The desk is on http://127.0.0.1:{desk.server_port}/, prices come from {desk.service}.", file=sys.stderr)
        try:
            desk.serve_forever()
        except KeyboardInterrupt:
            print("The desk is closed.", file=sys.stderr)


if __name__ == "__main__":
    main()

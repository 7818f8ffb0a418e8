"""Serves the built shop to this machine alone: files of the site and nothing else, with the headers that the build wrote.

    python demo_clients/shop/serve.py [--site demo_clients/shop/site] [--port 8318]

For a demo. A real shop puts the same folder behind its web server, with the headers of `headers.json`.
"""

import argparse
import hashlib
import json
import re
import sys
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

KINDS = {
    ".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml", ".png": "image/png",
}  # fmt: skip
NAME = re.compile(r"/(?:(?:works|workshops|pictures)/)?[a-z0-9][a-z0-9-]{0,63}\.(?:html|css|js|svg|png)")


class Shop(BaseHTTPRequestHandler):
    """Answers GET and HEAD."""

    site: Path
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "shop", ""

    def do_GET(self) -> None:
        """The file, its tag alone where the visitor has it, or the page that says there is none."""
        path = self.path.partition("?")[0]
        asked = "/index.html" if path == "/" else path
        file = self.site / asked[1:]
        status = 200 if NAME.fullmatch(asked) and file.is_file() else 404
        file = file if status == 200 else self.site / "404.html"
        try:
            data = file.read_bytes()
            headers = json.loads((self.site / "headers.json").read_bytes())
        except OSError:
            self.send_error(503, "Nothing is published yet")
            return
        tag = f'"{hashlib.sha256(data).hexdigest()[:32]}"'
        if status == 200 and self.headers.get("If-None-Match") == tag:
            status, data = 304, b""
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name, value)
        self.send_header("ETag", tag)
        if status != 304:
            self.send_header("Content-Type", KINDS[file.suffix])
            self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        if self.command == "GET":
            self.wfile.write(data)

    do_HEAD = do_GET

    def log_message(self, format: str, *words: object) -> None:
        """Say nothing: this is a demo's server."""


def server_of(site: Path, port: int) -> ThreadingHTTPServer:
    """A server over the site, on loopback; the link to the site is followed anew for each file."""
    return ThreadingHTTPServer(("127.0.0.1", port), type("OwnShop", (Shop,), {"site": site}))


def main() -> None:
    """Serve until interrupted."""
    parser = argparse.ArgumentParser(description="Serve the built shop on loopback.")
    parser.add_argument("--site", type=Path, default=Path(__file__).parent / "site")
    parser.add_argument("--port", type=int, default=8318)
    given = parser.parse_args()
    try:
        made = server_of(given.site, given.port)
    except (OSError, OverflowError) as fault:
        sys.exit(f"Port {given.port} of this machine cannot be had: {fault}. Another one: --port 8319.")
    with made as server:
        print(f"The shop is on http://127.0.0.1:{server.server_port}/; stop it with Ctrl-C.", flush=True)
        with suppress(KeyboardInterrupt):
            server.serve_forever()


if __name__ == "__main__":
    main()

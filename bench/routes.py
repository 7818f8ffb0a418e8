"""What the edge costs: a quote through it, through a bare typed handler of the framework, and through raw ASGI, in one run.

    python bench/routes.py [ROUNDS]

Each round asks each app the same question in turn, in this process and without a wire, and counts processor time; a ratio is taken
within a round, and the median of the ratios is shown with the middle half of them. The bare ones do without everything that the edge
is for: keys, rates, strict queries, keys said twice, problems with pointers, kinds of answer, compression, headers of safety, request ids.
"""

import asyncio
import datetime
import hashlib
import json
import platform
import statistics
import sys
import sysconfig
import time
from collections.abc import Callable
from typing import Any

import msgspec
from litestar import Litestar, post
from litestar.params import FromPath

from evenhang.api.access import Key, Keyring
from evenhang.api.calls import Call
from evenhang.api.quotes import MemberQuote, PublicQuote, QuoteRequest, quote
from evenhang.api.reading import hook
from evenhang.app import create_app
from evenhang.demo import RULES
from evenhang.engine.money import Amount
from evenhang.rulebook.book import load_book

BOOK = load_book(RULES)
TODAY = datetime.date(2026, 5, 1)
WORK = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}], "hours": "20"}
KEY = "bench"
PATH = "/v1/members/alder-lane/quotes"
BATCH = 200


@post("/v1/members/{member:str}/quotes", status_code=200)
async def typed(member: FromPath[str], data: QuoteRequest) -> PublicQuote | MemberQuote:
    """The framework's own way."""
    return quote(Call(BOOK, member, TODAY, data))


DECODER = msgspec.json.Decoder(QuoteRequest, dec_hook=hook)


async def raw(scope: Any, receive: Any, send: Any) -> None:
    """The least that answers."""
    message = await receive()
    member = scope["path"].split("/")[3]
    body = msgspec.json.encode(quote(Call(BOOK, member, TODAY, DECODER.decode(message["body"]))))
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def apps() -> dict[str, Any]:
    """The three, and the edge without keys and rates."""
    ring = Keyring([Key("bench", hashlib.sha256(KEY.encode()).hexdigest(), ("desk", "books"), "all")])
    bare = Litestar([typed], openapi_config=None, logging_config=None, type_decoders=[(lambda kind: kind is Amount, hook)])
    return {
        "raw ASGI": raw,
        "typed handler": bare,
        "edge": create_app(BOOK, lambda: TODAY),
        "edge, keys and rates": create_app(BOOK, lambda: TODAY, keys=ring, requests_per_minute=10_000_000),
    }


async def ask(app: Any, body: bytes) -> bytes:
    """One request; its answer's body."""
    scope = {
        "type": "http", "asgi": {"version": "3.0", "spec_version": "2.3"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": PATH, "raw_path": PATH.encode(), "query_string": b"", "root_path": "",
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 2),
        "headers": [(b"host", b"localhost"), (b"content-type", b"application/json"), (b"content-length", str(len(body)).encode()),
                    (b"accept", b"*/*"), (b"user-agent", b"bench"), (b"authorization", b"Bearer " + KEY.encode())],
        "state": {},
    }  # fmt: skip
    got: list[Any] = []

    async def receive() -> Any:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Any) -> None:
        got.append(message)

    await app(scope, receive, send)
    assert got[0]["status"] == 200, got
    return bytes(got[1]["body"])


async def cost(app: Any, body: bytes) -> float:
    """Processor seconds of one request, over a batch."""
    began = time.process_time()
    for _ in range(BATCH):
        await ask(app, body)
    return (time.process_time() - began) / BATCH


async def compare(view: str, rounds: int) -> None:
    """Print the ratios for a view."""
    body = json.dumps({"work": WORK, "view": view}).encode()
    served = apps()
    answers = {name: await ask(app, body) for name, app in served.items()}
    assert len(set(answers.values())) == 1, "they answer the same bytes"
    seen: dict[str, list[float]] = {name: [] for name in served}
    for _ in range(rounds):
        for name, app in served.items():
            seen[name].append(await cost(app, body))
    print(f"\n{view} quote, {len(body)} bytes in, {len(answers['edge'])} out")
    for name, times in seen.items():
        ratios = _against(times, seen["raw ASGI"]) + _against(times, seen["typed handler"])
        print(f"  {name:<22} {statistics.median(times) * 1e6:8.0f} us{ratios}")


def _against(times: list[float], base: list[float]) -> str:
    ratios = [a / b for a, b in zip(times, base, strict=True)]
    low, middle, high = statistics.quantiles(ratios, n=4)
    return f"   x {middle:.2f} [{low:.2f}, {high:.2f}]"


def main(rounds: int = 30) -> None:
    """Both views."""
    optimised = "--enable-optimizations" in (sysconfig.get_config_var("CONFIG_ARGS") or "")
    print(f"{platform.python_implementation()} {platform.python_version()}, {platform.python_compiler()}, {'' if optimised else 'no '}PGO,")
    print(f"msgspec {msgspec.__version__}; {rounds} rounds of {BATCH}; ratios against raw ASGI, then against the typed handler")
    run: Callable[[Any], None] = asyncio.run
    for view in ("public", "member"):
        run(compare(view, rounds))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

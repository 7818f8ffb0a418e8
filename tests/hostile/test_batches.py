"""Batches as raw bytes: lines cut anywhere, lines that mean harm, clients that read nothing or go."""

import asyncio
import io
import json
import random
import socket
from datetime import date
from itertools import pairwise
from typing import Any

import httpx

from evenhang.api.asked import Asked
from evenhang.api.batches import quote_batch
from evenhang.api.calls import Call
from evenhang.api.limits import CHUNK, MOST_STREAMED_BYTES
from evenhang.api.replies import NDJSON, Packed
from evenhang.api.sending import send_packed
from evenhang.rulebook.book import RuleBook

WORK = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}]}
LINE = json.dumps({"id": "a", "member": "alder-lane", "work": WORK}).encode()
HEAD = f"POST /v1/quotes HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nContent-Type: {NDJSON}\r\n"


def test_the_bound_of_all_lines_is_announced(send: Any) -> None:
    answer = send(raw=f"{HEAD}Content-Length: {MOST_STREAMED_BYTES + 1}\r\n\r\n".encode())
    assert (answer.status, answer.problem()["type"]) == (413, "/problems/too-large")


def test_lines_in_pieces_that_are_cut_anywhere(send: Any) -> None:
    """The body as chunks of seven bytes, the last line without an end."""
    body = b"\r\n".join(LINE for _ in range(3))
    chunks = b"".join(b"%x\r\n%s\r\n" % (len(c), c) for c in (body[i : i + 7] for i in range(0, len(body), 7)))
    answer = send(raw=f"{HEAD}Transfer-Encoding: chunked\r\n\r\n".encode() + chunks + b"0\r\n\r\n")
    assert [json.loads(line).get("price", {}).get("amount") for line in answer.body.splitlines()] == ["940.00"] * 3 + [None]


def test_any_bytes_get_a_row_for_each_line_and_a_summary(send: Any) -> None:
    """Good lines with bytes knocked out, swapped and put in, from a fixed seed: never a cut answer."""
    dice = random.Random(7)
    lines = []
    for _ in range(300):
        line = bytearray(LINE)
        for _ in range(dice.randrange(4)):
            at = dice.randrange(len(line))
            line[at : at + dice.randrange(3)] = dice.choice([b"", b'"', b"\\", b"\x00", b"\xff", b"[", b"}", b"1e9", b"\\ud800", b"\r"])
        lines.append(bytes(line))
    answer = send("POST", "/v1/quotes", b"\n".join(lines), f"Content-Type: {NDJSON}")
    *rows, last = [json.loads(line) for line in answer.body.splitlines()]
    assert [row["row"] for row in rows] == list(range(1, 301))
    assert last["summary"]["faults"] == sum("reason" in row for row in rows) > 50
    assert "internal-error" not in {row["reason"]["code"] for row in rows if "reason" in row}


def test_a_client_that_sends_half_and_goes_leaves_the_service_well(server: str) -> None:
    host, _, port = server.removeprefix("http://").partition(":")
    for sent in (b"", LINE, LINE + b"\n" + LINE[:20]):
        with socket.create_connection((host, int(port))) as wire:
            wire.sendall(f"{HEAD}Content-Length: 100000\r\n\r\n".encode() + sent)
    with socket.create_connection((host, int(port))) as wire:  # all sent, nothing read
        wire.sendall(f"{HEAD}Content-Length: {2_000 * (len(LINE) + 1)}\r\n\r\n".encode() + (LINE + b"\n") * 2_000)
    assert httpx.get(f"{server}/health/ready", trust_env=False).status_code == 200


def test_others_have_their_turn_all_along(book: RuleBook) -> None:
    """Between two turns of a neighbour on the loop: at most a chunk and a row of the answer, whatever the lines are like."""
    bad = b'{"id":"' + b"x" * 15_000 + b'"}\n'
    asked = Asked({"method": "POST", "path": "/v1/quotes", "query_string": b"", "headers": []})
    turns: list[int] = []
    sent = 0

    async def send(message: Any) -> None:
        nonlocal sent
        sent += len(message.get("body", b""))

    async def neighbour() -> None:
        while True:
            turns.append(sent)
            await asyncio.sleep(0)

    async def batch(body: bytes) -> None:
        call = Call(book, "", date(2026, 5, 1), io.BytesIO(body), media_type=NDJSON, content_type=NDJSON)
        beside = asyncio.create_task(neighbour())
        await send_packed(Packed(200, {}, quote_batch(call).body), asked, asyncio.Event().wait, send)
        beside.cancel()

    asyncio.run(batch((LINE + b"\n") * 400))
    assert max(after - before for before, after in pairwise([*turns, sent])) < CHUNK + 1_000
    assert len(turns) > sent / (CHUNK + 1_000)
    turns.clear()
    asyncio.run(batch(bad * 50))  # hardly anything to answer: the turns go by what was read
    assert len(turns) >= 25

"""A reply onto the wire: whole, or piece by piece without keeping the loop from its neighbours.

Knows ASGI's messages; knows nothing of what is sent.
"""

import asyncio
import contextlib
import logging
from collections.abc import Iterator

from evenhang.api.asked import Asked, Receive, Send
from evenhang.api.limits import CHUNK, LINGER_BYTES, LINGER_SECONDS
from evenhang.api.replies import Packed

log = logging.getLogger("evenhang")
_BARE = (204, 304)


async def send_packed(reply: Packed, asked: Asked, receive: Receive, send: Send) -> None:
    """Send it. HEAD gets the headers alone."""
    headers = [(name.encode("latin-1"), value.encode("latin-1")) for name, value in reply.headers.items()]
    body = reply.body
    if isinstance(body, bytes) and reply.status not in _BARE:
        headers.append((b"content-length", str(len(body)).encode()))
    await send({"type": "http.response.start", "status": reply.status, "headers": headers})
    if reply.status == 413 and isinstance(body, bytes):
        await send({"type": "http.response.body", "body": body, "more_body": True})
        await _linger(receive)
        await send({"type": "http.response.body", "body": b""})
    elif asked.method == "HEAD" or isinstance(body, bytes):
        await send({"type": "http.response.body", "body": b"" if asked.method == "HEAD" else body})
    else:
        await _stream(body, asked, receive, send)


async def _linger(receive: Receive) -> None:
    """Let go of the rest of a body that is too large, within bounds: a connection that is closed over unread bytes is reset, and its
    client would never read why (RFC 9112, section 9.6)."""
    size = 0
    with contextlib.suppress(TimeoutError):
        async with asyncio.timeout(LINGER_SECONDS):
            while size < LINGER_BYTES:
                message = await receive()
                size += len(message.get("body", b""))
                if not message.get("more_body", False):
                    return


async def _stream(body: Iterator[bytes], asked: Asked, receive: Receive, send: Send) -> None:
    """Send the pieces as they are made, gathered to a chunk. Where making them fails, the answer is cut, which its reader can see.

    After each chunk, and at each empty piece, the neighbours have their turn.
    """
    gone = asyncio.ensure_future(receive())  # the request was read to its end: what comes now is that the client hangs up
    try:
        kept = bytearray()
        for piece in body:
            kept += piece
            if len(kept) >= CHUNK:
                await send({"type": "http.response.body", "body": bytes(kept), "more_body": True})
                kept.clear()
            elif piece:
                continue
            await asyncio.sleep(0)
            if gone.done():
                return
        await send({"type": "http.response.body", "body": bytes(kept)})
    except Exception:
        log.exception("an answer was cut", extra={"request_id": asked.request_id, "route": asked.route})
    finally:
        gone.cancel()
        close = getattr(body, "close", None)
        if close is not None:
            close()

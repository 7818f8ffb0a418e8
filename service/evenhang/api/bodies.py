"""The body of a request, taken in within its bound.

Knows ASGI's messages; knows nothing of what the bytes mean.
"""

import tempfile
from typing import IO

from evenhang.api.asked import Asked, Receive
from evenhang.api.problems import Declined


class HungUp(Exception):
    """The client has gone: nobody is left to answer."""


def check_length(asked: Asked, most: int) -> None:
    """Declined (413) where the announced length is beyond the bound, before a byte of the body is read."""
    length = asked.headers.get(b"content-length", "0")
    if not length.isascii() or not length.isdigit():
        raise Declined(400, "Content-Length is no number.")
    if int(length) > most:
        raise _too_large(most)


async def read_whole(receive: Receive, most: int) -> bytes:
    """The body in memory. Declined (413) beyond the bound, announced or not; HungUp where the client goes."""
    message = await receive()
    if message["type"] == "http.disconnect":
        raise HungUp
    body: bytes = message.get("body", b"")
    if not message.get("more_body", False):
        if len(body) > most:
            raise _too_large(most)
        return body
    pieces, size = [body], len(body)
    while message.get("more_body", False):
        message = await receive()
        if message["type"] == "http.disconnect":
            raise HungUp
        pieces.append(message.get("body", b""))
        size += len(pieces[-1])
        if size > most:
            raise _too_large(most)
    return b"".join(pieces)


async def read_spooled(receive: Receive, most: int) -> IO[bytes]:
    """The body in a file that stays in memory while it is small, at its start. As `read_whole`; the caller closes it."""
    file = tempfile.SpooledTemporaryFile(max_size=1 << 20)  # noqa: SIM115  # handed on: who reads it line by line closes it
    size, more = 0, True
    try:
        while more:
            message = await receive()
            if message["type"] == "http.disconnect":
                raise HungUp
            size += len(message.get("body", b""))
            if size > most:
                raise _too_large(most)
            file.write(message.get("body", b""))
            more = message.get("more_body", False)
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return file


def _too_large(most: int) -> Declined:
    return Declined(413, f"The body has over {most} bytes.")

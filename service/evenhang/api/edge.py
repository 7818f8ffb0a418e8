"""The one route of the service: finds the operation, admits the caller, reads once, asks the engine, writes once.

Knows ASGI and the table of operations; knows no server, no settings and no rule.
"""

import asyncio
import logging
from collections.abc import Iterable
from typing import Any

from evenhang.api.access import Access, access_of, check_member, check_scope
from evenhang.api.ageing import ageing
from evenhang.api.asked import Asked, Receive, Scope, Send, asked_of
from evenhang.api.bodies import HungUp, check_length, read_spooled, read_whole
from evenhang.api.calls import Call, Operation
from evenhang.api.house import House
from evenhang.api.language import DEFAULT, language_of
from evenhang.api.limits import LONG_BODY, MOST_BYTES
from evenhang.api.negotiation import choose
from evenhang.api.pictured import NO_PICTURES, offered
from evenhang.api.problems import Declined, plain_problem, problem_of
from evenhang.api.reading import read_json, read_query
from evenhang.api.replies import JSON, Packed, packed, problem_reply
from evenhang.api.routes import Methods, Routes, allowed
from evenhang.api.sending import send_packed
from evenhang.engine.refusals import Refusal
from evenhang.engine.saying import joined, say
from evenhang.pictures.canvas import SVG

log = logging.getLogger("evenhang")
HUNG_UP = 499  # in the log only: nobody was left to answer


class Edge:
    """Answers every request of the service; whatever goes wrong becomes a problem document."""

    def __init__(self, house: House, rows: Iterable[Operation]) -> None:
        self.house = house
        self.routes = Routes(rows)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        asked = asked_of(scope)
        try:
            reply = await self._reply(asked, receive)
        except HungUp:
            asked.status = HUNG_UP
            return
        await send_packed(reply, asked, receive, send)

    async def _reply(self, asked: Asked, receive: Receive) -> Packed:
        """The answer, or the problem; a fault of ours shows nothing of its inside but the request's id, which is in the log."""
        try:
            return await self._answered(asked, receive)
        except Declined as declined:
            return problem_reply(declined.problem, _language(asked), declined.headers)
        except Refusal as refusal:
            return problem_reply(problem_of(refusal), _language(asked))
        except HungUp:
            raise
        except Exception:
            log.exception("unhandled", extra={"request_id": asked.request_id, "route": asked.route})
            return broken(asked.request_id, _language(asked))

    async def _answered(self, asked: Asked, receive: Receive) -> Packed:
        found = self.routes.find(asked.path)
        if found is None:
            raise Declined(404, say("There is nothing at this address."))
        methods, path = found
        if asked.method == "OPTIONS":
            return Packed(204, {"allow": allowed(methods), "cache-control": "no-store"}, b"")
        row = _row_of(methods, asked.method)
        asked.route = row.base + row.path
        asked.more += ageing(row.deprecated_on, row.sunset_on)
        access = self._admitted(row, asked, path)
        media = _media_of(row, asked)
        language = _language(asked)
        query = read_query(asked.query, row.query)
        kind, raw = await _body_of(row, asked, receive)
        member = path.get("member", "")
        book, today = self.house.book, self.house.today()

        def compute() -> Packed:
            body = read_json(raw, row.request) if kind == JSON and row.request is not None else raw if kind else query
            call = Call(book, member, today, body, path, language, access, media, kind, self.house)
            return packed(
                row.run(call),
                cache=row.cache,
                offers=len(row.media),
                language=language,
                condition=asked.headers.get(b"if-none-match"),
                encodings=asked.headers.get(b"accept-encoding"),
            )

        # A long list or a picture is worked on beside the loop, so that a neighbour's quote goes on meanwhile.
        return await asyncio.to_thread(compute) if row.long or _takes_long(raw, media, query) else compute()

    def _admitted(self, row: Operation, asked: Asked, path: dict[str, str]) -> Access:
        """What the caller may do, where that is enough for the operation. Declined with 401, 403, 404 or 429."""
        try:
            access = access_of(asked.headers.get(b"authorization"), self.house.keys, self.house.today())
            asked.key = access.name
        finally:  # whoever tries keys is counted as well
            if self.house.rates is not None and row.limited:
                asked.more += self.house.rates.take(asked.key or asked.client)
        check_scope(access, row.scope)
        if "member" in path:
            check_member(access, row.scope, path["member"])
        return access


def _language(asked: Asked) -> str:
    return language_of(asked.headers.get(b"accept-language", ""))


def _row_of(methods: Methods, method: str) -> Operation:
    """The operation of the method; HEAD is GET without its body (RFC 9110, section 9.3.2)."""
    row = methods.get("GET" if method == "HEAD" else method)
    if row is None:
        offered = allowed(methods)
        raise Declined(405, say("This method is not offered here. Offered: {methods}.", methods=offered), headers={"Allow": offered})
    return row


def _media_of(row: Operation, asked: Asked) -> str:
    """The kind of answer, that of the body where two are as welcome. Declined (406) where the caller takes none that is given here."""
    kinds = offered(row.media)
    sent = asked.headers.get(b"content-type", "").partition(";")[0].strip().lower()
    if sent in kinds[1:]:
        kinds = (sent, *(media for media in kinds if media != sent))
    media = choose(asked.headers.get(b"accept"), kinds)
    if media is None:
        vary = {"Vary": "Accept"} if len(row.media) > 1 else None
        here = say("Offered here: {media}.", media=", ".join(kinds))
        raise Declined(406, here if len(kinds) == len(row.media) else joined((here, NO_PICTURES), " "), headers=vary)
    return media


def _takes_long(raw: object, media: str, query: object) -> bool:
    """Whether others should not wait for the answer: to a long body, or for a picture."""
    return (isinstance(raw, bytes) and len(raw) > LONG_BODY) or media == SVG or getattr(query, "form", None) == "svg"


async def _body_of(row: Operation, asked: Asked, receive: Receive) -> tuple[str, Any]:
    """The kind of body and the body: bytes of JSON, or a file of another kind; "" and None where the operation takes none."""
    if row.method == "GET":
        return "", None
    given = asked.headers.get(b"content-type")
    if given is None and asked.headers.get(b"content-length", "0") == "0" and b"transfer-encoding" not in asked.headers:
        raise Declined(400, say("A body is needed here, and there is none."))
    kind = _kind_of(row, given or "")
    most = min(row.most_bytes, MOST_BYTES) if kind == JSON else row.most_bytes
    check_length(asked, most)
    coding = asked.headers.get(b"content-encoding", "identity").strip().lower()
    if coding != "identity":
        raise Declined(415, say("Send the body without a content coding."), headers={"Accept-Encoding": "identity"})
    return kind, await (read_whole if kind == JSON else read_spooled)(receive, most)


def _kind_of(row: Operation, given: str) -> str:
    kind, *parameters = (part.strip().lower() for part in given.split(";"))
    charsets = [text.partition("=")[2].strip('" ') for text in parameters if text.startswith("charset")]
    if kind not in row.takes or set(charsets) - {"utf-8", "us-ascii"}:
        raise Declined(
            415,
            say("Send the body in UTF-8 as one of these: {media}.", media=", ".join(row.takes)),
            headers={"Accept": ", ".join(row.takes)},
        )
    return kind


def broken(request_id: str, language: str = DEFAULT) -> Packed:
    """The answer to a fault of ours."""
    plain = plain_problem(500)
    logged = say("{title}. It is in the log under this request's id: {id}.", title=plain.title, id=request_id)
    return problem_reply(type(plain)(plain.type, plain.title, 500, logged if request_id else plain.detail), language)

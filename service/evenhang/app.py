"""create_app(): the only place where things are put together."""

import datetime
import logging
from collections.abc import Callable
from typing import Any

import msgspec
from litestar import Litestar, Request, Response
from litestar.enums import HttpMethod, ScopeType
from litestar.exceptions import HTTPException
from litestar.handlers import HTTPRouteHandler, route
from litestar.types import ASGIApp, Message, Receive, Scope, Send

from evenhang.api.calls import Call, Operation
from evenhang.api.contract import contract_bytes
from evenhang.api.operations import OPERATIONS
from evenhang.api.problems import OF_STATUS, Declined, Problem, plain_problem, problem_of
from evenhang.api.reading import MOST_BYTES, read_body, read_query
from evenhang.engine.refusals import Refusal
from evenhang.rulebook.book import RuleBook
from evenhang.rulebook.shelf import Shelf

log = logging.getLogger("evenhang")


def create_app(rules: RuleBook | Shelf, today: Callable[[], datetime.date] = datetime.date.today) -> Litestar:
    """The service over one rule book, or a shelf whose book changes with its folder; `today` is the clock, handed in."""
    shelf = rules if isinstance(rules, Shelf) else Shelf(rules)
    document = contract_bytes()

    @route("/openapi.json", http_method=["GET"])
    async def openapi(request: Request[Any, Any, Any]) -> Response[bytes]:
        return Response(document, media_type="application/json")

    @route(["/health/live", "/health/ready"], http_method=["GET"])
    async def health(request: Request[Any, Any, Any]) -> Response[bytes]:
        state = {"status": "ok", "members": len(shelf.book.segments), "rules": shelf.health}
        return Response(msgspec.json.encode(state), media_type="application/json")

    app = Litestar(
        [openapi, health, *(_handler(op, shelf, today) for op in OPERATIONS)],
        openapi_config=None,
        logging_config=None,
        request_max_body_size=MOST_BYTES,
        lifespan=[shelf.watched],
        exception_handlers={Declined: _declined, Refusal: _refused, HTTPException: _http, Exception: _broken},
    )
    app.asgi_handler = _head(app.asgi_handler)
    return app


def _handler(op: Operation, shelf: Shelf, today: Callable[[], datetime.date]) -> HTTPRouteHandler:
    path = "/v1" + op.path.replace("}", ":str}")

    async def run(request: Request[Any, Any, Any]) -> Response[bytes]:
        body: Any = None
        if op.request is not None:
            body = read_body(request.headers.get("content-type", ""), await request.body(), op.request)
        elif op.query is not None:
            body = read_query(request.query_params.multi_items(), op.query)
        answer = op.run(Call(shelf.book, request.path_params.get("member", ""), today(), body, request.path_params))
        return Response(msgspec.json.encode(answer), media_type="application/json")

    return route(path, http_method=[op.method], name=op.id, status_code=200)(run)


def _answer(problem: Problem, headers: dict[str, str]) -> Response[bytes]:
    return Response(msgspec.json.encode(problem), status_code=problem.status, media_type="application/problem+json", headers=headers)


def _declined(_: Request[Any, Any, Any], error: Declined) -> Response[bytes]:
    return _answer(error.problem, error.headers)


def _refused(_: Request[Any, Any, Any], error: Refusal) -> Response[bytes]:
    return _answer(problem_of(error), {})


def _http(_: Request[Any, Any, Any], error: HTTPException) -> Response[bytes]:
    status = error.status_code if error.status_code in OF_STATUS else 400
    return _answer(plain_problem(status), dict(error.headers or {}))


def _broken(_: Request[Any, Any, Any], error: Exception) -> Response[bytes]:
    log.error("unhandled", exc_info=error)
    return _answer(plain_problem(500), {})


def _head(inner: ASGIApp) -> ASGIApp:
    """HEAD as GET with an empty body (RFC 9110, section 9.3.2); the framework answers 405."""

    async def outer(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != ScopeType.HTTP or scope["method"] != "HEAD":
            await inner(scope, receive, send)
            return

        async def without_body(message: Message) -> None:
            if message["type"] == "http.response.body":
                message["body"] = b""
            await send(message)

        scope["method"] = HttpMethod.GET
        await inner(scope, receive, without_body)

    return outer

"""create_app(): the only place where things are put together."""

import datetime
from collections.abc import Callable
from typing import Any

from litestar import Litestar, asgi
from litestar.types import Receive, Scope, Send

from evenhang.api.access import Keyring
from evenhang.api.buckets import Rates
from evenhang.api.edge import Edge
from evenhang.api.health import PROBES
from evenhang.api.house import House
from evenhang.api.jwks import JWKS
from evenhang.api.layer import Layer
from evenhang.api.operations import OPERATIONS
from evenhang.rulebook.book import RuleBook
from evenhang.sealing.keys import Seals


def create_app(
    book: RuleBook,
    today: Callable[[], datetime.date] = datetime.date.today,
    *,
    keys: Keyring | None = None,
    hosts: tuple[str, ...] = (),
    requests_per_minute: int = 0,
    seals: Seals | None = None,
) -> Litestar:
    """The service over one rule book; `today` is the clock, handed in.

    Without `keys` everybody may do everything. `hosts` are the names it answers for, empty for any. `requests_per_minute` holds for each
    key, or address without one; 0 is without a limit. `seals` are the keys of offers; without any no offer is sealed. What it answers
    from stands in `app.state.house`, whose `book` may be swapped while it runs.
    """
    house = House(book, today, keys, Rates(requests_per_minute) if requests_per_minute else None, seals=seals or Seals())
    edge: Any = Edge(house, (*OPERATIONS, *PROBES, JWKS))  # the framework's types of scope and message are narrower than the standard's

    @asgi("/", is_mount=True, copy_scope=False)
    async def everything(scope: Scope, receive: Receive, send: Send) -> None:
        await edge(scope, receive, send)

    app = Litestar([everything], openapi_config=None, logging_config=None)
    app.state.house = house
    layer: Any = Layer(app.asgi_handler, hosts)  # type: ignore[arg-type]  # as above
    app.asgi_handler = layer
    return app

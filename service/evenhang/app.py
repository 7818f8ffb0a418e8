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
from evenhang.api.layer import Layer
from evenhang.api.metrics import METRICS
from evenhang.api.operations import OPERATIONS
from evenhang.api.pages import PAGES
from evenhang.rulebook.book import RuleBook
from evenhang.rulebook.shelf import Shelf
from evenhang.sealing.keys import Seals


def create_app(
    rules: RuleBook | Shelf,
    today: Callable[[], datetime.date] = datetime.date.today,
    *,
    keys: Keyring | None = None,
    hosts: tuple[str, ...] = (),
    origins: tuple[str, ...] = (),
    requests_per_minute: int = 0,
    seals: Seals | None = None,
) -> Litestar:
    """The service over one rule book, or a shelf whose book follows its folder; `today` is the clock, handed in.

    Without `keys` everybody may do everything. `hosts` are the names it answers for, empty for any; pages of `origins` may call it.
    `requests_per_minute` holds for each key, or address without one; 0 is without a limit. `seals` are the keys of offers; without any
    no offer is sealed. What it answers from stands in `app.state.house`, whose `book` may be swapped while it runs.
    """
    shelf = rules if isinstance(rules, Shelf) else Shelf(rules)
    house = House(shelf.book, today, keys, Rates(requests_per_minute) if requests_per_minute else None, seals=seals or Seals(), shelf=shelf)
    shelf.follow(lambda book: setattr(house, "book", book))
    rows = (*OPERATIONS, *PROBES, METRICS, *PAGES)
    edge: Any = Edge(house, rows)  # the framework's types of scope and message are narrower than the standard's

    @asgi("/", is_mount=True, copy_scope=False)
    async def everything(scope: Scope, receive: Receive, send: Send) -> None:
        await edge(scope, receive, send)

    app = Litestar([everything], openapi_config=None, logging_config=None, lifespan=[shelf.watched])
    app.state.house = house
    layer: Any = Layer(app.asgi_handler, hosts, origins, house.meters)  # type: ignore[arg-type]  # as above
    app.asgi_handler = layer
    return app

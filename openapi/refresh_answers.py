"""Write the answers of all examples anew, after a change of the demo's rules or of what is computed. For developers.

Asks the app itself, with the tests' clock; look at the difference before committing it: callers rely on these bytes.
"""

import datetime
import hashlib
import sys

import msgspec
from litestar import Litestar
from litestar.testing import TestClient

from evenhang.api.access import Key, Keyring
from evenhang.api.examples import ENDINGS, FOLDER, load_examples
from evenhang.api.operations import OPERATIONS
from evenhang.api.provoked import DESK_KEY, PROVOKED, Setting
from evenhang.api.replies import JSON
from evenhang.app import create_app
from evenhang.demo import OFFER_KEY, RULES
from evenhang.pictures.canvas import SVG
from evenhang.rulebook.book import RuleBook, load_book
from evenhang.sealing.keys import load_seals

TODAY = datetime.date(2026, 5, 1)


def house(setting: Setting, book: RuleBook) -> Litestar:
    """The service set up so that it declines what is asked of it; "open" is the demo as it is."""
    more: dict[Setting, dict[str, object]] = {
        "keyed": {"keys": Keyring([Key("desk", hashlib.sha256(DESK_KEY.encode()).hexdigest(), ("desk",), "all")])},
        "limited": {"requests_per_minute": 2},
        "named": {"hosts": ("prices.example",)},
    }
    seals = load_seals(OFFER_KEY, demo=True)
    app = create_app(book, _broken if setting == "broken" else lambda: TODAY, seals=seals, **more.get(setting, {}))
    app.state.house.draining = setting == "draining"
    if setting == "limited":  # no time passes between one request and the next
        app.state.house.rates.clock = lambda: 0.0
    return app


def _broken() -> datetime.date:
    raise RuntimeError("the clock is broken on purpose")


def provoke(book: RuleBook) -> int:
    """Write the problems that no operation's example meets; how many changed."""
    changed = 0
    for asked in PROVOKED:
        with TestClient(house(asked.house, book), raise_server_exceptions=False) as client:
            for _ in range(asked.times):
                answer = client.request(asked.method, asked.target, headers=asked.headers, content=asked.body or None)
        written = msgspec.json.format(answer.content, indent=2) + b"\n"
        changed += written != asked.answer
        (FOLDER / "problems" / f"{asked.name}.answer.json").write_bytes(written)
    return changed


def main() -> int:
    """Ask every request and write what came back; the number of answers that changed is printed."""
    rows = {op.id: op for op in OPERATIONS}
    book = load_book(RULES)
    changed = provoke(book)
    with TestClient(house("open", book), raise_server_exceptions=False) as client:
        for example in load_examples():
            op = rows[example.operation]
            sent = {"params": example.body()} if op.method == "GET" else {"content": example.request}
            answer = client.request(
                op.method, example.path(op.path, op.base), headers={"content-type": "application/json", **example.headers}, **sent
            )
            if answer.status_code >= 500:
                print(f"{example.operation}/{example.name}: {answer.status_code}", file=sys.stderr)
                return 1
            written = msgspec.json.format(answer.content, indent=2) + b"\n"
            changed += written != example.answer
            (FOLDER / example.operation / f"{example.stem}.answer.json").write_bytes(written)
            # Pictures are no examples: their bytes are those of the library that draws them, in whatever version is there.
            for media in [kind for kind in op.media if kind not in (JSON, SVG)] if answer.status_code == 200 else ():
                other = client.request(
                    op.method, example.path(op.path, op.base), headers={"content-type": "application/json", "accept": media}, **sent
                )
                changed += other.content != example.others.get(media)
                (FOLDER / example.operation / f"{example.stem}.answer.{ENDINGS[media]}").write_bytes(other.content)
    print(f"{changed} answers changed.")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Write the answers of all examples anew, after a change of the demo's rules or of what is computed. For developers.

Asks the app itself, with the tests' clock; look at the difference before committing it: callers rely on these bytes.
"""

import datetime
import sys

import msgspec
from litestar.testing import TestClient

from evenhang.api.examples import ENDINGS, FOLDER, load_examples
from evenhang.api.operations import OPERATIONS
from evenhang.api.replies import JSON
from evenhang.app import create_app
from evenhang.demo import OFFER_KEY, RULES
from evenhang.pictures.canvas import SVG
from evenhang.rulebook.book import load_book
from evenhang.sealing.keys import load_seals

TODAY = datetime.date(2026, 5, 1)


def main() -> int:
    """Ask every request and write what came back; the number of answers that changed is printed."""
    rows = {op.id: op for op in OPERATIONS}
    changed = 0
    with TestClient(
        create_app(load_book(RULES), lambda: TODAY, seals=load_seals(OFFER_KEY, demo=True)), raise_server_exceptions=False
    ) as client:
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

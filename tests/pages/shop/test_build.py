"""The shop's build: prices kept by ETag, good without the service, nothing private, and never a contradiction published."""

import hashlib
import json
import re
import struct
import threading
import zlib
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date
from decimal import Decimal
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import httpx
import pytest
from litestar import Litestar

from evenhang.api.access import Key, Keyring
from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook

SHOP = Path(__file__).parents[3] / "demo_clients" / "shop"
WORKS: list[dict[str, Any]] = json.loads((SHOP / "works.json").read_text())
NOWHERE = "http://127.0.0.1:9"


def shown(page: str) -> str:
    return re.search(r"data-price[^>]*>([^<]+)</data>", page)[1]


def test_what_has_not_changed_is_asked_by_its_tag(shop: Any, own: Any) -> None:
    assert shop.done.stdout.startswith("Published 39 works: 45 answers new, 0 unchanged")
    again = own.build(shop.folder, shop.service, shop.address)
    by_address = len([row for row in WORKS if "data-ask" in shop.page(f"works/{row['id']}.html")])
    assert int(re.search("([0-9]+) unchanged", again.stdout)[1]) >= by_address >= 30
    # The link turned, and the folder before it is gone.
    assert len([path for path in shop.folder.iterdir() if path.name.startswith(".site-")]) == 1


def test_nothing_private_stands_on_a_page(shop: Any) -> None:
    """No hours, no stated costs, no settlement: neither on a work's page nor in what the browser asks."""
    for row in WORKS:
        page = shop.page(f"works/{row['id']}.html")
        for cost in row["work"].get("costs", []):
            if "amount" in cost:
                assert cost["amount"]["amount"] not in page
                assert "data-ask" not in page
        assert "hours" not in page
    everything = "".join(path.read_text() for path in (shop.folder / "site").rglob("*.html"))
    assert not re.search("commission|proceeds|earnings|yield", everything, re.I)


def test_a_list_that_contradicts_itself_is_not_published(shop: Any, own: Any, tmp_path: Path) -> None:
    """The larger oil at a promised 400 beside smaller ones that ask more: findings, status 1, and the last good site stays."""
    good = own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, lambda row: None))
    before = (tmp_path / "site").resolve()

    def promise(row: dict[str, Any]) -> None:
        if row["id"] == "al-06":
            row["asked"] = {"amount": "400.00", "currency": "EUR"}

    bad = own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, promise))
    assert (good.returncode, bad.returncode) == (0, 1)
    assert "contradiction, larger-for-less: al-06 is larger than al-0" in bad.stderr
    assert "The last good site stays." in bad.stderr
    assert (tmp_path / "site").resolve() == before
    assert "1050.00 EUR" in (tmp_path / "site/works/al-06.html").read_text()
    assert len([path for path in tmp_path.iterdir() if path.name.startswith(".site-")]) == 1


def test_a_promised_price_is_shown_and_warned_of(shop: Any, own: Any, tmp_path: Path) -> None:
    def promise(row: dict[str, Any]) -> None:
        if row["id"] == "al-06":
            row["asked"] = {"amount": "1100.00", "currency": "EUR"}

    works = own.changed_works(tmp_path, promise)
    done = own.build(tmp_path, shop.service, shop.address, "--works", works)
    assert (done.returncode, "warning, off-the-rule" in done.stderr) == (0, True)
    page = (tmp_path / "site/works/al-06.html").read_text()
    assert shown(page) == "1100.00 EUR"
    assert "The workshop has promised this price" in page
    assert "data-promised>1100.00 EUR" in page
    assert "data-ask" not in page
    assert own.build(tmp_path, shop.service, shop.address, "--works", works, "--strict").returncode == 1


@pytest.mark.parametrize(
    "asked",
    [
        {"amount": "1100.00", "currency": "USD"},
        {"amount": "0.00", "currency": "EUR"},
        {"amount": "1100.123", "currency": "EUR"},
    ],
)
def test_a_promise_that_the_check_cannot_read_is_not_published(shop: Any, own: Any, tmp_path: Path, asked: dict[str, str]) -> None:
    def promise(row: dict[str, Any]) -> None:
        if row["id"] == "al-06":
            row["asked"] = asked

    done = own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, promise))
    assert (done.returncode, "Traceback" in done.stderr) == (1, False)
    assert "works.json: al-06: price" in done.stderr.replace("alder-lane: al-06", "al-06")
    assert not (tmp_path / "site").exists()


@pytest.mark.parametrize("name", ["photographs", ".site-old"])
def test_a_folder_of_somebody_else_is_left_alone(shop: Any, own: Any, tmp_path: Path, name: str) -> None:
    works = own.changed_works(tmp_path, lambda row: None)
    (tmp_path / name).mkdir()
    (tmp_path / name / "only-copy").touch()
    (tmp_path / "site").symlink_to(name)
    done = own.build(tmp_path, shop.service, shop.address, "--works", works)
    assert (done.returncode, "no link of an earlier build" in done.stderr) == (2, True)
    assert (tmp_path / name / "only-copy").exists()
    assert (tmp_path / "site").resolve().name == name


def test_an_earlier_build_goes_however_its_folder_is_written(shop: Any, own: Any, tmp_path: Path) -> None:
    works = own.changed_works(tmp_path, lambda row: None)
    (tmp_path / "beside").mkdir()
    for _ in range(2):
        done = own.build(tmp_path, shop.service, shop.address, "--works", works, "--out", tmp_path / "beside" / ".." / "site")
        assert done.returncode == 0, done.stderr
    assert len([path for path in tmp_path.iterdir() if path.name.startswith(".site-")]) == 1


@pytest.mark.parametrize(
    "body", ['{"welcome": "sign in"}', "<html>Sign in</html>", "[]", "null", '{"members": [1], "findings": [1], "price": 1}']
)
def test_an_answer_of_somebody_else_destroys_none(
    book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]], own: Any, tmp_path: Path, body: str
) -> None:
    """Where the service was there is a network's page with a 200: the service is away, and what it said before is used."""
    works = own.changed_works(tmp_path, lambda row: None)
    with serve(create_app(book, lambda: date(2026, 5, 1))) as service:
        assert own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works).returncode == 0
    kept = {file.name: file.read_text() for file in (tmp_path / "kept").iterdir()}

    class Portal(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write(body.encode())

        do_POST = do_GET

        def log_message(self, *words: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", int(service.rpartition(":")[2])), Portal) as portal:
        threading.Thread(target=portal.serve_forever, args=(0.05,), daemon=True).start()
        away = own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works)
        portal.shutdown()
    assert (away.returncode, "The service is away." in away.stderr) == (0, True), away.stderr
    assert {file.name: file.read_text() for file in (tmp_path / "kept").iterdir()} == kept


def test_without_the_service_the_last_good_prices_are_built_and_dated(
    book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]], own: Any, tmp_path: Path
) -> None:
    works = own.changed_works(tmp_path, lambda row: None)
    with serve(create_app(book, lambda: date(2026, 5, 1))) as service:
        assert own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works).returncode == 0
    for file in (tmp_path / "kept").iterdir():
        file.write_text(json.dumps({**json.loads(file.read_text()), "checked_at": "2026-04-28T09:30:00+00:00"}))
    away = own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works)
    assert (away.returncode, "0 new, 0 unchanged" in away.stdout.replace("answers ", "")) == (0, True)
    assert re.search("The oldest price is [0-9]+ days old", away.stderr)
    page = (tmp_path / "site/works/al-05.html").read_text()
    assert "Price of 28 April 2026, 09:30 UTC." in page
    assert shown(page) == "940.00 EUR"
    # A list that was never checked is not published on the strength of prices alone, and a damaged file is no price.
    fewer = tmp_path / "fewer.json"
    fewer.write_text(json.dumps(json.loads(works.read_text())[1:]))
    unchecked = own.build(tmp_path, service, "http://127.0.0.1:1", "--works", fewer)
    assert (unchecked.returncode, "nothing is kept of members/alder-lane/checks" in unchecked.stderr) == (3, True)
    for file in (tmp_path / "kept").iterdir():
        file.write_text("{")
    assert own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works).returncode == 3
    assert shown((tmp_path / "site/works/al-05.html").read_text()) == "940.00 EUR"


def test_a_key_without_the_books_builds_nothing(
    book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]], own: Any, tmp_path: Path
) -> None:
    ring = Keyring([Key("shop", hashlib.sha256(key.encode()).hexdigest(), (key,), "all") for key in ("desk", "books")])
    works = own.changed_works(tmp_path, lambda row: None)
    with serve(create_app(book, lambda: date(2026, 5, 1), keys=ring)) as service:
        desk = own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works, key="desk")
        books = own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works, key="books")
    assert (desk.returncode, books.returncode) == (2, 0)
    assert "books" in desk.stderr


def test_a_key_that_no_header_can_carry_is_not_told(own: Any, tmp_path: Path) -> None:
    for key in ("sesame-ü", "sesame open"):
        done = own.build(tmp_path, NOWHERE, NOWHERE, key=key)
        assert (done.returncode, "no header can carry" in done.stderr) == (2, True)
        assert "sesame" not in done.stderr


def test_words_for_machines_are_whole(shop: Any) -> None:
    page = shop.page("works/mf-08.html")
    said = json.loads(re.search(r"data-linked>(.*?)</script>", page, re.S)[1])
    assert said["@type"] == ["VisualArtwork", "Product"]
    assert said["height"] == {"@type": "QuantitativeValue", "value": "30", "unitCode": "CMT"}
    assert said["offers"]["availability"] == "https://schema.org/InStock"
    graph = dict(re.findall(r'<meta property="([a-z:_]+)" content="([^"]*)"', page))
    assert graph["og:type"] == "product"
    assert graph["og:url"] == f"{shop.address}/works/mf-08.html"
    assert Decimal(graph["product:price:amount"]) == Decimal(said["offers"]["price"])
    image = (shop.folder / "site" / graph["og:image"].removeprefix(f"{shop.address}/")).read_bytes()
    assert struct.unpack(">II", image[16:24]) == (600, 315)
    assert len(zlib.decompress(image[image.index(b"IDAT") + 4 : image.index(b"IEND") - 8])) == 315 * (600 * 3 + 1)
    assert "https://schema.org/SoldOut" in shop.page("works/al-15.html")


@pytest.mark.parametrize("path", ["/headers.json", "/../build.py", "/%2e%2e/build.py", "/works/", "/works/../../kept", "/x.html"])
def test_the_shops_server_hands_out_pages_alone(shop: Any, path: str) -> None:
    answer = httpx.get(httpx.URL(shop.address, raw_path=path.encode()), trust_env=False)
    assert answer.status_code == 404
    assert "Nothing hangs here" in answer.text
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]


def test_a_busy_service_is_waited_for(
    book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]], own: Any, tmp_path: Path
) -> None:
    """With 58 of the 60 questions of a minute used up, the build waits as it is asked to, and every answer is new."""
    works = own.changed_works(tmp_path, lambda row: None)
    with serve(create_app(book, lambda: date(2026, 5, 1), requests_per_minute=60)) as service:
        for _ in range(58):
            httpx.get(f"{service}/v1/members", trust_env=False)
        done = own.build(tmp_path, service, "http://127.0.0.1:1", "--works", works)
    assert (done.returncode, "13 answers new" in done.stdout) == (0, True), done.stderr

"""One price for a work, whoever asks: the shop, the members' scripts, the desk through its own server, an address, and the guide."""

import csv
import html
import io
import json
import os
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import httpx
import pytest

SHOP = Path(__file__).parents[3] / "demo_clients" / "shop"
SCRIPT = SHOP.parent / "scripts" / "evenhang_scripts.py"
WORKS: list[dict[str, Any]] = json.loads((SHOP / "works.json").read_text())


def shown(page: str) -> str:
    return re.search(r"data-price[^>]*>([^<]+)</data>", page)[1]


@pytest.fixture
def desk(shop: Any, serve_desk: ModuleType) -> Iterator[httpx.Client]:
    """What the tablet's page asks, over the desk's own server."""
    with serve_desk.Desk(shop.service, "") as made:
        thread = threading.Thread(target=made.serve_forever, args=(0.05,), daemon=True)
        thread.start()
        with httpx.Client(base_url=f"http://127.0.0.1:{made.server_port}/v1", trust_env=False) as client:
            yield client
        made.shutdown()
        thread.join(10)


def test_shop_scripts_desk_and_links_have_one_price(shop: Any, desk: httpx.Client) -> None:
    """The same work to the cent, whoever asks: the shop's page, its words for machines, the desk, a quote, an address, the scripts."""
    asked_at_the_desk = 0
    with httpx.Client(base_url=f"{shop.service}/v1", trust_env=False) as client:
        for row in WORKS:
            if "hours" not in row["work"] and not any("amount" in cost for cost in row["work"].get("costs", ())):
                said = desk.post(f"/members/{row['member']}/quotes", json={"work": row["work"]}).json()
                assert said["price"]["amount"] == shop_price(shop, row["id"]), row["id"]
                asked_at_the_desk += 1
            quote = client.post(f"/members/{row['member']}/quotes", json={"work": row["work"]}).json()["price"]
            page = shop.page(f"works/{row['id']}.html")
            linked = json.loads(re.search(r"data-linked>(.*?)</script>", page, re.S)[1])
            offer = (linked["offers"]["price"], linked["offers"]["priceCurrency"])
            assert offer == (quote["amount"], quote["currency"]), row["id"]
            if row["state"] != "sold":
                assert shown(page) == f"{quote['amount']} {quote['currency']}"
                ask = re.search('data-ask="([^"]+)"', page)
                if ask:
                    assert client.get(f"/{html.unescape(ask[1])}").json()["price"] == quote
    assert asked_at_the_desk > len(WORKS) / 2  # the others hold what a desk never says
    assert scripted(shop, WORKS) == {row["id"]: shop_price(shop, row["id"]) for row in WORKS}


def shop_price(shop: Any, id_: str) -> str:
    return str(json.loads(re.search(r"data-linked>(.*?)</script>", shop.page(f"works/{id_}.html"), re.S)[1])["offers"]["price"])


def scripted(shop: Any, works: list[dict[str, Any]]) -> dict[str, str]:
    """What the members' scripts say of the same works, handed over as a CSV."""
    out = io.StringIO()
    columns = [
        "member",
        "id",
        "medium",
        "height",
        "width",
        "depth",
        "unit",
        "panels",
        "format",
        "shape",
        "grade",
        "extras",
        "costs",
        "hours",
    ]
    writer = csv.DictWriter(out, columns)
    writer.writeheader()
    for row in works:
        work = row["work"]
        size = work.get("size") or {}
        cells = {"member": row["member"], "id": row["id"], **size}
        cells |= {name: work[name] for name in ("medium", "format", "shape", "grade", "hours") if name in work}
        if "panels" in work:
            cells |= {
                "unit": work["panels"][0]["unit"],
                "panels": " + ".join(f"{one['height']} x {one['width']}" for one in work["panels"]),
            }
        cells["extras"] = " + ".join(f"{one['name']} * {one.get('quantity', 1)}" for one in work.get("extras", []))
        cells["costs"] = " + ".join(
            one["name"] + (f" = {one['amount']['amount']}" if "amount" in one else "") for one in work.get("costs", [])
        )
        writer.writerow(cells)
    env = {"PATH": os.environ["PATH"], "EVENHANG_SERVICE": shop.service}
    words = [sys.executable, SCRIPT, "price", "-"]
    done = subprocess.run(words, input=out.getvalue().encode(), env=env, capture_output=True, check=True, timeout=60)
    return {row["id"]: row["price"] for row in csv.DictReader(io.StringIO(done.stdout.decode()))}


def test_a_format_of_the_guide_costs_in_the_shop_what_the_guide_says(shop: Any) -> None:
    found = set()
    for member in ("alder-lane", "bracken-gouge", "glimmerfallow"):
        guide = httpx.get(f"{shop.service}/v1/members/{member}/guide", trust_env=False).json()["guide"]
        prices = {(medium["medium"], row["format"]): row["unframed"]["amount"] for medium in guide["media"] for row in medium["rows"]}
        for row in WORKS:
            work = row["work"]
            key = (work["medium"], work.get("format"))
            if row["member"] == member and key in prices and not work.keys() - {"medium", "format", "title"}:
                assert shop_price(shop, row["id"]) == prices[key]
                found.add(row["id"])
    # 12 Paysage is 10 x 32 + 2 x 26 = 372, nearest 10: 370 (alder-lane's rules).
    assert {"al-10", "bg-01", "bg-08", "bg-11", "bg-12"} == found
    assert shop_price(shop, "al-10") == "370.00"

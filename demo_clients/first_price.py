"""A tour of a running service: a price and how it came about, a sale, an offer, the guide, a resale, every catalogue checked.

    python demo_clients/first_price.py [http://127.0.0.1:8317]

The standard library is all it needs. It waits until the service is ready.
"""

import json
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

DAY = "2026-05-01"
CATALOGUE = Path(__file__).parents[1] / "service/evenhang/demo/catalogue.json"
DIRECT = urllib.request.build_opener(urllib.request.ProxyHandler({}))  # loopback needs no proxy
WORK = {
    "medium": "oil",
    "size": {"height": "60", "width": "80", "unit": "cm"},
    "costs": [{"name": "frame"}],
    "hours": "20",
}


def wait_until_ready(base: str, seconds: float = 30) -> None:
    """Come back as soon as the service says that it is ready; SystemExit if it does not in time."""
    until = time.monotonic() + seconds
    while True:
        try:
            with DIRECT.open(f"{base}/health/ready", timeout=5):
                return
        except OSError:
            if time.monotonic() > until:
                raise SystemExit(f"No service at {base} after {seconds:g} s: start one with `evenhang serve`.") from None
            time.sleep(0.2)


def ask(base: str, path: str, question: dict[str, Any] | None = None) -> dict[str, Any]:
    """The answer to a question, or what is at an address without one; SystemExit with the service's own words where it declines."""
    body = None if question is None else json.dumps({"as_of": DAY, **question}).encode()
    request = urllib.request.Request(f"{base}/v1/{path}", data=body, headers={"Content-Type": "application/json"} if body else {})
    try:
        with DIRECT.open(request, timeout=30) as answer:
            return dict(json.load(answer))
    except urllib.error.HTTPError as refused:
        raise SystemExit(f"{path}: {refused.read().decode()}") from None


def text(money: dict[str, str]) -> str:
    return f"{money['amount']} {money['currency']}"


def show_price(base: str) -> dict[str, Any]:
    """Print the lines of a price, and what each outlet leaves of it."""
    quote = ask(base, "members/alder-lane/quotes", {"work": WORK, "view": "member"})
    print(f"An oil of 60 x 80 cm, framed. {quote['statement']}")
    for line in quote["lines"]:
        print(f"  {line['code']:<12} {line['amount']['amount']:>10}  {line['working']}")
    for settled in quote["settlements"]:
        print(f"  {settled['outlet']:<14} leaves {text(settled['proceeds'])}, {text(settled['yield_per_hour'])} an hour")
    return quote


def show_sale(base: str, quote: dict[str, Any]) -> None:
    """Print who gets what of that price with 10 % off in the gallery."""
    frame = next(step["amount"] for step in quote["settlements"][0]["steps"] if step["code"] == "costs")
    sale = {"outlet": "quay-gallery", "price": quote["price"], "discount_percent": "10", "costs": [{"name": "frame", "amount": frame}]}
    settled = ask(base, "members/alder-lane/settlements", sale)["settlement"]
    print(f"\nSold in quay-gallery at 10 % off: the buyer pays {text(settled['buyer_pays'])}.")
    for share in settled["shares"]:
        print(f"  {share['party']:<18} {share['amount']['amount']:>8}")


def show_offer(base: str) -> None:
    """Seal the price, and verify the token on its last day and on the day after."""
    offer = ask(base, "members/alder-lane/offers", {"work": WORK, "stands_days": 30})
    token = offer["token"]
    print(f"\nSealed into {len(token)} characters: {token[:24]}...{token[-8:]}")
    for day in (offer["last_on"], "2026-06-01"):
        print(f"  {day}: {ask(base, 'offers/verify', {'token': token, 'as_of': day})['statement']}")
    print(f"  {offer['note']}")


def show_guide(base: str) -> None:
    """Print the price guide of a member, as anybody may see it."""
    guide = ask(base, f"members/alder-lane/guide?as_of={DAY}")["guide"]
    print(f"\nThe price guide of {guide['title']}, in {guide['currency']}, from {guide['valid_from']} until {guide['valid_until']}:")
    for medium in guide["media"]:
        for row in medium["rows"]:
            print(f"  {medium['title']:<34} {row['title']:<14} {row['unframed']['amount']:>8}, framed {row['framed']['amount']:>8}")


def show_resale(base: str) -> None:
    """Print what a maker is due when a work is sold on through the trade."""
    sale = {"place": "de", "price": {"amount": "107000.00", "currency": "EUR"}, "tax_percent": "7"}
    royalty = ask(base, "resale-royalties", sale)["royalty"]
    print(f"\nSold on in {royalty['law']['title']} for {text(royalty['price'])}: the maker is due {text(royalty['royalty'])}.")
    for line in royalty["lines"]:
        print(f"  {line['label']:<18} {line['amount']['amount']:>8}  {line['working']}")


def show_checks(base: str) -> None:
    """Print what a check finds in each member's catalogue, and how few raises would mend its contradictions."""
    print("\nThe catalogues, checked (what is wrong was planted: service/evenhang/demo/PLANTED.md):")
    for member, works in json.loads(CATALOGUE.read_text(encoding="utf-8")).items():
        found = ask(base, f"members/{member}/checks", {"works": works, "mend": ["raise-only"]})
        findings = [finding for finding in found["findings"] if "about" not in finding]
        print(f"  {member}: {found['checked']} works, {len(findings)} findings")
        for finding in findings:
            said = finding["mend"] if finding["works"] else finding["detail"]  # of no work: what is missing says more than what to do
            print(f"    {finding['code']:<26} {', '.join(finding['works']):<14} {said}")
        for note in found["findings"]:
            if "about" in note:
                print(f"    not looked for: {note['about']}, {len(note['works'])} works. {note['detail']}")
        raised = found["mended"][0]
        print(f"    Prices to raise: {raised['raises']}, by {text(raised['raised'])} in all; then nothing contradicts.")


def main(base: str = "http://127.0.0.1:8317") -> None:
    """The whole tour."""
    wait_until_ready(base)
    quote = show_price(base)
    show_sale(base, quote)
    show_offer(base)
    show_guide(base)
    show_resale(base)
    show_checks(base)
    print(f"\n{quote['caution']}")


if __name__ == "__main__":
    main(*sys.argv[1:2])

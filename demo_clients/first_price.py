"""Ask a running service for one price, and print how it came about."""

import json
import urllib.request

ASKED = {
    "as_of": "2026-05-01",
    "view": "member",
    "work": {
        "medium": "oil",
        "size": {"height": "60", "width": "80", "unit": "cm"},
        "costs": [{"name": "frame"}],
        "hours": "20",
    },
}


def main() -> None:
    """Print the lines of the price, and what each outlet leaves."""
    request = urllib.request.Request(
        "http://127.0.0.1:8317/v1/members/alder-lane/quotes",
        data=json.dumps(ASKED).encode(),
        headers={"Content-Type": "application/json"},
    )
    with urllib.request.urlopen(request, timeout=30) as answer:
        quote = json.load(answer)
    print(quote["statement"])
    for line in quote["lines"]:
        print(f"  {line['code']:<12} {line['amount']['amount']:>10}  {line['working']}")
    for settled in quote["settlements"]:
        proceeds, hourly = settled["proceeds"], settled["yield_per_hour"]
        print(f"  {settled['outlet']:<14} leaves {proceeds['amount']} {proceeds['currency']}, {hourly['amount']} an hour")
    print(quote["settlements"][0]["caution"])


if __name__ == "__main__":
    main()

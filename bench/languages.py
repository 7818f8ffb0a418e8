"""What a language costs: a member's quote written in each, as a ratio to English in the same run. Prints a table; nothing is asserted.

Knows the demo alone. Run: python bench/languages.py
"""

import statistics
import subprocess
import sys
import time
from datetime import date

from evenhang.api.calls import Call
from evenhang.api.language import LANGUAGES, language_of
from evenhang.api.quotes import QuoteRequest, quote
from evenhang.api.reading import read_value
from evenhang.api.translation import encode
from evenhang.demo import RULES
from evenhang.rulebook.book import load_book

ROUNDS, REPEATS = 41, 40
WORK = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}], "hours": "20"}


def seconds(call: Call, language: str) -> float:
    """The time of one quote with its negotiation and its writing."""
    began = time.perf_counter()
    for _ in range(REPEATS):
        encode(quote(call), language_of(language))
    return (time.perf_counter() - began) / REPEATS


def main() -> None:
    """The median of paired ratios for each language and view, and what the first use of another language takes."""
    book = load_book(RULES)
    print(f"Python {sys.version.split()[0]}, {ROUNDS} paired rounds of {REPEATS} quotes")
    for view in ("public", "member"):
        body = read_value({"work": WORK, "as_of": "2026-05-01", "view": view}, QuoteRequest)
        call = Call(book, "alder-lane", date(2026, 5, 1), body)
        for language in LANGUAGES[1:]:
            seconds(call, language)
            pairs = [(seconds(call, language), seconds(call, "en")) for _ in range(ROUNDS)]
            ratio = statistics.median(there / here for there, here in pairs)
            print(f"{view:7} {language}: {ratio:.2f} x English ({statistics.median(here for _, here in pairs) * 1e6:.0f} us)")
    first = "import time; from decimal import Decimal\n"
    first += "from evenhang.api.translation import displayed; from evenhang.engine.money import Money\n"
    first += "t = time.perf_counter(); displayed(Money(Decimal(1), 'EUR'), {!r}); print(time.perf_counter() - t)"
    for language in ("en", "de"):
        runs = [
            subprocess.run([sys.executable, "-c", first.format(language)], capture_output=True, text=True, check=True) for _ in range(5)
        ]
        print(f"first amount in {language}: {statistics.median(float(run.stdout) for run in runs) * 1000:.1f} ms")


if __name__ == "__main__":
    main()

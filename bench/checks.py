"""How fast the checks over a catalogue are, as ratios to a baseline timed in the same run.

    PYTHONPATH=service python bench/checks.py [ROUNDS]

Processor time of this process; each figure is the median of paired ratios. It asserts nothing: the figures are for people.
"""

import json
import platform
import statistics
import sys
import sysconfig
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from itertools import combinations

from scipy.stats import theilslopes

from evenhang.api.checks import CheckRequest
from evenhang.api.reading import read_json
from evenhang.demo import RULES
from evenhang.engine.checks.check import check_catalogue
from evenhang.engine.checks.entries import Entry, grid_of_rules, read_entry, threshold
from evenhang.engine.checks.mending import least_change, raise_only
from evenhang.engine.checks.order import disorder
from evenhang.engine.robust import theil_sen
from evenhang.rulebook.book import load_book

ON = date(2026, 5, 1)
MEMBER = "alder-lane"
BOOK = load_book(RULES)
ON_RULES = BOOK.in_force(MEMBER, ON)


def catalogue(works: int) -> bytes:
    """Oils of many sizes at prices that have nothing to do with them, every third with a frame: the worst of catalogues."""
    rows = []
    for i in range(works):
        size = {"height": str(10 + i * 7919 % 9973), "width": "50", "unit": "cm"}
        work = {"medium": "oil", "size": size, "hours": "9", "costs": [{"name": "frame"}] if i % 3 == 0 else []}
        rows.append({"id": f"w{i}", "work": work, "price": {"amount": f"{300 + 10 * (i * 104729 % 15000)}.00", "currency": "EUR"}})
    return json.dumps({"as_of": "2026-05-01", "works": rows}).encode()


def read(works: int) -> CheckRequest:
    return read_json(catalogue(works), CheckRequest)


def entries(works: int) -> list[Entry]:
    one = partial(read_entry, ON_RULES, partial(BOOK.in_force, MEMBER), grid_of_rules(ON_RULES))
    return [one(item, at, ON) for at, item in enumerate(read(works).works)]


def all_pairs(those: list[Entry]) -> int:
    """The definition, written out: every pair of works."""
    found = 0
    for a, b in combinations(those, 2):
        small, large = (a, b) if a.key <= b.key else (b, a)
        difference = small.art - large.art
        found += (abs(difference) if a.key == b.key else difference) > threshold(a, b)
    return found


def spent(run: Callable[[], object]) -> float:
    start = time.process_time()
    run()
    return time.process_time() - start


def ratio(run: Callable[[], object], baseline: Callable[[], object], rounds: int) -> float:
    return statistics.median(spent(run) / spent(baseline) for _ in range(rounds))


def main(rounds: int = 5) -> None:
    """Print every ratio."""
    rules, few, many = ON_RULES, entries(1_000), entries(10_000)
    assert disorder(few).pairs == all_pairs(few)
    raw, works = catalogue(10_000), read(10_000).works
    check = partial(check_catalogue, rules, partial(BOOK.in_force, MEMBER), works, ON)
    x = [float(i * 7919 % 9973) for i in range(3_000)]
    y = [0.7 * a + i * 104729 % 997 for i, a in enumerate(x)]
    rounding = rules.rounding("EUR")
    build = sysconfig.get_config_var("CONFIG_ARGS") or ""
    optimised = "with PGO" if "--enable-optimizations" in build else "build unknown"
    print(f"{platform.python_implementation()} {platform.python_version()} ({optimised}), medians of {rounds} paired ratios")
    rows: list[tuple[str, Callable[[], object], Callable[[], object]]] = [
        ("contradictions of 1,000 works : all pairs of them", lambda: disorder(few), lambda: all_pairs(few)),
        ("contradictions of 10,000 works : all pairs of 1,000", lambda: disorder(many), lambda: all_pairs(few)),
        ("contradictions of 10,000 works : of 1,000", lambda: disorder(many), lambda: disorder(few)),
        ("Theil-Sen of 3,000 points : scipy's", lambda: theil_sen(x, y), lambda: theilslopes(y, x)),
        ("raise-only list of 10,000 : their contradictions", lambda: raise_only(many, rounding), lambda: disorder(many)),
        ("least-change list of 10,000 : their contradictions", lambda: least_change(many, rounding), lambda: disorder(many)),
        ("the whole check of 10,000 : decoding their 2 MB", check, lambda: read_json(raw, CheckRequest)),
    ]
    for title, run, baseline in rows:
        print(f"  {title:<55} {ratio(run, baseline, rounds):8.3f}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

"""The counters as an answer: for the steward's monitoring, outside the contract.

Knows the meters and the shelf of rules.
"""

from evenhang.api.calls import Call, Operation
from evenhang.api.meters import heading
from evenhang.api.replies import Reply

TEXT = "text/plain; version=0.0.4; charset=utf-8"


def read_metrics(call: Call) -> Reply:
    """The counts, and which rules are served."""
    house = call.house
    assert house is not None  # a running app has one
    health = house.shelf.health if house.shelf is not None else None
    out = house.meters.lines()
    out += heading("evenhang_rules_info", "gauge", "The rules that are served, by the digest over all sets.")
    out.append(f'evenhang_rules_info{{digest="{call.book.digest}"}} 1')
    if health is not None and house.shelf is not None:
        out += heading("evenhang_rules_loaded_timestamp_seconds", "gauge", "When they were loaded, in Unix time.")
        out.append(f"evenhang_rules_loaded_timestamp_seconds {health.loaded_at.timestamp():.3f}")
        out += heading("evenhang_rules_failing", "gauge", "1 where the folder holds rules that are refused and older ones are served.")
        out.append(f"evenhang_rules_failing {int(health.failing)}")
        out += heading("evenhang_rules_reload_failures_total", "counter", "Readings of the folder that were refused.")
        out.append(f"evenhang_rules_reload_failures_total {house.shelf.failures}")
    return Reply(("\n".join(out) + "\n").encode(), TEXT)


METRICS = Operation("metrics", "GET", "/metrics", "", "", (Reply,), read_metrics, scope="steward", base="", media=(TEXT,), limited=False)

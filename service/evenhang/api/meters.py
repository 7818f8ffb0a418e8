"""What the service counts of itself, in the text format that monitoring reads (Prometheus exposition format 0.0.4).

Knows requests as they were asked and answered; knows no operation. Each process counts for itself, from its start.
"""

from bisect import bisect_left
from itertools import accumulate

from evenhang.api.asked import Asked

BOUNDS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 60.0)  # seconds, each inclusive
METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"})
UNANSWERED = 500  # where not even a problem document could be sent


class Meters:
    """Requests by route, method and status, and how long they took by route. Strangers cannot make the tables grow: routes and
    statuses are ours, and a method that nobody knows is "other"."""

    def __init__(self) -> None:
        self.requests: dict[tuple[str, str, int], int] = {}
        self.took: dict[str, list[int]] = {}
        self.seconds: dict[str, float] = {}

    def count(self, asked: Asked, seconds: float) -> None:
        """Count a request that is over; a client that hung up has the status that says so, and is no fault of the service."""
        key = asked.route, asked.method if asked.method in METHODS else "other", asked.status or UNANSWERED
        self.requests[key] = self.requests.get(key, 0) + 1
        took = self.took.setdefault(asked.route, [0] * (len(BOUNDS) + 1))
        took[bisect_left(BOUNDS, seconds)] += 1
        self.seconds[asked.route] = self.seconds.get(asked.route, 0.0) + seconds

    def lines(self) -> list[str]:
        """The samples with their headings."""
        out = heading("evenhang_requests_total", "counter", "Requests that are over; 499 is a client that hung up.")
        for (route, method, status), n in sorted(self.requests.items()):
            out.append(f'evenhang_requests_total{{route="{route}",method="{method}",status="{status}"}} {n}')
        out += heading("evenhang_request_seconds", "histogram", "From a request's head to the end of its answer.")
        for route, took in sorted(self.took.items()):
            for bound, n in zip((*BOUNDS, "+Inf"), accumulate(took), strict=True):
                out.append(f'evenhang_request_seconds_bucket{{route="{route}",le="{bound}"}} {n}')
            out.append(f'evenhang_request_seconds_sum{{route="{route}"}} {self.seconds[route]:.6f}')
            out.append(f'evenhang_request_seconds_count{{route="{route}"}} {sum(took)}')
        return out


def heading(name: str, kind: str, words: str) -> list[str]:
    """The two lines that stand before the samples of one name."""
    return [f"# HELP {name} {words}", f"# TYPE {name} {kind}"]

"""How often somebody may ask: a bucket of tokens for each key, or for each address without one.

Knows names and a clock; knows no request. The buckets are this process's own: behind several, each gives the whole rate.
"""

import math
import time
from collections import OrderedDict
from collections.abc import Callable

from evenhang.api.problems import Declined

MOST_BUCKETS = 50_000
WINDOW = 60  # seconds
Pairs = list[tuple[bytes, bytes]]


class Rates:
    """`quota` requests may come at once, and as many each minute: a token is used by each and comes back evenly."""

    def __init__(self, quota: int, clock: Callable[[], float] = time.monotonic) -> None:
        self.quota = quota
        self.clock = clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._policy = (b"ratelimit-policy", f'"requests";q={quota};w={WINDOW}'.encode())

    def take(self, name: str) -> Pairs:
        """Use one of the name's tokens; the fields of draft-ietf-httpapi-ratelimit-headers-09. Declined (429) where none is left."""
        now = self.clock()
        left, since = self._buckets.pop(name, (float(self.quota), now))
        left = min(float(self.quota), left + (now - since) * self.quota / WINDOW)
        wait = math.ceil((1 - left) * WINDOW / self.quota)
        self._buckets[name] = (left - 1 if left >= 1 else left, now)
        if len(self._buckets) > MOST_BUCKETS:
            self._buckets.popitem(last=False)
        if left < 1:
            again = {"Retry-After": str(wait), "RateLimit-Policy": self._policy[1].decode(), "RateLimit": f'"requests";r=0;t={wait}'}
            raise Declined(429, f"Wait {wait} s; {self.quota} requests a minute are answered.", headers=again)
        full = math.ceil((self.quota - left + 1) * WINDOW / self.quota)
        return [self._policy, (b"ratelimit", f'"requests";r={int(left - 1)};t={full}'.encode())]

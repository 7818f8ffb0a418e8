"""What a batch costs: memory while it grows, rows a second against single quotes, and what its neighbours feel, in one run.

    PYTHONPATH=service python bench/batch.py [LINES] [SECONDS]

A server of its own process over the demo's rules; quotes one by one over one connection, then batches of a hundredth, a tenth and all of
LINES (100,000 unless given), each given up after SECONDS (120 unless given). Memory is the server's resident set as Linux counts it,
looked at while the answer is read. It asserts nothing: the figures are for people.
"""

import json
import os
import platform
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import httpx

WORK = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}]}
LINE = json.dumps({"id": "harbour", "member": "alder-lane", "work": WORK}).encode() + b"\n"
LINES = {"content-type": "application/x-ndjson"}


def resident(pid: int) -> float:
    """Megabytes in memory."""
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def single(client: httpx.Client, seconds: float) -> tuple[float, list[float]]:
    """Quotes a second, one after the other, and how long each took."""
    took = []
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        began = time.perf_counter()
        client.post("/v1/members/alder-lane/quotes", json={"work": WORK}).raise_for_status()
        took.append(time.perf_counter() - began)
    return len(took) / sum(took), took


def body(lines: int) -> Iterator[bytes]:
    """The lines, a thousand at a time."""
    for at in range(0, lines, 1_000):
        yield LINE * min(1_000, lines - at)


def batch(client: httpx.Client, lines: int, pid: int, seconds: float) -> tuple[float, float, str]:
    """Rows a second from the first byte sent, the highest resident set, and the end of the last line, or why there is none."""
    began, most, last = time.perf_counter(), resident(pid), b""
    with client.stream("POST", "/v1/quotes", content=body(lines), headers=LINES, timeout=600) as answer:
        for i, piece in enumerate(answer.iter_bytes(65_536)):
            last = (last + piece)[-400:]
            most = max(most, resident(pid)) if i % 8 == 0 else most
            if time.perf_counter() - began > seconds:
                return 0, most, f"given up after {seconds} s"
    return lines / (time.perf_counter() - began), most, json.loads(last.splitlines()[-1])["summary"]["count"]


def neighbour(address: str, stop: threading.Event, took: list[float]) -> None:
    """A quote now and then over a connection of its own, until told to stop."""
    with httpx.Client(base_url=address, trust_env=False) as client:
        while not stop.wait(0.05):
            began = time.perf_counter()
            client.post("/v1/members/alder-lane/quotes", json={"work": WORK}).raise_for_status()
            took.append(time.perf_counter() - began)


def measure(address: str, pid: int, lines: int, seconds: float) -> None:
    with httpx.Client(base_url=address, trust_env=False) as client:
        single(client, 1)
        rate, alone = single(client, 3)
        print(f"one by one       {rate:8.0f} quotes/s, each {statistics.median(alone) * 1e3:.1f} ms; resident {resident(pid):.0f} MB")
        for count in (lines // 100, lines // 10, lines):
            stop, took = threading.Event(), []
            beside = threading.Thread(target=neighbour, args=(address, stop, took))
            beside.start()
            rows, most, end = batch(client, count, pid, seconds)
            stop.set()
            beside.join()
            waits = sorted(took) or [0.0]
            felt = f"{statistics.median(waits) * 1e3:.1f} ms, 95 % {waits[int(len(waits) * 0.95) - 1] * 1e3:.1f} ms of {len(took)}"
            print(f"{count:>9} lines  {rows:8.0f} rows/s ({rows / rate:.2f} x); resident {most:.0f} MB; neighbours {felt}; count {end}")


def main() -> None:
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 120
    print(f"{platform.python_implementation()} {platform.python_version()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    quiet = {**os.environ, "EVENHANG_REQUESTS_PER_MINUTE": "0", "EVENHANG_ACCESS_LOG": "false"}
    server = subprocess.Popen([sys.executable, "-m", "evenhang", "serve", "--port", str(port)], env=quiet, stderr=subprocess.DEVNULL)
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(100):
            try:
                httpx.get(f"{address}/health/ready", trust_env=False).raise_for_status()
                break
            except httpx.HTTPError:
                time.sleep(0.2)
        measure(address, server.pid, lines, seconds)
    finally:
        server.terminate()
        server.wait(20)


if __name__ == "__main__":
    main()

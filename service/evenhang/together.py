"""Service, shop and front desk together, from a checkout: starts them on loopback, and ends them with itself.

Knows processes; knows no price.
"""

import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path
from types import FrameType

# Beside the source, or where the package is installed and the checkout is this folder.
CLIENTS = next(
    (top / "demo_clients" for top in (Path(__file__).parents[2], Path.cwd()) if (top / "demo_clients").is_dir()), Path("demo_clients")
)
PATIENCE = 60  # seconds until the service is ready
DIRECT = urllib.request.build_opener(urllib.request.ProxyHandler({}))


class NotTogether(Exception):
    """The three cannot be started; says why."""


def run_together(service: int, shop: int, desk: int, tell: Callable[[str], None]) -> None:
    """Run all three on these ports until Ctrl-C or SIGTERM comes.

    NotTogether where clients or tools are missing, a port is taken, or one of them ends.
    """
    if not (CLIENTS / "shop" / "build.py").exists():
        raise NotTogether("the shop and the desk stand beside the source, not in the package: run this from a checkout")
    house, wall = f"http://127.0.0.1:{service}", f"http://127.0.0.1:{shop}"
    ports = {"service": service, "shop": shop, "desk": desk}
    for name, port in ports.items():
        if not _free(port) or list(ports.values()).count(port) > 1:
            raise NotTogether(f"port {port} is taken; choose another for the {name}: --{'' if name == 'service' else name + '-'}port")
    running: dict[str, subprocess.Popen[bytes]] = {}

    def start(name: str, *words: str, **more: str) -> None:
        running[name] = subprocess.Popen([sys.executable, *words], env=os.environ | more)

    before = signal.signal(signal.SIGTERM, _interrupt)  # without it the three would outlive who started them
    with tempfile.TemporaryDirectory() as kept:
        try:
            words = ("-m", "evenhang", "serve", "--port", str(service))
            start("service", *words, EVENHANG_ORIGINS=f'["{wall}"]', EVENHANG_ACCESS_LOG="false")
            _wait(house, running["service"])
            site = str(Path(kept) / "site")
            build = [str(CLIENTS / "shop" / "build.py"), "--service", house, "--address", wall, "--kept", f"{kept}/kept", "--out", site]
            if subprocess.run([sys.executable, *build], check=False).returncode:
                raise NotTogether("the shop was not built; its tools are in the development extra: pip install '.[dev]'")
            start("shop", str(CLIENTS / "shop" / "serve.py"), "--site", site, "--port", str(shop))
            start("desk", str(CLIENTS / "tablet" / "serve.py"), "--service", house, "--port", str(desk))
            tell(
                f"service  {house}/docs\nguide    {house}/v1/members/alder-lane/guide\nshop     {wall}/\ndesk     http://127.0.0.1:{desk}/"
            )
            tell("Ctrl-C ends all three.")
            while True:
                for name, one in running.items():
                    if one.poll() is not None:
                        raise NotTogether(f"the {name} has ended; what it said stands above")
                time.sleep(0.2)
        except KeyboardInterrupt:
            tell("Ending.")
        finally:
            signal.signal(signal.SIGTERM, signal.SIG_IGN)  # the end is not interrupted by being asked for twice
            for one in reversed(running.values()):
                one.terminate()
            for one in running.values():
                one.wait(30)
            signal.signal(signal.SIGTERM, before or signal.SIG_DFL)


def _interrupt(number: int, frame: FrameType | None) -> None:
    """End as with Ctrl-C."""
    raise KeyboardInterrupt


def _free(port: int) -> bool:
    """Whether nobody listens there yet."""
    with socket.socket() as asked:
        asked.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as the servers do
        try:
            asked.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True


def _wait(house: str, service: subprocess.Popen[bytes]) -> None:
    """Until the service is ready. NotTogether where it ends first or takes too long."""
    until = time.monotonic() + PATIENCE
    while service.poll() is None and time.monotonic() < until:
        try:
            with DIRECT.open(f"{house}/health/ready", timeout=5):
                if service.poll() is None:  # else somebody else has answered
                    return
        except OSError:
            time.sleep(0.2)
    raise NotTogether("the service did not become ready; what it said stands above")

"""The proxy's configuration, read by the proxy and run in front of the service."""

import contextlib
import os
import shutil
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

CONFIG = Path(__file__).parents[1] / "deploy" / "nginx.conf"
QUOTE = {"work": {"medium": "oil", "format": "30f"}}


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def fitted(folder: Path, server: str) -> tuple[Path, int]:
    """The configuration with this machine's places: one instance lives, the other is gone; and short patience."""
    port, plain, gone = free_port(), free_port(), free_port()
    text = CONFIG.read_text()
    for said, here in {
        "/var/cache/evenhang": str(folder), "/run/evenhang-proxy.pid": f"{folder}/pid", "/etc/evenhang/tls": str(folder),
        "listen 443 ssl": f"listen 127.0.0.1:{port} ssl", "listen 80;": f"listen 127.0.0.1:{plain};",
        "127.0.0.1:8317": f"127.0.0.1:{gone}", "127.0.0.1:8318": server.removeprefix("http://"),
        "client_header_timeout 10s": "client_header_timeout 1s", "client_body_timeout 20s": "client_body_timeout 1s",
        "client_max_body_size 200m": "client_max_body_size 1m",
    }.items():  # fmt: skip
        assert said in text, said
        text = text.replace(said, here)
    (folder / "nginx.conf").write_text("daemon off;\n" + text)
    names = ["-subj", "/CN=prices.example", "-addext", "subjectAltName=DNS:prices.example"]
    made = ["-keyout", f"{folder}/key.pem", "-out", f"{folder}/fullchain.pem", "-days", "2"]
    subprocess.run(["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", *names, *made], check=True,
                   capture_output=True)  # fmt: skip
    return folder / "nginx.conf", port


@pytest.fixture(scope="module")
def proxy(server: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """The address of the proxy and its certificate."""
    nginx = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")
    if nginx is None:
        how = "there is no nginx: apt-get install nginx-light"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)
    folder = tmp_path_factory.mktemp("proxy")
    config, port = fitted(folder, server)
    read = subprocess.run([nginx, "-t", "-c", str(config), "-p", str(folder)], capture_output=True, text=True, check=False)
    assert read.returncode == 0, read.stderr
    assert "[warn]" not in read.stderr.replace("could not open error log", ""), read.stderr
    process = subprocess.Popen([nginx, "-c", str(config), "-p", str(folder)], stderr=subprocess.DEVNULL)
    for _ in range(100):
        with socket.socket() as wire:
            if wire.connect_ex(("127.0.0.1", port)) == 0:
                break
        time.sleep(0.05)
    yield f"https://127.0.0.1:{port}", folder / "fullchain.pem"
    process.terminate()
    process.wait(10)


@pytest.fixture
def client(proxy: tuple[str, Path]) -> Iterator[httpx.Client]:
    address, certificate = proxy
    trusted = ssl.create_default_context(cafile=str(certificate))
    trusted.check_hostname = False  # the certificate is for the name, the test asks the address
    with httpx.Client(base_url=address, verify=trusted, trust_env=False, headers={"Host": "prices.example"}) as made:
        yield made


def test_every_request_is_answered_although_an_instance_is_gone(client: httpx.Client) -> None:
    """POST too: it changes nothing, so it is tried again."""
    for _ in range(10):
        answer = client.post("/v1/members/alder-lane/quotes", json=QUOTE)
        assert answer.status_code == 200
        assert answer.headers["strict-transport-security"]
        assert "server" not in answer.headers or "/" not in answer.headers["server"]


def test_the_services_own_refusals_pass_as_they_are(client: httpx.Client) -> None:
    answer = client.get("/v1/members/nobody/price?medium=oil")
    assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")
    assert answer.json()["detail"] == "There is no such member."


def test_what_the_proxy_declines_is_a_problem_too(client: httpx.Client) -> None:
    large = client.post("/v1/members/alder-lane/quotes", content=b" " * 1_100_000, headers={"Content-Type": "application/json"})
    long = client.get("/v1/members?" + "x" * 17_000)
    for answer, status in ((large, 413), (long, 414)):
        assert (answer.status_code, answer.headers["content-type"]) == (status, "application/problem+json")
        assert answer.json()["status"] == status


HALVES = (
    b"GET / HTTP/1.1\r\nHost: prices.example\r\nX: ",
    b"POST /v1/members/a/quotes HTTP/1.1\r\nHost: prices.example\r\nContent-Length: 99\r\n\r\n{",
)


@pytest.mark.parametrize("sent", HALVES)
def test_a_slow_client_is_let_go(proxy: tuple[str, Path], sent: bytes) -> None:
    host, _, port = proxy[0].removeprefix("https://").partition(":")
    context = ssl.create_default_context(cafile=str(proxy[1]))
    began = time.monotonic()
    with (
        socket.create_connection((host, int(port)), timeout=10) as wire,
        context.wrap_socket(wire, server_hostname="prices.example") as tls,
    ):
        tls.sendall(sent)
        with contextlib.suppress(OSError):  # reset: the connection is gone either way
            while tls.recv(1_000):
                pass
    assert time.monotonic() - began < 8

"""The tour through the demo, run as the README runs it, against a running server."""

import importlib.util
import json
import re
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from evenhang.demo import CATALOGUE

CLIENT = Path(__file__).parents[2] / "demo_clients" / "first_price.py"


@pytest.fixture(scope="module")
def tour() -> ModuleType:
    spec = importlib.util.spec_from_file_location("first_price", CLIENT)
    assert spec
    assert spec.loader
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def test_the_tour_prices_settles_and_checks(server: str) -> None:
    said = subprocess.run([sys.executable, CLIENT, server], capture_output=True, text=True, check=True, timeout=60).stdout
    assert "940.00 EUR" in said
    assert "held at the dearest smaller size" in said
    # 846 paid, 76.91 tax in it; commission 45 % of (769.09 - 61) is 318.64, 20 % on it 63.73, levy 15.38: 371.34 left.
    assert "member               371.34" in said
    assert "2026-05-31: This offer is genuine and stands at 940.00 EUR" in said
    assert "2026-06-01: This offer of 940.00 EUR is genuine, but 2026-05-31 was its last day." in said
    assert re.search("30 x 40 cm +250.00, framed +310.00", said)
    # 107,000 with 7 % in it is 100,000 net: 4 % of 50,000 and 3 % of 50,000.
    assert "the maker is due 3500.00 EUR" in said
    for member, works in json.loads(CATALOGUE.read_text()).items():
        assert f"{member}: {len(works)} works" in said
    assert "al-05, al-06" in said
    assert "licensed adviser" in said


def test_the_tour_says_why_it_stops(server: str, tour: ModuleType) -> None:
    with pytest.raises(SystemExit, match="fresco"):
        tour.ask(server, "members/alder-lane/quotes", {"work": {"medium": "fresco"}})
    with pytest.raises(SystemExit, match="evenhang serve"):
        tour.wait_until_ready("http://127.0.0.1:9", seconds=0.1)

"""The scripts as a member starts them: a process of its own, in a pipe, with nothing of the environment but what a test gives."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "demo_clients" / "scripts"
SCRIPT = FOLDER / "evenhang_scripts.py"
Done = subprocess.CompletedProcess[bytes]


@pytest.fixture
def run(server: str) -> Callable[..., Done]:
    def started(*words: str | Path, stdin: bytes = b"", **more: str) -> Done:
        env = {"PATH": os.environ["PATH"], "EVENHANG_SERVICE": server, **more}
        return subprocess.run([sys.executable, SCRIPT, *words], input=stdin, capture_output=True, env=env, check=False, timeout=60)

    return started

"""The Node tools of the contract's gates, for tests that see them fail on planted faults."""

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="session")
def node_tool() -> Run:
    """Run one of the tools of .ci/package.json. Without them: a skip by hand, a failure in CI."""
    tools = ROOT / ".ci" / "node_modules" / ".bin"
    if not (tools / "redocly").exists():
        how = "the Node tools are not installed: npm ci --ignore-scripts --prefix .ci"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)

    def run(tool: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        quiet = {**os.environ, "REDOCLY_TELEMETRY": "off", "NO_COLOR": "1"}
        return subprocess.run(
            [str(tools / tool), *arguments], cwd=ROOT, env=quiet, capture_output=True, text=True, timeout=120, check=False
        )

    return run

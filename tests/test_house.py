"""House rules as ordinary tests: lengths, reasons, words, locks, and import contracts that do fail on a fault."""

import ast
import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MOST_LINES = 250
# Longer for a reason, and how long at most.
LONGER = {"service/evenhang/engine/rules.py": (430, "one small struct for each kind of rule, which read best side by side")}

# Written in parts, so that this file does not name what it forbids.
HOSTS = [
    "pypi" + ".org",
    "python" + "hosted.org",
    "registry." + "npmjs",
    "npmjs" + ".org",
    "yarnpkg" + ".com",
    "deb." + "debian",
    "crates" + ".io",
]
MACHINE = re.compile(r"(?<![\w.])/(" + "|".join(["work/(?:main|shared|steering|[.])", "farm/", "root/", "home/", "tmp/w/", "Users/"]) + ")")


def tracked() -> list[Path]:
    """Every file of the checkout that is or would be committed."""
    asked = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    run = subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, check=False)
    if run.returncode:
        pytest.skip("this is no git checkout")
    return [path for name in run.stdout.split("\0") if name and (path := ROOT / name).is_file()]


def python_files() -> list[Path]:
    return [path for path in tracked() if path.suffix == ".py"]


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_files_are_short() -> None:
    long = {named(p): n for p in python_files() if (n := len(p.read_text().splitlines())) > LONGER.get(named(p), (MOST_LINES,))[0]}
    assert long == {}


def test_longer_files_are_still_there_and_still_long() -> None:
    for name in LONGER:
        assert len((ROOT / name).read_text().splitlines()) > MOST_LINES, f"{name} needs no exception any more"


def test_every_module_says_what_it_is() -> None:
    silent = [named(p) for p in python_files() if not ast.get_docstring(ast.parse(p.read_text()))]
    assert silent == []


def test_each_decision_has_a_number_of_its_own() -> None:
    """Two branches that each add the next number are merged in peace by git; a reference must lead to one decision."""
    book = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    numbers = re.findall(r"^- D(\d+)\. ", book, re.MULTILINE)
    assert sorted(set(numbers), key=int) == sorted(numbers, key=int)
    assert set(re.findall(r"\bD(\d+)\b", book)) == set(numbers)


def test_no_registry_host_and_no_path_of_a_machine() -> None:
    found = []
    for path in tracked():
        text = path.read_text(encoding="utf-8", errors="replace")
        found += [f"{named(path)}: {host}" for host in HOSTS if host in text]
        found += [f"{named(path)}: {match[0]}" for match in MACHINE.finditer(text)]
    assert found == []


# What stands after the comment that excuses a line must go on in words.
EXCUSE = re.compile(r"#\s*(?:noqa\b(?::\s*[A-Z0-9, ]+)?|type:\s*ignore(?:\[[a-z, -]+\])?|pragma:\s*no cover)(?P<reason>.*)$")


def test_every_excused_line_has_its_reason() -> None:
    bare = []
    for path in python_files():
        for number, line in enumerate(path.read_text().splitlines(), 1):
            excuse = EXCUSE.search(line)
            if excuse and path != Path(__file__) and len(re.sub(r"\W", "", excuse["reason"])) < 6:
                bare.append(f"{named(path)}:{number}")
    assert bare == []


@pytest.mark.parametrize(
    ("line", "bare"),
    [
        ("x = 1  # noqa: E501", True),
        ("x = f()  # type: ignore[arg-type]  # the loop fills exactly three", False),
        ("y()  # pragma: no cover", True),
    ],
)
def test_the_rule_on_excuses_sees_them(line: str, bare: bool) -> None:
    excuse = EXCUSE.search(line)
    assert excuse
    assert (len(re.sub(r"\W", "", excuse["reason"])) < 6) is bare


def test_every_rule_turned_off_has_its_reason() -> None:
    settings = (ROOT / "pyproject.toml").read_text()
    ignored = re.findall(r'^\s+"[A-Z]+[0-9]+",(.*)$', settings.split("[tool.ruff.lint]")[1].split("\n[tool.mypy]")[0], re.M)
    off = [line for name in ("spectral.yaml", "redocly.yaml") for line in (ROOT / ".ci" / name).read_text().splitlines() if ": off" in line]
    assert ignored
    assert off
    assert [line for line in (*ignored, *off) if "#" not in line] == []


def test_the_lock_holds_every_dependency_with_its_hash() -> None:
    lock = (ROOT / "requirements.lock").read_text()
    pinned = set(re.findall(r"^([a-z0-9-]+)(?:\[[a-z,]+\])?==", lock, re.M))
    wanted = {re.split(r"[><=\[;]", line)[0] for line in tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]}
    assert wanted - pinned == set()
    assert len(re.findall(r"==\S+ \\\n    --hash=sha256:[0-9a-f]{64}", lock)) == len(pinned)


def contracts_hold(folder: Path) -> tuple[int, str]:
    """The exit status and the report of the import contracts over a copy of the package."""
    code = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    run = subprocess.run(
        [sys.executable, "-c", code, "--no-cache"],
        cwd=folder, env={**os.environ, "PYTHONPATH": str(folder / "service")}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    return run.returncode, run.stdout + run.stderr


@pytest.fixture
def house(tmp_path: Path) -> Path:
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    shutil.copytree(ROOT / "service", tmp_path / "service", ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def test_import_contracts_hold_as_they_stand(house: Path) -> None:
    status, report = contracts_hold(house)
    assert status == 0, report


@pytest.mark.parametrize(
    ("file", "line"),
    [
        ("engine/money.py", "import litestar"), ("engine/money.py", "import os"), ("engine/quote.py", "import time"),
        ("engine/quote.py", "from evenhang.rulebook import book"), ("rulebook/book.py", "from evenhang.api import calls"),
        ("api/calls.py", "from evenhang import cli"),
    ],
)  # fmt: skip
def test_import_contracts_fail_on_a_planted_fault(house: Path, file: str, line: str) -> None:
    path = house / "service" / "evenhang" / file
    path.write_text(path.read_text() + f"\n{line}\n")
    status, report = contracts_hold(house)
    assert status == 1, report
    assert "BROKEN" in report

"""What is set from outside: the order of weight, and that nothing is passed over in silence."""

from pathlib import Path

import pytest

from evenhang.settings import BadSettings, load_settings


@pytest.fixture(autouse=True)
def bare(monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    for name in [name for name in os.environ if name.upper().startswith("EVENHANG_")]:
        monkeypatch.delenv(name)


def toml(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    (tmp_path / "evenhang.toml").write_text(text)
    monkeypatch.setenv("EVENHANG_CONFIG", str(tmp_path / "evenhang.toml"))


def secret(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, text: str) -> None:
    (tmp_path / "secrets").mkdir(exist_ok=True)
    (tmp_path / "secrets" / name).write_text(text)
    monkeypatch.setenv("EVENHANG_SECRETS_DIR", str(tmp_path / "secrets"))


def test_option_beats_environment_beats_secret_beats_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert load_settings().port == 8317
    toml(tmp_path, monkeypatch, 'port = 1\nhosts = ["prices.example"]\n')
    assert (load_settings().port, load_settings().hosts) == (1, ("prices.example",))
    secret(tmp_path, monkeypatch, "evenhang_port", "2")
    assert load_settings().port == 2
    monkeypatch.setenv("EVENHANG_PORT", "3")
    assert load_settings().port == 3
    assert load_settings(port=4, keys=None).port == 4


@pytest.mark.parametrize(
    ("name", "said", "words"),
    [
        ("EVENHANG_PROT", "1", "is EVENHANG_PORT meant?"), ("EVENHANG_REQUEST_PER_MINUTE", "1", "is EVENHANG_REQUESTS_PER_MINUTE meant?"),
        ("EVENHANG_PORT", "0", "port"), ("EVENHANG_PORT", "eighty", "port"), ("EVENHANG_DRAIN_SECONDS", "-1", "drain_seconds"),
        ("EVENHANG_ORIGINS", "https://shop.example", "origins"), ("EVENHANG_ORIGINS", '["*"]', "lower case, no path, no star"),
        ("EVENHANG_ORIGINS", '["https://shop.example/"]', "no path"), ("EVENHANG_ORIGINS", '["HTTPS://shop.example"]', "lower case"),
        ("EVENHANG_CONFIG", "none.toml", "no such file"), ("EVENHANG_SECRETS_DIR", "none", "no such folder"),
    ],
)  # fmt: skip
def test_a_mistake_in_the_environment_is_refused(monkeypatch: pytest.MonkeyPatch, name: str, said: str, words: str) -> None:
    monkeypatch.setenv(name, said)
    with pytest.raises(BadSettings) as bad:
        load_settings()
    assert words in str(bad.value)


def test_a_mistake_in_the_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    toml(tmp_path, monkeypatch, "prot = 1\n")
    with pytest.raises(BadSettings, match="prot"):
        load_settings()
    toml(tmp_path, monkeypatch, "port = \n")
    with pytest.raises(BadSettings):
        load_settings()


def test_a_mistyped_secret_is_refused_and_not_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    secret(tmp_path, monkeypatch, "evenhang_prot", "hidden")
    with pytest.raises(BadSettings, match="evenhang_prot") as bad:
        load_settings()
    assert "hidden" not in str(bad.value)


def test_what_belongs_to_the_clients_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("EVENHANG_KEY", "EVENHANG_DESK_KEY", "EVENHANG_SERVICE"):
        monkeypatch.setenv(name, "x")
    assert load_settings().port == 8317
    secret(tmp_path, monkeypatch, "evenhang_key", "x")  # a client reads no folder of secrets: this is a mistake
    with pytest.raises(BadSettings, match="is EVENHANG_KEYS meant"):
        load_settings()


def test_every_fault_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVENHANG_PORT", "0")
    monkeypatch.setenv("EVENHANG_DRAIN_SECONDS", "-1")
    with pytest.raises(BadSettings) as bad:
        load_settings()
    assert len(bad.value.faults) == 2

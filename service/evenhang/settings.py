"""What is set from outside: environment (EVENHANG_...), a folder of secrets, a TOML file, in this order of weight.

Values only, it builds nothing. A name that nobody knows and a file that is not there are refused, never passed over.
"""

import os
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, ValidationError, field_validator
from pydantic_settings import BaseSettings, PydanticBaseSettingsSource, SettingsConfigDict, SettingsError, TomlConfigSettingsSource

from evenhang.demo import RULES

PREFIX = "EVENHANG_"
FILES = ("CONFIG", "SECRETS_DIR")  # where the TOML file and the folder of secrets lie
OF_CLIENTS = ("KEY", "DESK_KEY", "SERVICE")  # what shop, desk and scripts read, on a machine that runs them as well
LOOPBACK = ("127.0.0.1", "::1", "localhost")


class BadSettings(Exception):
    """Settings that cannot be used; `faults` are all that were found, none with a value that may be a secret."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class Settings(BaseSettings):
    """What the service is started with. `hosts` are the names it answers for, `origins` the shops whose pages may call it."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, frozen=True, extra="forbid")

    rules: Path = RULES
    host: str = "127.0.0.1"
    port: Annotated[int, Field(ge=1, le=65_535)] = 8317
    keys: Path | None = None
    offer_keys: Path | None = None
    hosts: tuple[str, ...] = ()
    origins: tuple[str, ...] = ()
    requests_per_minute: Annotated[int, Field(ge=0, le=10_000_000)] = 600
    drain_seconds: Annotated[float, Field(ge=0, le=600)] = 3
    access_log: bool = True

    @field_validator("origins")
    @classmethod
    def _exact(cls, origins: tuple[str, ...]) -> tuple[str, ...]:
        """An origin is scheme, host and port, as a browser sends it (RFC 6454, section 6.2)."""
        for origin in origins:
            scheme, _, rest = origin.partition("://")
            if scheme not in ("http", "https") or not rest or set(rest) & set("/*?# ") or origin != origin.lower():
                raise ValueError('an origin is like "https://shop.example": lower case, no path, no star')
        return origins

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """The command line beats the environment, which beats the secrets, which beat the file."""
        toml = os.environ.get(PREFIX + "CONFIG")
        return init_settings, env_settings, file_secret_settings, TomlConfigSettingsSource(settings_cls, Path(toml) if toml else None)


def load_settings(**given: Any) -> Settings:
    """The settings, those `given` before all others; BadSettings with every fault."""
    faults = _strangers(os.environ)
    secrets = os.environ.get(PREFIX + "SECRETS_DIR")
    if secrets and not Path(secrets).is_dir():
        faults.append(f"{PREFIX}SECRETS_DIR: there is no such folder")
    toml = os.environ.get(PREFIX + "CONFIG")
    if toml and not Path(toml).is_file():
        faults.append(f"{PREFIX}CONFIG: there is no such file")
    if faults:
        raise BadSettings(faults)
    try:
        said = {name: value for name, value in given.items() if value is not None}
        return Settings(_secrets_dir=secrets or None, **said)  # type: ignore[call-arg]  # the base class takes it; its stubs do not
    except ValidationError as error:
        raise BadSettings([f"{'.'.join(map(str, fault['loc']))}: {fault['msg']}" for fault in error.errors()]) from None
    except (SettingsError, ValueError) as error:
        raise BadSettings([str(error)]) from None


def _strangers(environment: Mapping[str, str]) -> list[str]:
    """What begins like a setting and is none: in the environment, where the clients' own are left alone, and among the files of secrets."""
    known = [PREFIX + name.upper() for name in Settings.model_fields] + [PREFIX + name for name in FILES]
    secrets = Path(environment.get(PREFIX + "SECRETS_DIR") or os.devnull)
    files = [file.name for file in sorted(secrets.iterdir())] if secrets.is_dir() else []
    theirs = [PREFIX + name for name in OF_CLIENTS]
    names = [name for name in (*(n for n in sorted(environment) if n not in theirs), *files) if name.upper().startswith(PREFIX)]
    out = []
    for name in names:
        if name.upper() not in known:
            near = get_close_matches(name.upper(), known, 1)
            out.append(f"{name}: there is no such setting" + (f"; is {near[0]} meant?" if near else ""))
    return out

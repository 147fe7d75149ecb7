"""What a service of this house can be told from outside, all of it by environment variables."""

import os
from pathlib import Path
from typing import Any, Self

from pydantic import Field, ValidationError, model_validator
from pydantic_core import ErrorDetails
from pydantic_settings import BaseSettings, PydanticBaseSettingsSource, SettingsConfigDict

PREFIX = "DRUMWALK_"


class SettingsRefused(ValueError):
    """The environment holds a setting that is unknown or does not make sense; the message has one line per fault."""


class Settings(BaseSettings):
    """Every setting, with its default; none of them is a secret."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, frozen=True, extra="forbid", env_ignore_empty=True)

    data_dir: Path = Field(default=Path(".drumwalk"), description="Folder for everything the service keeps on disk.")
    database_url: str | None = Field(
        default=None,
        description="SQLAlchemy address of the database; unset, an SQLite file `drumwalk.sqlite3` in the data folder.",
    )
    migrate_on_start: bool | None = Field(
        default=None,
        description="Bring the database up to date at start; unset, only the SQLite file of the data folder.",
    )
    host: str = Field(default="127.0.0.1", description="Network address to listen on.")
    port: int = Field(default=8000, ge=1, le=65535, description="Port to listen on.")
    max_survey_bytes: int = Field(
        default=64 * 1024 * 1024, ge=1024, description="Largest survey file taken in [bytes]; a larger one gets 413."
    )
    max_entry_bytes: int = Field(
        default=1024 * 1024, ge=1024, description="Largest body of any other request [bytes]; a larger one gets 413."
    )
    page_size: int = Field(default=50, ge=1, le=1000, description="Entries on a page where the request names no limit.")
    page_size_max: int = Field(default=500, ge=1, le=10_000, description="Most entries a request may ask for at once.")
    render_processes: int = Field(
        default=1,
        ge=0,
        le=64,
        description="Processes that assess and print beside the web process; 0 does it in threads of the web process.",
    )
    what_if_processes: int = Field(
        default=1, ge=0, le=64, description="Processes that answer what-if questions; 0 does it in threads."
    )
    kept_results: int = Field(
        default=32, ge=0, le=10_000, description="Assessments, maps and papers kept in memory for the next reader."
    )

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """Read arguments and the environment, and nothing that might lie about in a folder."""
        return init_settings, env_settings

    @model_validator(mode="after")
    def _page_fits(self) -> Self:
        if self.page_size > self.page_size_max:
            raise ValueError(f"page_size {self.page_size} is larger than page_size_max {self.page_size_max}")
        return self

    @property
    def embedded(self) -> bool:
        """Whether the database is the SQLite file of the data folder."""
        return self.database_url is None

    @property
    def database_address(self) -> str:
        """Address of the database as SQLAlchemy wants it."""
        return self.database_url or f"sqlite:///{(self.data_dir / 'drumwalk.sqlite3').absolute()}"

    @property
    def migrates_on_start(self) -> bool:
        """Whether `migrate_on_start`, or its default, asks for it."""
        return self.embedded if self.migrate_on_start is None else self.migrate_on_start


def load_settings(**overrides: Any) -> Settings:
    """Read the settings, refusing a misspelt one: pydantic would leave it out without a word.

    `overrides` win over the environment; the command line passes its options here.
    """
    known = {PREFIX + name.upper() for name in Settings.model_fields}
    strangers = sorted(name for name in os.environ if name.upper().startswith(PREFIX) and name.upper() not in known)
    if strangers:
        raise SettingsRefused("\n".join(f"{name}: no such setting" for name in strangers))
    try:
        return Settings(**overrides)
    except ValidationError as refusal:
        raise SettingsRefused("\n".join(_line(error) for error in refusal.errors())) from refusal


def _line(error: ErrorDetails) -> str:
    name = PREFIX + ".".join(str(part) for part in error["loc"]).upper() if error["loc"] else "settings"
    return f"{name}: {error['msg']}"


def settings_table() -> str:
    """Give every setting as one Markdown table, which README carries and a test compares."""
    lines = ["| Variable | Default | What it does |", "| --- | --- | --- |"]
    for name, field in Settings.model_fields.items():
        default = "unset" if field.default is None else f"`{field.default}`"
        lines.append(f"| `{PREFIX}{name.upper()}` | {default} | {field.description} |")
    return "\n".join(lines) + "\n"

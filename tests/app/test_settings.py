"""Settings: from the environment only, refused where misspelt, and all of them in one table."""

from pathlib import Path

import pytest

from app.settings import PREFIX, Settings, SettingsRefused, load_settings, settings_table


@pytest.fixture(autouse=True)
def bare_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in Settings.model_fields:
        monkeypatch.delenv(PREFIX + name.upper(), raising=False)
    monkeypatch.chdir(tmp_path)


def test_without_any_setting_everything_stays_on_this_machine() -> None:
    settings = load_settings()
    assert settings.host == "127.0.0.1"
    assert settings.embedded
    assert settings.migrates_on_start
    assert settings.database_address == f"sqlite:///{Path.cwd() / '.drumwalk' / 'drumwalk.sqlite3'}"


def test_the_environment_counts_and_options_of_the_command_line_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DRUMWALK_PORT", "9001")
    monkeypatch.setenv("DRUMWALK_HOST", "")
    monkeypatch.setenv("DRUMWALK_DATA_DIR", "/srv/record")
    assert load_settings().port == 9001
    assert load_settings().host == "127.0.0.1"
    assert load_settings().data_dir == Path("/srv/record")
    assert load_settings(port=9002).port == 9002


def test_a_database_elsewhere_is_not_migrated_unasked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DRUMWALK_DATABASE_URL", "sqlite:////srv/other.sqlite3")
    assert not load_settings().migrates_on_start
    assert load_settings().database_address == "sqlite:////srv/other.sqlite3"
    monkeypatch.setenv("DRUMWALK_MIGRATE_ON_START", "true")
    assert load_settings().migrates_on_start


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("DRUMWALK_PROT", "8000", "DRUMWALK_PROT: no such setting"),
        ("drumwalk_max_bytes", "8000", "drumwalk_max_bytes: no such setting"),
        ("DRUMWALK_PORT", "http", "DRUMWALK_PORT: "),
        ("DRUMWALK_PORT", "0", "DRUMWALK_PORT: "),
        ("DRUMWALK_PAGE_SIZE", "900", "page_size 900 is larger than page_size_max 500"),
        ("DRUMWALK_RENDER_PROCESSES", "-1", "DRUMWALK_RENDER_PROCESSES: "),
    ],
)
def test_a_setting_that_makes_no_sense_is_refused(
    name: str, value: str, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(name, value)
    with pytest.raises(SettingsRefused, match=says):
        load_settings()


def test_a_file_that_lies_about_is_not_read(tmp_path: Path) -> None:
    (tmp_path / ".env").write_text("DRUMWALK_PORT=9003\n")
    assert load_settings().port == 8000


def test_the_readme_carries_the_table() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text()
    assert (
        readme.partition("<!-- settings -->")[2].partition("<!-- /settings -->")[0].strip() == settings_table().strip()
    )


def test_the_table_has_every_setting_and_what_it_does() -> None:
    table = settings_table()
    for name, field in Settings.model_fields.items():
        assert field.description
        assert f"| `{PREFIX}{name.upper()}` |" in table
        assert field.description in table


def test_no_setting_has_a_secret_for_a_default() -> None:
    words = ("password", "secret", "token", "key")
    assert not [name for name in Settings.model_fields if any(word in name for word in words)]

"""The folder of results: safe names, and there whole or not at all."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.results import FolderRefused, free_stem, refuse_unless_ours, slug, write_folder

FIRST = {
    "assessment.json": b"{}",
    "maps/floor-hall.svg": b"<svg/>",
    "maps/zone-a.svg": b"<svg/>",
    "preplan.pdf": b"%PDF",
}
SECOND = {"assessment.json": b"[]", "maps/floor-yard.svg": b"<svg/>", "preplan.pdf": b"%PDF-2"}


def content(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def names(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir()]


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("Hall 1", "hall-1"),
        ("Zone A/B", "zone-a-b"),
        ("../../etc/passwd", "etc-passwd"),
        ("Säurelager ⅱ", "saurelager-ii"),
        ("仓库", "unnamed"),
        ("", "unnamed"),
        ("x" * 300, "x" * 60),
        ("CON.", "con"),
    ],
)
def test_slug_keeps_what_is_safe(name: str, safe: str) -> None:
    assert slug(name) == safe


@given(st.text())
def test_slug_is_safe_whatever_the_name(name: str) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", slug(name))
    assert len(slug(name)) <= 60


@given(st.lists(st.sampled_from(["a", "a-2", "a-3", "b"]), max_size=12))
def test_stems_never_fall_together(stems: list[str]) -> None:
    taken: set[str] = set()
    given_out = [free_stem(stem, taken) for stem in stems]
    assert len(set(given_out)) == len(stems)
    assert all(out.startswith(stem) for stem, out in zip(stems, given_out, strict=True))


def test_results_appear_in_a_new_folder(tmp_path: Path) -> None:
    write_folder(tmp_path / "new" / "site", FIRST)
    assert content(tmp_path / "new" / "site") == FIRST
    assert names(tmp_path / "new") == ["site"]


def test_results_fill_an_empty_folder(tmp_path: Path) -> None:
    write_folder(tmp_path, FIRST)
    assert content(tmp_path) == FIRST


def test_later_results_replace_earlier_ones_without_mixing(tmp_path: Path) -> None:
    write_folder(tmp_path / "site", FIRST)
    write_folder(tmp_path / "site", SECOND)
    assert content(tmp_path / "site") == SECOND, "no map of an earlier edition may stay beside a later plan"
    assert names(tmp_path) == ["site"]


@pytest.mark.parametrize(
    "stranger", ["notes.txt", "maps/photo.jpg", "maps/floor-1.png", ".git/config", "preplan.pdf.bak"]
)
def test_folder_with_anything_else_in_it_is_refused_and_left_alone(tmp_path: Path, stranger: str) -> None:
    write_folder(tmp_path / "site", FIRST)
    (tmp_path / "site" / stranger).parent.mkdir(exist_ok=True)
    (tmp_path / "site" / stranger).write_bytes(b"mine")
    with pytest.raises(FolderRefused, match=re.escape(str(tmp_path / "site"))):
        write_folder(tmp_path / "site", SECOND)
    assert content(tmp_path / "site") == {**FIRST, stranger: b"mine"}
    assert names(tmp_path) == ["site"]


def test_file_in_the_way_is_refused(tmp_path: Path) -> None:
    (tmp_path / "site").write_bytes(b"mine")
    with pytest.raises(FolderRefused, match="expected a folder, found a file"):
        refuse_unless_ours(tmp_path / "site")


def failing(fails_at: int, real: Callable[[Path, Path], Path]) -> Callable[[Path, Path], Path]:
    calls = iter(range(99))

    def rename(self: Path, target: Path) -> Path:
        if next(calls) == fails_at:
            raise OSError(28, "No space left on device")
        return real(self, target)

    return rename


@pytest.mark.parametrize("fails_at", [0, 1])
def test_failure_while_swapping_leaves_the_earlier_results(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int
) -> None:
    write_folder(tmp_path / "site", FIRST)
    monkeypatch.setattr(Path, "rename", failing(fails_at, Path.rename))
    with pytest.raises(OSError, match="No space left"):
        write_folder(tmp_path / "site", SECOND)
    assert content(tmp_path / "site") == FIRST
    assert names(tmp_path) == ["site"]


def test_failure_while_writing_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.name == "preplan.pdf":
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError, match="No space left"):
        write_folder(tmp_path / "site", FIRST)
    assert names(tmp_path) == []

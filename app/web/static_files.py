"""Styles, scripts and pictures of the pages, served from memory under one address per content of the whole set.

The version is part of the path, not of a query: a script module that imports its neighbour by a relative path then
gets the neighbour of the same version.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Final

from fastapi import APIRouter, Header, Response

import reports
from app.errors import Problem
from app.web.packing import chosen, packed

FOLDER: Final = Path(__file__).parent / "static"
FONTS: Final = Path(reports.__file__).parent / "fonts"
"""The type family of the maps, whose labels are measured in it."""
PREFIX: Final = "/static"
MEDIA_TYPES: Final[Mapping[str, str]] = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
    ".txt": "text/plain; charset=utf-8",
}
FOR_GOOD: Final = "public, max-age=31536000, immutable"
ASK_AGAIN: Final = "no-cache"


@dataclass(frozen=True, slots=True)
class StaticFile:
    """One file as it goes over the wire, plain and packed."""

    body: bytes
    packed: bytes
    media_type: str
    digest: str


class StaticFiles:
    """All files of the static folder, and the fonts; read once, so no request can reach a path outside."""

    def __init__(self, folder: Path = FOLDER, fonts: Path = FONTS) -> None:
        paths = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
        paths |= {f"fonts/{path.name}": path for path in fonts.iterdir() if path.suffix in MEDIA_TYPES}
        self._files = {name: _read(paths[name]) for name in sorted(paths)}
        listing = "\n".join(f"{name} {file.digest}" for name, file in self._files.items())
        self.version = hashlib.sha256(listing.encode()).hexdigest()[:16]

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(self._files)

    def address(self, name: str) -> str:
        """Give the address of a file of this version; a name that is not there is a fault of the template."""
        if name not in self._files:
            raise LookupError(f"no static file {name!r}")
        return f"{PREFIX}/{self.version}/{name}"

    def find(self, name: str) -> StaticFile | None:
        return self._files.get(name)


def _read(path: Path) -> StaticFile:
    body = path.read_bytes()
    return StaticFile(body, packed(body), MEDIA_TYPES[path.suffix], hashlib.sha256(body).hexdigest()[:32])


def static_router(files: StaticFiles) -> APIRouter:
    """Serve `files`; an address of another version still answers, but is not kept."""
    router = APIRouter(include_in_schema=False)

    @router.get(PREFIX + "/{version}/{name:path}")
    @router.head(PREFIX + "/{version}/{name:path}")
    def static_file(
        version: str,
        name: str,
        accept_encoding: Annotated[str, Header()] = "",
        if_none_match: Annotated[str | None, Header()] = None,
    ) -> Response:
        file = files.find(name)
        if file is None:
            raise Problem("unknown-address", f"There is no static file {name!r}.")
        caching = FOR_GOOD if version == files.version else ASK_AGAIN
        return chosen(file.body, file.packed, file.digest, file.media_type, caching, accept_encoding, if_none_match)

    return router

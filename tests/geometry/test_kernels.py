"""Compiled code: loaded where computing begins, and kept even where the checkout may not be written."""

import os
import subprocess
import sys
from pathlib import Path

from app.bootstrap import ROOT


def _python(script: str, **settings: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        env={**os.environ, **settings},
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return done.stdout.strip()


def test_web_process_starts_without_the_compiler() -> None:
    assert _python("import sys, app.main; print('numba' in sys.modules, 'shapely' in sys.modules)") == "False True"


def test_machine_code_is_kept_where_it_is_told_to_be(tmp_path: Path) -> None:
    script = (
        "from tests.geometry.a_kernel import doubled; doubled(2.0);"
        "print(sum(doubled.stats.cache_hits.values()), sum(doubled.stats.cache_misses.values()))"
    )
    assert _python(script, NUMBA_CACHE_DIR=str(tmp_path)) == "0 1"
    assert _python(script, NUMBA_CACHE_DIR=str(tmp_path)) == "1 0"


def test_kernel_works_where_nothing_may_be_written() -> None:
    script = (
        "from numba.core import caching; caching.CacheImpl._locator_classes = [];"
        "from tests.geometry.a_kernel import doubled; print(doubled(2.0))"
    )
    assert _python(script) == "4.0"

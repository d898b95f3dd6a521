"""
Prepares what every process of the tests would otherwise do by itself: compiles the modules and the physics.

It is only quicker with it; when anything here goes wrong, the tests tell.
"""

from __future__ import annotations

import compileall
import contextlib
import io
import os
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
STORY = ROOT / "src" / "ringtrue" / "cli" / "story"


def main() -> None:
    """Prepare."""
    for folder in ("src", "benchmarks"):
        compileall.compile_dir(ROOT / folder, quiet=2)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["RINGTRUE_BOOK"] = str(Path(folder) / "book.ringtrue")
        os.environ["RINGTRUE_SETTINGS"] = str(Path(folder) / "settings.toml")
        from ringtrue.cli import run

        sheet, readings = str(STORY / "launch-six.toml"), str(STORY / "june.csv")
        with contextlib.redirect_stdout(io.StringIO()):
            for words in (["expect", sheet], ["explain", readings, "--sheet", sheet]):
                run(words)


if __name__ == "__main__":
    main()

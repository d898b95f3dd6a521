"""
Make the pictures of the README from real output: run the demonstration, and picture what it printed and left.

Needs pdftoppm (poppler-utils) for the sheets. Writes docs/pictures/.
"""

from __future__ import annotations

import html
import subprocess
import sys
import tempfile
from pathlib import Path

PICTURES = Path(__file__).parent.parent / "docs" / "pictures"
SIZE, LINE = 13, 18
"""Type size and distance of lines. [px]"""
WIDE = 0.602
"""Width of a sign of a monospaced face over its size. [-]"""


def terminal(text: str, path: Path) -> None:
    """Write text as it stands in a terminal, as an SVG: dark type on light paper, nothing of a window around it."""
    lines = text.rstrip().splitlines()
    width = round(max(len(line) for line in lines) * SIZE * WIDE + 32)
    height = len(lines) * LINE + 28
    rows = "\n".join(
        f'<text x="16" y="{26 + LINE * number}" xml:space="preserve">{html.escape(line)}</text>'
        for number, line in enumerate(lines)
    )
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" role="img" '
        f'aria-label="Output of ringtrue">\n<rect width="100%" height="100%" fill="#f6f4ee"/>\n'
        f'<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="{SIZE}" fill="#1b2733">\n{rows}\n'
        "</g>\n</svg>\n",
        encoding="utf-8",
    )


def part(conversation: str, command: str, *, first: str, last: str) -> str:
    """Cut what one command said out of the conversation, from the line that holds `first` to that before `last`."""
    said = conversation[conversation.index(f"$ ringtrue {command}") :]
    said = said[said.index(first) :]
    return said[: said.index(last)].rstrip()


def main() -> int:
    """Make every picture."""
    PICTURES.mkdir(exist_ok=True)
    program = str(Path(sys.executable).with_name("ringtrue"))
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "ringtrue-demo"
        subprocess.run([program, "demo", str(place)], check=True, stdout=subprocess.DEVNULL)
        said = (place / "conversation.txt").read_text("utf-8")
        terminal(part(said, "pull", first="Cylinder 1 (1 of 6)", last="Cylinder 5 (5 of 6)"), PICTURES / "pull.svg")
        terminal(
            part(said, "pull", first="Launch six: dry series", last="Launch six: wet series"), PICTURES / "judged.svg"
        )
        terminal(part(said, "pull", first="What it looks like", last="Rules\n"), PICTURES / "next.svg")
        for drawing in ("tornado.svg", "trend.svg"):
            (PICTURES / drawing).write_bytes((place / drawing).read_bytes())
        for sheet, page in (("may", 1), ("may", 2), ("plan", 2)):
            out = PICTURES / f"{sheet}-{page}"
            subprocess.run(
                [
                    "pdftoppm",
                    "-r",
                    "88",
                    "-png",
                    "-singlefile",
                    "-f",
                    str(page),
                    "-l",
                    str(page),
                    str(place / f"{sheet}.pdf"),
                    str(out),
                ],
                check=True,
            )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

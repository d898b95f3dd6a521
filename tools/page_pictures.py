"""
Picture the pages for the README: an invented test, typed into a real server, looked at in the system's Chromium.

Needs playwright (in the dev extra) and chromium. Writes docs/pictures/.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PICTURES = Path(__file__).parent.parent / "docs" / "pictures"
PHONE, SCREEN = {"width": 360, "height": 740}, {"width": 1280, "height": 720}
SHEET = """[engine]
name = "Launch eight"
reference = "0521"
layout = "V"
cylinders = ["1", "2", "3", "4", "5", "6", "7", "8"]
banks = [["1", "3", "5", "7"], ["2", "4", "6", "8"]]
firing_order = ["1", "8", "4", "3", "6", "5", "7", "2"]

[geometry]
bore = "101.6 mm"
stroke = "88.4 mm"
compression_ratio = 9.0
"""
PULLED = (("1", 98, 152), ("3", 99, 154), ("5", 70, 121), ("7", 97, 151), ("2", 98, 153), ("4", 97, 150))
TAKE = """async ({engine, pulled}) => {
    const send = (path, body) => fetch(path, {method: "POST", body: JSON.stringify(body)}).then((said) => said.json());
    const key = (word) => word.padEnd(24, "0");
    const {test} = await send("/api/tests", {key: key("test"), engine});
    for (const [cylinder, first, final] of pulled)
        await send(`/api/tests/${test}/readings`, {key: key(`pull-${cylinder}`), cylinder, first, final, unit: "psi"});
    return test;
}"""


def owner(browser: Browser, address: str) -> Page:
    """Open the pages as their owner."""
    page = browser.new_page(viewport=PHONE, device_scale_factor=2)
    page.goto(address)
    page.get_by_label("Your name").fill("A. Builder")
    page.get_by_label("What this device is called").fill("phone")
    page.get_by_role("button", name="Ask to be let in").click()
    page.wait_for_url(re.compile(r"/$"))
    return page


def look(page: Page, path: str, name: str, size: dict[str, int]) -> None:
    """Take one picture."""
    page.set_viewport_size(size)  # type: ignore[arg-type]
    page.goto(path)
    page.wait_for_timeout(2500)
    page.screenshot(path=PICTURES / f"{name}.png", scale="css" if size is SCREEN else "device")


def main() -> int:
    """Make every picture."""
    program = str(Path(sys.executable).with_name("ringtrue"))
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        book, sheet = str(place / "book.db"), place / "eight.toml"
        sheet.write_text(SHEET, "utf-8")
        (place / "one.csv").write_text("cylinder,final [psi]\n1,152\n", "utf-8")
        here = {**os.environ, "RINGTRUE_SETTINGS": str(place / "settings.toml"), "RINGTRUE_BOOK": book}
        enter = [program, "enter", str(place / "one.csv"), "--sheet", str(sheet)]
        subprocess.run(enter, check=True, env=here, stdout=subprocess.DEVNULL)
        serve = [program, "serve", "--port", "0", "--no-browser", "--json"]
        with subprocess.Popen(serve, env=here, stdout=subprocess.PIPE, text=True) as server, sync_playwright() as play:
            try:
                said = json.loads(server.stdout.readline() if server.stdout else "{}")
                chromium = shutil.which("chromium") or shutil.which("google-chrome")
                browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
                page = owner(browser, said["owner"])
                test = page.evaluate(TAKE, {"engine": "0521", "pulled": [list(each) for each in PULLED]})
                where = f"{said['here']}/tests/{test}"
                look(page, f"{where}/pull", "page-pull", PHONE)
                look(page, f"{where}/view?far", "page-far", SCREEN)
                look(page, f"{where}/explain", "page-explain", PHONE)
                browser.close()
            finally:
                server.terminate()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

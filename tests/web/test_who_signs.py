"""Who signs a hand-over sheet is said on its page, and stands on the sheet that the page leads to."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import quote_plus

from tests.web.shop import Shop

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from pathlib import Path


# If this failed, the name that was typed would not stand on the paper, would be read as markup, or would be kept for
# the next engine, whose builder may be another.
def test_the_builder_is_named_on_the_sheet(tmp_path: Path) -> None:
    with Shop(tmp_path) as shop:
        test, device = shop.test(), shop.device(Who.LOOKS_ON)
        here, name = f"/tests/{test}/sheet", "Rowan <b>& Sons"
        empty = device.get(here).text
        assert re.search(r'<input id="builder"[^>]* value=""', empty)
        assert "Tested by <bdi>Alder</bdi>, which the sheet tells apart." in empty
        page = device.get(f"{here}?builder={quote_plus(name)}").text
        assert 'value="Rowan &lt;b&gt;&amp; Sons"' in page
        (address,) = re.findall(r'<button formaction="(/tests/[^"]+/sheet\.html)"', page)
        sheet = device.get(f"{address}?builder={quote_plus(name)}").text
        assert "Rowan &lt;b&gt;&amp; Sons" in sheet
        assert "<b>&" not in sheet
        assert "Rowan" not in device.get(f"{here}.html").text
        assert "Rowan" not in device.get(here).text

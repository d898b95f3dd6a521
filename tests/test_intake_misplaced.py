"""A field of a build sheet that stands under another heading."""

from __future__ import annotations

import pytest

from ringtrue.errors import SheetRefused
from ringtrue.intake import parse_sheet


# If this failed, somebody who wrote a field under the wrong heading would look for another name instead of its place.
def test_a_field_under_the_wrong_heading_is_led_home() -> None:
    misplaced = 'bore = "92 mm"\n\n[engine]\nname = "x"\nlayout = "inline"\ncylinders = ["1", "2"]\nstroke = "98 mm"\n'
    with pytest.raises(SheetRefused) as refused:
        parse_sheet(misplaced + '\n[geometry]\nfamily = "small"\n')
    told = str(refused.value)
    assert "“bore”: There is no such table here. Its place is under [geometry]." in told
    assert "“stroke”: There is no such field here. Its place is under [geometry]." in told
    assert "“family”: There is no such field here. Its place is under [engine]." in told

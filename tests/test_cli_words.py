"""What is left out is refused in words, too, where leaving it out is what is wrong."""

from __future__ import annotations

import pytest
from cyclopts import App, CycloptsError

from ringtrue.cli import _told
from ringtrue.cli.options import Word


# If this failed, a person who left a word out of a command would be shown a fault of the program instead of his own.
def test_a_default_that_is_refused() -> None:
    app = App("ringtrue")

    @app.default
    def take(cylinder: Word = "") -> str:
        return cylinder

    with pytest.raises(CycloptsError) as refused:
        app([], exit_on_error=False, print_error=False)
    code, told = _told(refused.value)
    assert code == 2
    assert "cylinder" in told.lower()

"""``ringtrue serve``: the pages."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter

from ringtrue.cli import options


def serve(
    *,
    port: Annotated[int, Parameter(help="Port to listen on.")] = 8417,
    book: options.BookPlace = None,
) -> None:
    """Serve the pages on this machine."""
    from ringtrue.shop.workplace import workplace
    from ringtrue.web.serving import run

    run(workplace(book), port)

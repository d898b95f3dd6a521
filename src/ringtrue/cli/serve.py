"""``ringtrue serve``: the pages."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter

from ringtrue.cli import options


def serve(
    *,
    port: Annotated[str, Parameter(help="Port to listen on; 0 takes a free one.", allow_leading_hyphen=True)] = "8417",
    lan: Annotated[
        bool, Parameter(help="Serve the workshop's network too, not this machine alone.", negative=())
    ] = False,
    https: Annotated[
        bool, Parameter(help="Serve over https, with a certificate made on the spot.", negative=())
    ] = False,
    name: Annotated[
        list[str] | None,
        Parameter(help="One more name or address under which this machine is reached.", negative=()),
    ] = None,
    no_browser: Annotated[bool, Parameter(help="Do not open the owner's page in a browser.", negative=())] = False,
    book: options.BookPlace = None,
    json: options.AsJson = False,
) -> None:
    """Serve the pages: for this machine, or for the phones in the workshop."""
    from ringtrue.shop.workplace import workplace
    from ringtrue.web.serving import Asked, read_port, run

    run(workplace(book), Asked(read_port(port), lan, https, tuple(name or ()), not no_browser, json))

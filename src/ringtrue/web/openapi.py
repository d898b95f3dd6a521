"""The description of the HTTP interface, OpenAPI 3.1, made from the table of ways in and the types on the wire."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import msgspec

from ringtrue import __version__
from ringtrue.web.answers import answer
from ringtrue.web.routes import ROLES, Route, Who
from ringtrue.web.wire import Refused

if TYPE_CHECKING:
    from collections.abc import Iterable

    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.service import Service

REFERENCE = "#/components/schemas/{name}"
_PARAMETER = re.compile(r"\{(?P<name>\w+)(?::(?P<kind>\w+))?\}")
REFUSALS = {
    "401": "This device, or this token, is not let in.",
    "403": "It may not do this, or the request did not come from a page of this server.",
    "404": "There is no such thing in the book.",
    "405": "That cannot be done here.",
    "421": "The server does not go by that name.",
    "422": "It cannot be used; every fault names its field. With `doubtful` it is done once `confirmed` is sent.",
    "500": "A fault of ringtrue itself; what was called saved is in the book.",
    "503": "The record book cannot be used now; it may be tried again.",
    "507": "There is no room left.",
}
"""What each refusal means."""
ABOUT = """\
What the pages of ringtrue use, and a shop's own programs may. A program sends its token, made by the owner on the page
Devices, as `Authorization: Bearer`; it needs no cookie and no Origin. A browser has a cookie, and whatever it writes or
follows has to come from a page of this server.

Figures may be sent as text, exactly as they were read; numbers are read as they are written. An unknown field is
refused. Whatever writes into the book carries a key of its own, made at random where the reading was taken: sent again,
it is acknowledged again and written once.

Fields may be added in later editions; none is renamed or removed. Times tell when something was noted; order is told by
entry numbers alone."""


def description(routes: Iterable[Route]) -> dict[str, Any]:
    """
    Describe the interface.

    Parameters
    ----------
    routes : iterable of Route
        Every way in; those with a summary are described.

    Returns
    -------
    dict
        OpenAPI 3.1.
    """
    told = [each for each in routes if each.summary]
    types = list(dict.fromkeys(kind for each in told for kind in (each.takes, each.gives) if kind is not None))
    _, schemas = msgspec.json.schema_components([*types, Refused], ref_template=REFERENCE)
    paths: dict[str, dict[str, Any]] = {}
    for each in told:
        path = _PARAMETER.sub(r"{\g<name>}", each.path)
        paths.setdefault(path, {})[each.method.lower()] = _operation(each)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "ringtrue",
            "version": __version__,
            "description": ABOUT,
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/", "description": "The shop PC, under any address that it told when it was started."}],
        "paths": dict(sorted(paths.items())),
        "components": {
            "schemas": dict(sorted(schemas.items())),
            "securitySchemes": {
                "program": {"type": "http", "scheme": "bearer", "description": "The token of a program."},
                "browser": {
                    "type": "apiKey",
                    "in": "cookie",
                    "name": "ringtrue-8417",
                    "description": "Of a paired browser; named for the port, over https `__Host-ringtrue-8417`.",
                },
            },
            "responses": {
                status: {
                    "description": says,
                    "content": {"application/json": {"schema": {"$ref": REFERENCE.format(name="Refused")}}},
                }
                for status, says in REFUSALS.items()
            },
        },
    }


def _operation(route: Route) -> dict[str, Any]:
    names = list(_PARAMETER.finditer(route.path))
    said: dict[str, Any] = {
        "operationId": route.handler.__name__,
        "summary": route.summary,
        "description": f"For: {_who(route.who)}.",
        "parameters": [*(_parameter(each["name"], each["kind"]) for each in names), *_query(route)],
        "responses": {str(route.status): _given(route)},
    }
    refusals = ["405", "421", "500", "503", "507"]
    if route.who is not Who.ANYBODY:
        said["security"] = [{"program": []}, {"browser": []}]
        refusals += ["401", "403"]
    else:
        said["security"] = []
    if route.stream and route.who is Who.ANYBODY:
        refusals.append("403")
    if names or route.path.startswith("/api/tests") or route.path.startswith("/api/devices"):
        refusals.append("404")
    if route.method == "POST":
        refusals += ["403", "404", "422"]
    if route.takes is not None:
        schema = {"$ref": REFERENCE.format(name=route.takes.__name__)}
        said["requestBody"] = {"required": True, "content": {"application/json": {"schema": schema}}}
    if route.files:
        said["requestBody"] = {"required": True, "content": {each: {} for each in route.files}}
    said["responses"] |= {each: {"$ref": f"#/components/responses/{each}"} for each in sorted(set(refusals))}
    return said


def _who(who: Who) -> str:
    if who is Who.ANYBODY:
        return "anybody"
    return ", ".join(words for role, words in ROLES.items() if role >= who)


def _query(route: Route) -> list[dict[str, Any]]:
    """Describe what is said in the address: a type of the interface whose fields are parameters."""
    if route.query is None:
        return []
    _, whole = msgspec.json.schema_components([route.query], ref_template=REFERENCE)
    described = whole[route.query.__name__]
    needed = described.get("required", [])
    return [
        {"name": name, "in": "query", "required": name in needed, "schema": schema}
        for name, schema in described["properties"].items()
    ]


def _parameter(name: str, kind: str | None) -> dict[str, Any]:
    schema = {"type": "integer", "minimum": 0} if kind == "int" else {"type": "string", "minLength": 1}
    return {"name": name, "in": "path", "required": True, "schema": schema}


def _given(route: Route) -> dict[str, Any]:
    if route.stream:
        says = "A stream of server-sent events."
        return {"description": says, "content": {"text/event-stream": {"schema": {"type": "string"}}}}
    said: dict[str, Any] = {"description": "Done."}
    if route.gives is not None:
        schema = {"$ref": REFERENCE.format(name=route.gives.__name__)}
        said["content"] = {"application/json": {"schema": schema}}
    elif route.path.endswith(".json"):
        said["content"] = {"application/json": {"schema": {"type": "object"}}}
    return said


async def openapi(service: Service, request: Request) -> Response:
    """Describe the interface."""
    del request
    return answer(description(service.routes))


# Public: it tells what any copy of the program tells, and is read before there is a token.
ROUTES = (Route("GET", "/api/openapi.json", Who.ANYBODY, openapi, "This description."),)

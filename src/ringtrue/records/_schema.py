"""The published description of an export, made from the types that write it."""

from __future__ import annotations

from typing import Any

import msgspec

from ringtrue.records._bodies import BODIES
from ringtrue.records._document import EDITION, Document

_REFERENCE = "#/$defs/{name}"


def schema() -> dict[str, Any]:
    """
    Return the JSON Schema (2020-12) of an export.

    A body is text, for it is hashed to the letter; what it holds when it is read as JSON stands in ``contentSchema``,
    by the kind of entry.

    Returns
    -------
    dict
        Ready to be written as JSON.
    """
    kinds = tuple(BODIES)
    (root, *bodies), parts = msgspec.json.schema_components((Document, *BODIES.values()), ref_template=_REFERENCE)
    parts["EntryOut"]["allOf"] = [
        {
            "if": {"properties": {"kind": {"const": str(kind)}}},
            "then": {"properties": {"body": {"contentMediaType": "application/json", "contentSchema": body}}},
        }
        for kind, body in zip(kinds, bodies, strict=True)
    ]
    for part in parts.values():
        _first_line(part)
    told = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:ringtrue:book-export:{EDITION}",
        "title": "What a record book gives out",
        **root,
        "$defs": parts,
    }
    plain: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(told))
    return plain


def _first_line(part: dict[str, Any]) -> None:
    """Keep the summary of a docstring, which is all that a reader of the schema needs."""
    if "description" in part:
        part["description"] = part["description"].splitlines()[0]

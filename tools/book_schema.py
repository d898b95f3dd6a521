"""Writes docs/schemas/book-export.schema.json from the types that write an export."""

import json
from pathlib import Path

from ringtrue.records._schema import schema

target = Path(__file__).resolve().parents[1] / "docs" / "schemas" / "book-export.schema.json"
target.write_text(json.dumps(schema(), indent=2, sort_keys=True, ensure_ascii=False) + "\n", encoding="utf-8")

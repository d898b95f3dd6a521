"""A test of the book, told: for the terminal and for other programs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.records import Ended, OfPhotograph, Shows, said_in

if TYPE_CHECKING:
    from ringtrue.compression import Gauge
    from ringtrue.records import Correction, Photograph, Recorded


def header_lines(recorded: Recorded) -> list[tuple[str, str]]:
    """
    Tell what belongs to the whole test.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    list of (str, str)
        What it is, and how it was written.
    """
    header, day = recorded.header, recorded.header.conditions
    told = [
        (
            "engine",
            " ".join(
                filter(
                    None,
                    (header.engine, f"({header.engine_name})" if header.engine_name not in {"", header.engine} else ""),
                )
            ),
        ),
        ("date", header.date),
        ("by", header.by),
        ("since the build", str(header.run_since_build or "")),
        ("gauge", header.gauge.name if header.gauge else ""),
        ("its calibration", _calibration(header.gauge)),
        ("build sheet", f"revision {recorded.sheet_revision}" if recorded.sheet_revision else ""),
        ("altitude", str(day.altitude or "")),
        ("barometer", str(day.barometer or "")),
        ("inlet air", str(day.inlet_air or "")),
        ("oil", str(day.oil or "")),
        ("cranking speed", str(day.cranking_speed or "")),
        ("battery", str(day.battery or "")),
        ("note", header.note),
        ("state", state_of(recorded)),
        ("brought in from", _whence(recorded)),
    ]
    return [(name, text) for name, text in told if text]


def _calibration(gauge: Gauge | None) -> str:
    """Say which calibration of a gauge its readings are corrected by."""
    if gauge is None:
        return ""
    return f"of {gauge.calibration.date}" if gauge.calibration else "none that counts for this test"


def state_of(recorded: Recorded) -> str:
    """
    Say whether anybody goes on with a test.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    str
        A few words.
    """
    if recorded.put_aside:
        return f"put aside, why: {recorded.put_aside}"
    return "finished" if recorded.finished else "open"


def _whence(recorded: Recorded) -> str:
    """Tell from which file of the past a test came, by whom and on which day."""
    source = recorded.header.brought_in
    if source is None:
        return ""
    opened = recorded.entries[0]
    return f"{source.file} ({source.sha256[:16]}), {source.rows}; by {opened.who} on {opened.at[:10]} (UTC)"


def entry_lines(recorded: Recorded) -> list[tuple[str, str, str, str, str]]:
    """
    Tell every entry of a test: readings as they were first written too, corrections, photographs, beginning and end.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    list of (str, str, str, str, str)
        Entry, what it is, cylinder, what it says, by whom; in the order of the book.
    """
    changes = {each.seq: each for each in recorded.corrections}
    photographs = {each.seq: each for each in recorded.photographs}
    replaced = _replaced(recorded)
    lines = []
    for entry in recorded.entries:
        what, cylinder, said, who = str(entry.kind), "", "", entry.who
        if entry.seq in changes:
            what, cylinder, said = _put_right(changes[entry.seq])
        elif entry.seq in photographs:
            shown = photographs[entry.seq]
            what, cylinder, said = f"photograph of {_SHOWS[shown.shows]}", shown.cylinder, _kept(shown)
        else:
            content = said_in(entry)
            match content:
                case Pull() | LeakdownReading():
                    what, cylinder, who = _what(content), content.cylinder, content.read_by
                    said = "; ".join(filter(None, (_said(content), replaced.get(entry.seq, ""))))
                case Ended():
                    said = content.said
                case OfPhotograph():
                    said = f"of entry {content.photograph}{content.said}"
                case None:
                    pass
        lines.append((str(entry.seq), what, cylinder, said, who))
    return lines


def _replaced(recorded: Recorded) -> dict[int, str]:
    """Say of each entry that was put right or taken back where that is told; the last of several is named."""
    return {each.target: f"see entry {each.seq}" for each in recorded.corrections if each.target is not None}


def _put_right(change: Correction) -> tuple[str, str, str]:
    parts = [
        f"{part.name.replace('_', ' ')} {part.before or 'nothing'} -> {part.after or 'nothing'}"
        for part in change.changes
    ]
    said = "; ".join(filter(None, ("taken back" if change.withdrawn else "", *parts, f"why: {change.why}")))
    of = f" of entry {change.target}" if change.target else ""
    return f"{'withdrawal' if change.withdrawn else 'correction'}{of}", change.cylinder, said


_SHOWS = {Shows.PLUG: "a plug", Shows.GAUGE: "a gauge", Shows.OTHER: "something"}


def _kept(photograph: Photograph) -> str:
    picture = photograph.picture
    back = f"taken back, why: {photograph.taken_back}" if photograph.taken_back else ""
    if photograph.erased is not None:
        back = f"its file was erased, see entry {photograph.erased.seq}"
    parts = (
        back,
        "on the sheet" if photograph.for_sheet else "",
        photograph.note,
        f"{picture.width} x {picture.height}, {picture.size / 1e6:.1f} MB",
        f"file {picture.sha256[:16]}",
    )
    return "; ".join(filter(None, parts))


def _what(row: Pull | LeakdownReading) -> str:
    words = [str(row.kind)]
    if isinstance(row, Pull) and row.drift:
        words.append("drift")
    if row.repeat:
        words.append(f"repeat {row.repeat}")
    return " ".join(words)


def _said(row: Pull | LeakdownReading) -> str:
    if isinstance(row, LeakdownReading):
        figures = [
            f"supply {row.supply or 'not read'}",
            f"held {row.held or 'not read'}",
            f"restrictor {row.restrictor}" if row.restrictor else "",
        ]
        figures.append(f"heard at {', '.join(row.heard)}" if row.heard else "")
    else:
        film = " (from film)" if row.first_from_film else ""
        first = f"first {row.first or 'not seen'}{' (spoiled)' if row.first_spoiled else film}"
        figures = [
            first,
            f"final {row.final or 'not read'}",
            f"oil {row.oil}" if row.oil else "",
            f"{row.strokes} strokes" if row.strokes else "",
        ]
    return ", ".join(filter(None, (*figures, f"plug {row.plug}" if row.plug else "", row.note)))


def as_json(recorded: Recorded) -> dict[str, object]:
    """
    Put a test of the book into a form for other programs; `Book.export` is the exact one.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    dict
        Figures as they were written.
    """
    return {
        "test": recorded.test_id,
        "head": recorded.head,
        "finished": recorded.finished,
        "put_aside": recorded.put_aside,
        "header": dict(header_lines(recorded)),
        "readings": [
            {
                "entry": seq,
                "cylinder": row.cylinder,
                "kind": str(row.kind),
                "drift": isinstance(row, Pull) and row.drift,
                "repeat": row.repeat,
                **_figures(row),
            }
            for seq, row in zip(recorded.standing, recorded.test.taken, strict=True)
        ],
        "corrections": [
            {
                "entry": change.seq,
                "of": change.target,
                "cylinder": change.cylinder,
                "changes": [{"field": c.name, "before": c.before, "after": c.after} for c in change.changes],
                "why": change.why,
                "who": change.who,
                "at": change.at,
                "withdrawn": change.withdrawn,
            }
            for change in recorded.corrections
        ],
        "photographs": [
            {
                "entry": each.seq,
                "cylinder": each.cylinder,
                "shows": str(each.shows),
                "sha256": each.picture.sha256,
                "media_type": each.picture.media_type,
                "size": each.picture.size,
                "width": each.picture.width,
                "height": each.picture.height,
                "note": each.note,
                "for_sheet": each.for_sheet,
                "who": each.who,
                "at": each.at,
                "taken_back": each.taken_back,
                "erased": _erased(each),
            }
            for each in recorded.photographs
        ],
    }


def _erased(photograph: Photograph) -> dict[str, object] | None:
    erased = photograph.erased
    if erased is None:
        return None
    return {"entry": erased.seq, "why": erased.why, "who": erased.who, "at": erased.at}


def _figures(row: Pull | LeakdownReading) -> dict[str, object]:
    if isinstance(row, LeakdownReading):
        return {
            "supply": _text(row.supply),
            "held": _text(row.held),
            "restrictor": _text(row.restrictor),
            "heard": list(row.heard),
        }
    return {
        "first": _text(row.first),
        "final": _text(row.final),
        "first_spoiled": row.first_spoiled,
        "first_from_film": row.first_from_film,
        "strokes": row.strokes,
        "oil": _text(row.oil),
    }


def _text(figure: object) -> str | None:
    return None if figure is None else str(figure)

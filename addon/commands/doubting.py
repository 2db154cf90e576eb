"""What the verbs say of a body's doubts and notes, and what they do not make from a doubtful one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from drafting.body.body import Body, Doubt
from drafting.errors import MeasureError
from drafting.words import plain, reason

SIZE_WORDS = "--height 42cm sets it, or --known NAME=LENGTH"
TRUST_WORDS = "if all of it is as it should be, add --trust"


STANCE = "Stance: "  # begins the note on how she was stood up


def axes(body: Body) -> str:
    """The scan's axes as they were read, for --up and --front."""
    up, front = body.skin.axes
    return f" Of the scan's axes {up} is up, and she faces {front}." if up else ""


def told(body: Body) -> list[str]:
    """One line each: doubts first, then notes, then what is missing."""
    return [
        *(f"Doubt: {_with_option(doubt)}" for doubt in body.doubts),
        *(f"Note: {note}{axes(body) if note.startswith(STANCE) else ''}" for note in body.skin.notes),
        *(f"Missing: {reason(each)}" for each in body.missing),
    ]


def hold(doubts: Iterable[Doubt], used: Iterable[str], cuts: bool, trusted: bool) -> None:
    """Refuse to draft from an improbable body or a doubtful measure, or to print for a doubtful size.

    Parameters
    ----------
    used : iterable of str
        The measures that the draft stands on.
    cuts : bool
        Whether cloth will be cut by what is made, so that the size must be sure.

    Raises
    ------
    MeasureError
        With the first doubt and how many more there are.
    """
    if trusted:
        return
    named = {"body", *used, *(["size"] if cuts else [])}
    against = [doubt for doubt in doubts if doubt.about in named and not doubt.mild]
    if not against:
        return
    more = f" (and {len(against) - 1} more; toile.py measure lists them)" if len(against) > 1 else ""
    raise MeasureError(f"{_with_option(against[0])}{more} Nothing was made; {TRUST_WORDS}.")


def _with_option(doubt: Doubt) -> str:
    name = plain(doubt.about)
    hint = {"size": f" ({SIZE_WORDS})", "body": ""}.get(doubt.about, f" (--measure {doubt.about}=LENGTH)")
    return doubt.sentence + hint if doubt.about in ("size", "body") else f"{name}: {doubt.sentence}{hint}"


def read_doubts(record: Mapping[str, object]) -> tuple[Doubt, ...]:
    """The doubts that a kept pattern was drafted under; none in one of an earlier version."""
    listed = record.get("doubts", ())
    rows = listed if isinstance(listed, list | tuple) else ()
    return tuple(
        Doubt(str(row["about"]), str(row["sentence"]), bool(row.get("mild")))
        for row in rows
        if isinstance(row, Mapping)
    )

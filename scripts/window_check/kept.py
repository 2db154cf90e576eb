"""What a scene keeps, as plain texts that can be compared: by the walk when it saves, and by a fresh process that opens
the file.
"""

import io
import sys
from collections import Counter
from zipfile import ZipFile

from window import ADDON


def told(scene):
    """Each kept value by its checksums, the steps that are ticked, and how many objects play each role."""
    session, signpost, table = part("session"), part("signpost"), part("table")
    kept = {name: session.get(scene, name) for name in (*session.STEPS, *session.BESIDE)}
    return {
        "values": {name: checksums(value) for name, value in kept.items() if value is not None},
        "ticked": [step for step in part("properties").STEPS if signpost.is_done(scene, step)],
        "objects": dict(sorted(Counter(thing[table.MARK] for thing in table.ours(scene)).items())),
    }


def checksums(value):
    """A value as it is kept: the CRC-32 of each part of its zip, so that two equal values give equal texts."""
    with ZipFile(io.BytesIO(part("keep").pack(value))) as parts:
        return " ".join(f"{each.filename}:{each.CRC:08x}" for each in parts.infolist())


def part(name):
    """A module of the installed extension."""
    return sys.modules[f"{ADDON}.{name}"]

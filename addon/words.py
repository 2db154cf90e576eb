"""Our own words in a Blender of any language: they are the trade's, and Blender's translations of its own would mislead
(the "ease" of a garment is not to simplify). So they stay as they are, under a name by which Blender knows none.
"""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T", bound=type)

OURS = "Pocket Toile"  # Blender's name for it: a translation context


def own_words(group: T) -> T:
    """A class whose properties Blender is not to translate."""
    for made in group.__annotations__.values():
        made.keywords["translation_context"] = OURS
    return group

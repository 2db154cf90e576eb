"""One file a garment: its options, rules, panels, seams, and how it lies and closes."""

from __future__ import annotations

from .garment import Garment
from .robe import ROBE

GARMENTS: dict[str, Garment] = {"robe": ROBE}

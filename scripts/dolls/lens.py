"""A lens on what should be meshed finer: thinning sees it enlarged, and so leaves it more triangles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .field import FloatArray

REACH = np.linspace(0, 1.5, 3001)


@dataclass(frozen=True)
class Lens:
    """Enlarges all beyond a level of one coordinate, on both sides of zero, about a centre line.

    Attributes
    ----------
    axis : int
        The coordinate that decides, 0 to 2.
    start, full : float
        Levels where enlarging begins and where it is complete.
    zoom : float
        Enlargement beyond `full`.
    centre : tuple of float
        The other two coordinates are enlarged about this point.
    """

    axis: int
    start: float
    full: float
    zoom: float
    centre: tuple[float, float, float]

    def scale(self, level: FloatArray) -> FloatArray:
        share = np.clip((level - self.start) / (self.full - self.start), 0, 1)
        return 1 + (self.zoom - 1) * share * share * (3 - 2 * share)

    @property
    def stretched(self) -> FloatArray:
        """Where each level of `REACH` is seen."""
        scale = self.scale(REACH)
        steps: FloatArray = 0.5 * (scale[1:] + scale[:-1]) * np.diff(REACH)
        return np.concatenate((np.zeros(1), np.cumsum(steps)))

    def enlarge(self, points: FloatArray) -> FloatArray:
        level = np.abs(points[:, self.axis])
        seen = self.centre + (points - self.centre) * self.scale(level)[:, None]
        seen[:, self.axis] = np.sign(points[:, self.axis]) * np.interp(level, REACH, self.stretched)
        return seen

    def reduce(self, seen: FloatArray) -> FloatArray:
        """The way back from `enlarge`."""
        level = np.interp(np.abs(seen[:, self.axis]), self.stretched, REACH)
        points = self.centre + (seen - self.centre) / self.scale(level)[:, None]
        points[:, self.axis] = np.sign(seen[:, self.axis]) * level
        return points

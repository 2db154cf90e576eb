"""A skin as a shaded picture from one side, and what of a line on it is seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .body import FloatArray, IntArray, Skin
from .mend import vertex_normals
from .volume import struck

LIGHT = np.array([-0.35, 0.45, 0.82])
"""Where the light comes from: right, up and towards the eye, all as seen."""
DARKEST, LIGHTEST = 0.55, 0.97
TIGHT = 0.012
"""A tape this share of the height under the skin still lies on it: it is drawn through the skin's triangles."""


@dataclass(frozen=True)
class View:
    """A direction to look along.

    Attributes
    ----------
    right, toward : (3,) float
        What points right in the picture, and towards the eye; up is +Z.
    """

    right: FloatArray
    toward: FloatArray

    def seen(self, points: FloatArray) -> FloatArray:
        """(n, 3) points as right, up and toward, mm."""
        return np.stack([points @ self.right, points[:, 2], points @ self.toward], axis=1)


@dataclass(frozen=True)
class Shaded:
    """A picture of a skin, row 0 at the top.

    Attributes
    ----------
    grey : (high, wide) float
        0 black to 1 white; white where there is no skin.
    depth : (high, wide) float
        How near the skin is to the eye, mm; minus infinite where there is none.
    low : (2,) float
        Right and up, in mm, of the picture's lower left corner.
    """

    view: View
    grey: FloatArray
    depth: FloatArray
    low: FloatArray
    pixels_per_mm: float
    reach: float

    def place(self, points: FloatArray) -> FloatArray:
        """(n, 2) x and y in pixels, y downwards, of (n, 3) points of the body."""
        flat = (self.view.seen(points)[:, :2] - self.low) * self.pixels_per_mm
        return np.stack([flat[:, 0], len(self.grey) - 1 - flat[:, 1]], axis=1)

    def visible(self, points: FloatArray) -> IntArray:
        """(n,) bool, whether no skin lies before a point."""
        x, y = np.rint(self.place(points)).astype(int).T
        high, wide = self.grey.shape
        before = self.depth[np.clip(y, 0, high - 1), np.clip(x, 0, wide - 1)]
        return self.view.seen(points)[:, 2] > before - self.reach


def shaded(skin: Skin, view: View, pixels_per_mm: float) -> Shaded:
    """Look at a skin; soft light, smooth normals, what is nearest hides the rest."""
    seen = view.seen(skin.vertices)
    low = seen[:, :2].min(axis=0) - 2 / pixels_per_mm
    size = np.ceil((seen[:, :2].max(axis=0) - low) * pixels_per_mm).astype(int) + 3
    corner = seen[skin.faces]
    corner[:, :, :2] = (corner[:, :, :2] - low) * pixels_per_mm
    met = struck(corner, (int(size[0]), int(size[1])))
    near = np.argsort(met.level, kind="stable")
    place = met.column[near, 0], met.column[near, 1]
    depth, grey = np.full(size, -np.inf), np.ones(size)
    normal = view.seen(vertex_normals(skin.vertices, skin.faces))[skin.faces[met.face[near]]]
    lit = np.clip((normal * met.weight[near][:, :, None]).sum(axis=1) @ (LIGHT / np.linalg.norm(LIGHT)), 0, 1)
    depth[place] = met.level[near]  # the nearest comes last and stays
    grey[place] = DARKEST + (LIGHTEST - DARKEST) * lit
    reach = TIGHT * float(np.ptp(seen[:, 1]))
    return Shaded(view, grey.T[::-1], depth.T[::-1], low, pixels_per_mm, reach)

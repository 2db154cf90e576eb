"""One clean outer skin for measuring and for draping, from whatever shells a scan holds."""

from __future__ import annotations

import numpy as np

from ..errors import ScanError
from .body import Doubt, FloatArray, IntArray, Skin
from .calm import calmed, noise_of
from .fineness import noisy
from .graph import lengths_of
from .mend import Mesh, filled, is_closed, oriented, shells, undoubled, unfolded, volumes
from .weave import weave
from .weld import compact

GAP = 0.008
"""Widest gap between two parts, as a share of the height, that the skin runs across."""
SPECK = 0.015
"""A shell smaller than this share of the height is dust."""
CALMER = 0.65
"""A skin whose roughness falls below this share when smoothed is noisy; one that is only sculpted does not."""
QUIET = 0.02
"""Roughness below this share of the triangles' edges is none."""
MOST = 3.0
"""Noise moves no point farther than this many standard deviations: so much is smoothed at most."""
HOLE = 0.002
"""Holes narrower than this share of the height are not worth a word."""


def clean_skin(vertices: FloatArray, faces: IntArray, notes: tuple[str, ...] = (), whole: bool = False) -> Skin:
    """A skin to measure and to drape on; a single closed shell without noise is left as it is.

    Parameters
    ----------
    vertices : (n, 3) float
        Upright and true to size, mm.
    notes : tuple of str
        What was said before; what is changed here is added.
    whole : bool
        Whether it is known to be a single closed shell.
    """
    height = float(np.ptp(vertices[:, 2]))
    said, doubts = list(notes), list[Doubt]()
    closed = whole or is_closed(faces, len(vertices))
    if not closed:
        vertices, faces = compact(vertices, unfolded(faces))
        closed = is_closed(faces, len(vertices))
    if not whole and (not closed or shells(vertices, faces, closed).max() > 0):
        vertices, faces = _without_specks(vertices, faces, height, said)
        _one_doll(vertices, faces)
        closed = is_closed(faces, len(vertices))
        if not closed or shells(vertices, faces, closed).max() > 0:
            return Skin(*_one_shell(vertices, faces, height, said, doubts), tuple(said), doubts=tuple(doubts))
    if volumes(vertices, faces, np.zeros(len(faces), np.int64))[0] < 0:
        faces = faces[:, ::-1]
        said.append("Skin: the scan was inside out and was turned.")
    return Skin(*_calm(vertices, faces, said, doubts), tuple(said), True, tuple(doubts))


def _one_doll(vertices: FloatArray, faces: IntArray) -> None:
    """Refuse two whole dolls: shells alike in size that stand beside each other and are most of the scan each."""
    shell = shells(vertices, faces)
    boxes = np.array([np.stack([each.min(axis=0), each.max(axis=0)]) for each in _points_of(vertices, faces, shell)])
    size, middle = np.linalg.norm(boxes[:, 1] - boxes[:, 0], axis=1), boxes.mean(axis=1)
    first = int(size.argmax())
    apart = np.linalg.norm(middle - middle[first], axis=1) > 0.3 * size[first]
    whole = size[first] > 0.5 * np.linalg.norm(np.ptp(vertices, axis=0))
    if whole and (apart & (size > 0.8 * size[first])).any():
        raise ScanError("the scan holds two dolls or more; export one alone")


def _points_of(vertices: FloatArray, faces: IntArray, shell: IntArray) -> list[FloatArray]:
    """The corners of each shell's faces."""
    order = np.argsort(shell, kind="stable")
    return [vertices[faces[some]].reshape(-1, 3) for some in np.split(order, np.cumsum(np.bincount(shell))[:-1])]


def _without_specks(
    vertices: FloatArray, faces: IntArray, height: float, said: list[str]
) -> tuple[FloatArray, IntArray]:
    """Drop doubled faces and shells that are dust."""
    single = undoubled(faces)
    if len(single) < len(faces):
        said.append(f"Skin: {len(faces) - len(single)} doubled triangles were left out.")
    shell = shells(vertices, single)
    low, high = np.full((shell.max() + 1, 3), np.inf), np.full((shell.max() + 1, 3), -np.inf)
    for corner in single.T:
        np.minimum.at(low, shell, vertices[corner])
        np.maximum.at(high, shell, vertices[corner])
    dust = np.linalg.norm(high - low, axis=1) < SPECK * height
    if dust.all():
        raise ScanError("the scan is made of loose crumbs only; join its points into one mesh and export it again")
    if dust.any():
        said.append(f"Skin: {int(dust.sum())} floating specks were left out.")
    elif len(single) == len(faces):
        return vertices, faces
    return compact(vertices, single[~dust[shell]])


def _calm(vertices: FloatArray, faces: IntArray, said: list[str], doubts: list[Doubt]) -> tuple[FloatArray, IntArray]:
    """Take off scan noise, where there is some."""
    noise = noise_of(vertices, faces)
    if noise < QUIET * float(lengths_of(vertices, faces[:, :2]).mean()):
        return vertices, faces
    calm = calmed(vertices, faces, noise)
    if noise_of(calm, faces) > CALMER * noise:
        return vertices, faces
    step = calm - vertices
    size = np.linalg.norm(step, axis=1)
    calm = vertices + step * np.minimum(1, MOST * noise / np.maximum(size, 1e-12))[:, None]
    moved = float(min(size.max(), MOST * noise))
    said.append(f"Skin: scan noise of {noise:.2f} mm was smoothed; no point moved more than {moved:.2f} mm.")
    doubts += noisy(noise, float(np.ptp(vertices[:, 2])))
    return calm, faces


def _one_shell(
    vertices: FloatArray, faces: IntArray, height: float, said: list[str], doubts: list[Doubt]
) -> tuple[FloatArray, IntArray]:
    """Turn, close and calm every shell, then join them under one skin."""
    faces, turned = oriented(vertices, faces)
    if turned:
        said.append(f"Skin: {turned} triangles that looked inwards were turned.")
    vertices, faces = _calm(vertices, faces, said, doubts)
    mesh, holes = filled(Mesh.of(vertices, faces))
    wide = [hole for hole in holes if hole > HOLE * height]
    if wide:
        said.append(f"Skin: {len(wide)} holes were closed, the widest {wide[-1]:.1f} mm across.")
    if is_closed(mesh.faces, len(mesh.vertices)) and shells(mesh.vertices, mesh.faces).max() == 0:
        return mesh.vertices, mesh.faces
    count = int(shells(mesh.vertices, mesh.faces).max()) + 1
    woven = weave(mesh, GAP * height)
    said.append(
        f"Skin: {count} shells were joined under one skin (cubes of the outermost solid, drawn onto the scan); gaps up "
        f"to {GAP * height:.1f} mm were bridged, {100 * woven.bridged:.1f} % of the skin lies over joints or mended "
        f"places, the rest is nowhere farther than {woven.deviation:.2f} mm from the scan."
    )
    if woven.lost:
        said.append(f"Skin: {woven.lost} pieces float farther than {GAP * height:.1f} mm from the body: left out.")
    return woven.vertices, woven.faces

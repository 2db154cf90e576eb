"""Pattern -> sewable cloth: triangulated pieces, laid flat, with one-to-one sewing pairs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drafting.cloth.mesh import ClothMesh
from drafting.errors import DraftError
from drafting.garments.garment import Garment
from drafting.garments.layered import is_under
from drafting.pattern.panel import Edge, Panel
from drafting.pattern.pattern import Pattern, Piece
from drafting.words import edge as edge_word
from drafting.words import plain

from .mesher import CLEARANCE, distance_to_outline, resample, triangulate

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class Assembly:
    """All pieces of a garment as one mesh, not yet sewn.

    Attributes
    ----------
    flat : (n, 2) float
        Each vertex in its panel's frame, mm.
    laid : (n, 3) float
        Where it lies when the garment is folded flat: x, height from the shoulder line, layer.
    faces : (m, 3) int
        Counter-clockwise seen from the right side of the cloth once it is laid.
    squares : (q, 2) int
        Pairs of triangles that make one square along the grain.
    piece : (n,) int
        Index into `pieces`.
    sewn : (k, 2) int
        Vertex pairs that a seam brings together.
    seam : (k,) int
        Which seam each pair belongs to, index into `seams`.
    tied : (t, 2) int
        Vertex pairs held by ties, the upper one first.
    edges : mapping of (piece, edge) to (j,) int
        Vertices along each edge, in the panel's counter-clockwise order.
    """

    flat: FloatArray
    laid: FloatArray
    faces: IntArray
    squares: IntArray
    piece: IntArray
    pieces: tuple[Piece, ...]
    sewn: IntArray
    seam: IntArray
    seams: tuple[str, ...]
    mismatch_mm: float
    tied: IntArray
    edges: Mapping[tuple[str, str], IntArray]

    @property
    def under(self) -> IntArray:
        """(u,) int: the vertices of an under-garment."""
        return np.flatnonzero(np.array([is_under(piece) for piece in self.pieces])[self.piece])


def assemble(pattern: Pattern, garment: Garment, edge_mm: float) -> Assembly:
    """Triangulates every piece and pairs the vertices of every seam.

    Raises
    ------
    DraftError
        Where a seam names an edge that is not there, or its partners differ in length beyond their ease.
    """
    counts = _edge_counts(pattern, edge_mm)
    pieces = tuple(pattern.pieces())
    flats: list[FloatArray] = []
    lays: list[FloatArray] = []
    faces: list[IntArray] = []
    squares: list[IntArray] = []
    owner: list[IntArray] = []
    edges: dict[tuple[str, str], IntArray] = {}
    base = 0
    ties = _tie_points(pattern, counts, edge_mm)
    for index, piece in enumerate(pieces):
        outline, marks = _sampled(piece.panel, counts)
        sheet = triangulate(outline, edge_mm, ties.get(piece.name), sewn_corners=True)
        lay = garment.lay(pattern, piece, sheet.points)
        flats.append(sheet.points)
        lays.append(lay)
        squares.append(sheet.squares + sum(len(part) for part in faces))
        faces.append(_right_side_out(sheet.faces, lay) + base)
        owner.append(np.full(len(sheet.points), index))
        for name, ring in marks.items():
            edges[piece.name, name] = ring + base
        base += len(sheet.points)
    flat, piece_of = np.concatenate(flats), np.concatenate(owner)
    sewn, seam, names, mismatch = sewn_pairs(pattern, edges)
    return Assembly(
        flat=flat,
        laid=np.concatenate(lays),
        faces=np.concatenate(faces),
        squares=np.concatenate(squares),
        piece=piece_of,
        pieces=pieces,
        sewn=sewn,
        seam=seam,
        seams=names,
        mismatch_mm=mismatch,
        tied=_tied_pairs(pattern, pieces, flat, piece_of),
        edges=edges,
    )


def weld(assembly: Assembly, positions: FloatArray) -> tuple[ClothMesh, float]:
    """Joins sewn partners in their middle.

    Returns
    -------
    ClothMesh
        The garment as one mesh.
    float
        The widest gap that the weld closed, mm.
    """
    gaps = np.linalg.norm(positions[assembly.sewn[:, 0]] - positions[assembly.sewn[:, 1]], axis=1)
    group = _groups(len(positions), assembly.sewn)
    count = np.bincount(group)
    vertices = np.column_stack([np.bincount(group, positions[:, k]) / count for k in range(3)])
    mesh = ClothMesh(
        vertices=vertices,
        faces=group[assembly.faces],
        flat=assembly.flat[assembly.faces],
        piece=assembly.piece[assembly.faces[:, 0]],
        pieces=tuple(piece.name for piece in assembly.pieces),
        roles=tuple(piece.panel.role for piece in assembly.pieces),
        edges={key: group[ring] for key, ring in assembly.edges.items()},
        squares=assembly.squares,
    )
    return mesh, float(gaps.max(initial=0.0))


def draped_edges(panel: Panel) -> tuple[Edge, ...]:
    """The edges of the part of a panel that is draped."""
    return panel.worn or panel.edges


def _edge_counts(pattern: Pattern, edge_mm: float) -> dict[tuple[str, str], int]:
    """How many segments each edge is divided into; seam partners share the larger number."""
    counts = {
        (panel.name, edge.name): max(1, round(edge.length / edge_mm))
        for panel in pattern.panels
        for edge in draped_edges(panel)
    }
    changed = True
    while changed:
        changed = False
        for seam in pattern.seams:
            for key in (seam.a, seam.b):
                if key not in counts:
                    raise DraftError(
                        f"A seam of the {pattern.garment} names the {plain(key[0])}'s {edge_word(key[1])}, "
                        "which is not an edge."
                    )
            most = max(counts[seam.a], counts[seam.b])
            changed = changed or counts[seam.a] != counts[seam.b]
            counts[seam.a] = counts[seam.b] = most
    return counts


def _sampled(panel: Panel, counts: Mapping[tuple[str, str], int]) -> tuple[FloatArray, dict[str, IntArray]]:
    """The outline with the counted vertices, and which of them lie along each edge."""
    runs, marks, start = [], {}, 0
    edges = draped_edges(panel)
    total = sum(counts[panel.name, edge.name] for edge in edges)
    for edge in edges:
        count = counts[panel.name, edge.name]
        runs.append(resample(edge.points, count)[:-1])
        marks[edge.name] = np.arange(start, start + count + 1) % total
        start += count
    return np.concatenate(runs), marks


def _tie_points(pattern: Pattern, counts: Mapping[tuple[str, str], int], edge_mm: float) -> dict[str, FloatArray]:
    """Inner points that ties need as vertices; a tie's end on or near an outline takes the nearest vertex there."""
    points: dict[str, list[tuple[float, float]]] = {}
    panels = {piece.name: piece.panel for piece in pattern.pieces()}
    for tie in pattern.ties:
        a, b = _on_outline(panels[tie.a[0]], counts, tie.a[1:]), tie.b[1:]
        shift = (a[0] - tie.a[1], a[1] - tie.a[2])
        under = np.array([[b[0], b[1] + shift[1]]])
        if distance_to_outline(under, _sampled(panels[tie.b[0]], counts)[0])[0] > CLEARANCE * edge_mm:
            points.setdefault(tie.b[0], []).append((under[0, 0], under[0, 1]))
    return {name: np.array(rows) for name, rows in points.items()}


def _on_outline(panel: Panel, counts: Mapping[tuple[str, str], int], point: tuple[float, float]) -> FloatArray:
    """The sampled outline point nearest to a flat point."""
    outline, _ = _sampled(panel, counts)
    return outline[np.linalg.norm(outline - np.asarray(point), axis=1).argmin()]


def _tied_pairs(pattern: Pattern, pieces: tuple[Piece, ...], flat: FloatArray, piece_of: IntArray) -> IntArray:
    """(t, 2) int: for each tie, the vertex nearest to its upper point, and that under it."""
    index = {piece.name: i for i, piece in enumerate(pieces)}
    pairs = []
    for tie in pattern.ties:
        upper = _nearest(flat, piece_of, index[tie.a[0]], tie.a[1:])
        drop = flat[upper, 1] - tie.a[2]
        pairs.append((upper, _nearest(flat, piece_of, index[tie.b[0]], (tie.b[1], tie.b[2] + drop))))
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def _nearest(flat: FloatArray, piece_of: IntArray, piece: int, point: tuple[float, float]) -> int:
    candidates = np.flatnonzero(piece_of == piece)
    return int(candidates[np.linalg.norm(flat[candidates] - np.asarray(point), axis=1).argmin()])


def _right_side_out(faces: IntArray, laid: FloatArray) -> IntArray:
    """Turns all triangles of a piece so that front layers face the viewer (-Y) and back layers face away.

    In (x, height), counter-clockwise gives the normal x cross z = -y: towards the viewer. A piece folded over the
    arm is one sheet, so the whole piece is turned as most of its triangles ask.
    """
    corner = laid[faces]
    a, b = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    turn = np.sign(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) * np.sign(corner[:, :, 2].mean(axis=1))
    return faces[:, ::-1] if turn.sum() < 0 else faces


def sewn_pairs(
    pattern: Pattern, edges: Mapping[tuple[str, str], IntArray]
) -> tuple[IntArray, IntArray, tuple[str, ...], float]:
    """Vertex pairs of all seams, the seam each belongs to, the seams' names and the longest mismatch in mm."""
    pairs: list[IntArray] = []
    owner: list[IntArray] = []
    names: list[str] = []
    mismatch = 0.0
    for seam in pattern.seams:
        long_a, long_b = (pattern.panel(panel).edge(edge).length for panel, edge in (seam.a, seam.b))
        mismatch = max(mismatch, abs(long_a - long_b - seam.ease_mm))
        for side_a, side_b in seam.pairs:
            piece_a, piece_b = (
                Piece(pattern.panel(name), side).name for (name, _), side in ((seam.a, side_a), (seam.b, side_b))
            )
            ring_a, ring_b = edges[piece_a, seam.a[1]], edges[piece_b, seam.b[1]]
            if seam.turned:
                ring_b = ring_b[::-1]
            pairs.append(np.column_stack([ring_a, ring_b]))
            owner.append(np.full(len(ring_a), len(names)))
            names.append(
                f"the {plain(piece_a)}'s {edge_word(seam.a[1])} to the {plain(piece_b)}'s {edge_word(seam.b[1])}"
            )
    joined = np.concatenate(pairs)
    kept = joined[:, 0] != joined[:, 1]
    return joined[kept], np.concatenate(owner)[kept], tuple(names), mismatch


def _groups(count: int, pairs: IntArray) -> IntArray:
    """(count,) int: a number 0, 1, 2 ... for each set of vertices that pairs join."""
    label = np.arange(count)
    while True:
        low = np.minimum(label[pairs[:, 0]], label[pairs[:, 1]])
        before = label.copy()
        np.minimum.at(label, pairs[:, 0], low)
        np.minimum.at(label, pairs[:, 1], low)
        label = label[label]
        if np.array_equal(before, label):
            break
    return np.unique(label, return_inverse=True)[1]

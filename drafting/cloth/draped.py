"""What a drape leaves behind: the settled cloth and how it got there."""

from __future__ import annotations

from dataclasses import dataclass

from .mesh import ClothMesh, joined


@dataclass(frozen=True)
class SeamClosure:
    """How the seams closed.

    Attributes
    ----------
    count : int
        Sewn seams, left and right counted apart.
    widest_open_mm : float
        Widest distance between sewn partners in the finished mesh; 0 once welded.
    widest_welded_mm : float
        Widest gap that the final weld had to close.
    longest_mismatch_mm : float
        Largest difference in drafted length between two partners, after their declared ease.
    """

    count: int
    widest_open_mm: float
    widest_welded_mm: float
    longest_mismatch_mm: float


@dataclass(frozen=True)
class Parting:
    """Cloth that crossed cloth when it had come to rest, and was pulled apart at the end.

    Attributes
    ----------
    pairs : int
        Of triangles that cut each other.
    farthest_mm : float
        Farthest that a vertex was moved.
    """

    pairs: int = 0
    farthest_mm: float = 0.0


@dataclass(frozen=True)
class Draped:
    """A settled garment.

    Attributes
    ----------
    speed_p99_mm_s : float
        99th percentile of vertex speed at the end, doll millimetres per simulated second.
    lap : str
        The piece that lies uppermost where the fronts cross, read from the drape ("front.left"), "" if none.
    quick : bool
        Draped with coarse cloth, for a first look.
    parted : Parting
        What was pulled apart at the end.
    under : ClothMesh or None
        The under-garment, where one is worn beneath.
    """

    cloth: ClothMesh
    seams: SeamClosure
    speed_p99_mm_s: float
    edge_mm: float
    frames: int
    solver_seconds: float
    lap: str
    quick: bool = False
    parted: Parting = Parting()
    under: ClothMesh | None = None

    @property
    def whole(self) -> ClothMesh:
        """All cloth as one mesh, the under-garment first."""
        return self.cloth if self.under is None else joined(self.under, self.cloth)

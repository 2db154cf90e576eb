"""What a drawing holds: lines with their names, and words, in millimetres at true size."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..errors import DraftError, LengthError
from ..pattern.panel import FloatArray
from ..units import MM_PER_INCH, parse_length
from .own_curve import Run, ellipse_run, path_runs, polygon_run, rectangle_run
from .own_xml import Node, read_svg

PIXEL = MM_PER_INCH / 96  # CSS Values and Units, https://www.w3.org/TR/css-values-3/#absolute-lengths
UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "q": 0.25,
    "in": MM_PER_INCH,
    "pt": MM_PER_INCH / 72,
    "pc": MM_PER_INCH / 6,
    "px": PIXEL,
    "": PIXEL,
}
NO_SIZE = ("", "px", "%")  # units of a screen: programs disagree on how large they are
SAME_SCALE = 0.01  # a drawn square and the page's own size may differ by this share: a line's width on 50 mm
SQUARE = 0.005  # the sides of a test square may differ by this share
MOST_USES = 5000  # copies of shapes that are drawn once and used again

UNDRAWN = {"defs", "symbol", "clipPath", "mask", "marker", "pattern", "metadata", "style", "script", "title", "desc"}
# Names that drawing programs give by themselves.
GIVEN = re.compile(
    r"((layer|path|rect|rectangle|circle|ellipse|polygon|polyline|line|group|g|svg|text|tspan|use|clone|shape|object|"
    r"curve|page|artboard|image|drawing|canvas|root|id)s?)?[\s_-]*\d*([\s_.-]+\d+)*",
    re.IGNORECASE,
)
_TRANSFORM = re.compile(r"(\w+)\s*\(([^)]*)\)")
_FIGURE = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
IDENTITY = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


@dataclass(frozen=True)
class Drawn:
    """A line as it is drawn.

    Attributes
    ----------
    run : Run
        In mm from the drawing's upper left corner, y downwards.
    name : str
        The maker's own name for it, or nothing.
    groups : tuple of int
        The numbers of the groups that it lies in, the innermost first.
    """

    run: Run
    name: str
    groups: tuple[int, ...]


@dataclass(frozen=True)
class Written:
    """A line of text and where it begins, mm from the drawing's upper left corner, y downwards."""

    text: str
    at: FloatArray


@dataclass(frozen=True)
class Group:
    """A group or layer: the maker's own name for it, or nothing, and its class, which may say what it holds."""

    name: str
    kind: str


@dataclass(frozen=True)
class Drawing:
    """Everything drawn and written; the groups by their numbers.

    Attributes
    ----------
    unit_mm : float
        Millimetres of one unit of the drawing, across.
    scale_from : str
        What said so.
    """

    lines: tuple[Drawn, ...]
    words: tuple[Written, ...]
    groups: tuple[Group, ...]
    unit_mm: float
    scale_from: str


def read_lines(path: Path) -> Drawing:
    """A drawing at true size.

    Raises
    ------
    DraftError
        The file cannot be read, or nothing says how large the drawing is.
    """
    root = read_svg(path)
    walker = _Walker(root, path.name)
    matrix, unit = _viewport(root, path.name)
    walker.visit(root, matrix, ())
    drawing = Drawing(tuple(walker.lines), tuple(walker.words), tuple(walker.groups), unit, "its width and viewBox")
    return _at_true_size(drawing, root, path.name)


def own_name(node: Node) -> str:
    """The name that the maker gave to an element: a label, a title, or an id that no program made up; else nothing."""
    title = next((child.text for child in node.children if child.tag == "title"), "")
    for name in (node.get("label"), node.get("data-name"), title, node.get("id")):
        # Some programs write what an id may not hold, such as a leading digit, as its code: _x35_0mm is 50mm.
        plain = re.sub(r"_x([0-9A-Fa-f]{2,5})_", lambda code: chr(int(code[1], 16)), name.strip())
        if plain and not GIVEN.fullmatch(plain):
            return plain
    return ""


def length_name(name: str) -> float | None:
    """The length that a test square's name says, such as "50mm" or "test square 2 in"; None for other names."""
    bare = re.sub(r"test|square|[_-]", " ", name.lower()).strip()
    if not re.search(r"\d\s*(mm|cm|in|inch|inches|\")$", bare):
        return None
    try:
        return parse_length(bare) or None
    except LengthError:
        return None


class _Walker:
    """Goes through the tree and collects what can be seen."""

    def __init__(self, root: Node, file: str) -> None:
        self.file = file
        self.ids = {node.attributes["id"]: node for node in root.walk() if "id" in node.attributes}
        self.lines: list[Drawn] = []
        self.words: list[Written] = []
        self.groups: list[Group] = []
        self.uses = 0
        self.using: list[Node] = []
        self.root = root

    def visit(
        self, node: Node, matrix: FloatArray, groups: tuple[int, ...], named: str = "", hidden: bool = False
    ) -> None:
        if node.tag in UNDRAWN or node.get("display") == "none":
            return
        # Visibility is inherited and may be switched on again within; display may not (SVG 2, 3.3 and 3.4).
        said = node.get("visibility")
        hidden = said != "visible" if said in ("visible", "hidden", "collapse") else hidden
        matrix = _times(matrix, self.transform(node))
        if node.tag == "svg" and node is not self.root:
            matrix = self.inner_viewport(node, matrix)
        if node.tag in ("g", "a", "switch", "svg"):
            inside = self.grouped(node, groups)
            for child in node.children:
                self.visit(child, matrix, inside, hidden=hidden)
        elif node.tag == "use":
            self.use(node, matrix, groups, hidden)
        elif hidden:
            return
        elif node.tag == "text":
            self.words += self.written(node, matrix)
        else:
            name = named or own_name(node)
            self.lines += [Drawn(run.moved(matrix), name, groups) for run in self.runs(node)]

    def grouped(self, node: Node, groups: tuple[int, ...]) -> tuple[int, ...]:
        """The groups of what lies in this one."""
        self.groups.append(Group("" if node.tag == "svg" else own_name(node), node.get("class")))
        return (len(self.groups) - 1, *groups)

    def use(self, node: Node, matrix: FloatArray, groups: tuple[int, ...], hidden: bool) -> None:
        self.uses += 1
        if self.uses > MOST_USES:
            raise DraftError(
                f"{self.file} copies shapes more than {MOST_USES} times. Turn the clones into plain paths."
            )
        used = self.ids.get(node.get("href").removeprefix("#"))
        if used is None or any(used is one for one in self.using):  # a ring is not drawn (SVG 2, 5.5)
            return
        shift = np.array([[1.0, 0.0, self.size(node, "x")], [0.0, 1.0, self.size(node, "y")]])
        shown = used
        if used.tag in ("symbol", "svg"):  # laid out like a nested svg of the copy's size (SVG 2, 5.5)
            size: dict[str, str] = {
                side: node.attributes[side] for side in ("width", "height") if side in node.attributes
            }
            shown = replace(used, tag="svg", attributes={**used.attributes, **size})
        self.using.append(used)
        self.visit(shown, _times(matrix, shift), groups, own_name(node), hidden)
        self.using.pop()

    def inner_viewport(self, node: Node, matrix: FloatArray) -> FloatArray:
        """The map from within a nested svg: its place, and its viewBox fitted into its size (SVG 2, 8.2 and 8.6)."""
        shift = np.array([[1.0, 0.0, self.size(node, "x")], [0.0, 1.0, self.size(node, "y")]])
        box = [float(n) for n in _FIGURE.findall(node.get("viewBox"))]
        if len(box) != 4 or min(box[2:]) <= 0 or "%" in node.get("width", "100%") + node.get("height", "100%"):
            return _times(matrix, shift)
        sizes = np.array([self.size(node, "width"), self.size(node, "height")])
        return _times(matrix, _times(shift, _fitted(np.array(box), sizes, node.get("preserveAspectRatio"))))

    def runs(self, node: Node) -> list[Run]:
        """The runs of one shape in its own units."""
        try:
            match node.tag:
                case "path":
                    return path_runs(node.get("d"))
                case "polygon" | "polyline":
                    return polygon_run(node.get("points"), closed=node.tag == "polygon")
                case "line":
                    ends = " ".join(repr(self.size(node, side)) for side in ("x1", "y1", "x2", "y2"))
                    return polygon_run(ends, closed=False)
                case "rect":
                    x, y, width, height = (self.size(node, side) for side in ("x", "y", "width", "height"))
                    rx, ry = (self.size(node, side) if node.get(side) else None for side in ("rx", "ry"))
                    rx, ry = (ry if rx is None else rx) or 0.0, (rx if ry is None else ry) or 0.0
                    return rectangle_run(x, y, width, height, rx, ry)
                case "circle" | "ellipse":
                    radii = ("r", "r") if node.tag == "circle" else ("rx", "ry")
                    return ellipse_run(*(self.size(node, side) for side in ("cx", "cy", *radii)))
        except DraftError as error:
            raise DraftError(f"In {self.file}, {own_name(node) or node.get('id') or 'a line'}: {error}.") from error
        return []

    def written(self, node: Node, matrix: FloatArray) -> Iterator[Written]:
        """The lines of a text; one that has no place of its own goes on where the text begins."""
        for text, holder in node.lines:
            x, y = (
                next((_first(where, axis) for where in (holder, node) if where.get(axis)), 0.0) for axis in ("x", "y")
            )
            yield Written(" ".join(text.split()), matrix[:, :2] @ np.array([x, y]) + matrix[:, 2])

    def size(self, node: Node, name: str) -> float:
        """A length in user units, 0 where there is none."""
        text = node.get(name, "0")
        number, unit = _measure(text)
        if number is None or unit not in UNITS or not math.isfinite(number):
            raise DraftError(f'its {name} is "{text}", which is no length')
        return number if unit in NO_SIZE else number * UNITS[unit] / PIXEL

    def transform(self, node: Node) -> FloatArray:
        matrix = IDENTITY
        for name, numbers in _TRANSFORM.findall(node.get("transform")):
            one = self.one_transform(name, [float(n) for n in _FIGURE.findall(numbers)])
            if not np.isfinite(one).all():
                raise DraftError(f"{self.file} holds a {name} without bounds. Apply it in the drawing program.")
            matrix = _times(matrix, one)
        return matrix

    def one_transform(self, name: str, numbers: list[float]) -> FloatArray:
        match name, numbers:
            case "matrix", [a, b, c, d, e, f]:
                return np.array([[a, c, e], [b, d, f]])
            case "translate", [x, *y]:
                return np.array([[1.0, 0.0, x], [0.0, 1.0, y[0] if y else 0.0]])
            case "scale", [x, *y]:
                return np.array([[x, 0.0, 0.0], [0.0, y[0] if y else x, 0.0]])
            case "rotate", [degrees, *about]:
                cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
                turn = np.array([[cos, -sin], [sin, cos]])
                centre = np.array(about if len(about) == 2 else [0.0, 0.0])
                return np.column_stack([turn, centre - turn @ centre])
            case "skewX", [degrees]:
                return np.array([[1.0, math.tan(math.radians(degrees)), 0.0], [0.0, 1.0, 0.0]])
            case "skewY", [degrees]:
                return np.array([[1.0, 0.0, 0.0], [math.tan(math.radians(degrees)), 1.0, 0.0]])
        raise DraftError(f"{self.file} holds a transform {name!r} that is not known. Apply it in the drawing program.")


def _fitted(box: FloatArray, sizes: FloatArray, keep: str) -> FloatArray:
    """A viewBox laid into a viewport of that size by preserveAspectRatio, "xMidYMid meet" where it says nothing."""
    align, *how = keep.split() or ["xMidYMid"]
    scale = sizes / box[2:]
    if align != "none":
        scale = np.full(2, scale.max() if how[:1] == ["slice"] else scale.min())
    share = np.array([{"Min": 0.0, "Max": 1.0}.get(align[at : at + 3], 0.5) for at in (1, 5)])
    at = share * (sizes - scale * box[2:]) - scale * box[:2]
    return np.column_stack([np.diag(scale), at])


def _viewport(root: Node, file: str) -> tuple[FloatArray, float]:
    """From the root's user units to mm on the page, and the mm of one unit (across)."""
    box = [float(n) for n in _FIGURE.findall(root.get("viewBox"))]
    (width, unit), (height, other) = _measure(root.get("width")), _measure(root.get("height"))
    if len(box) != 4 or min(box[2:]) <= 0:
        return IDENTITY * PIXEL, PIXEL
    across, down = (
        number * UNITS[name] / size if number and name in UNITS else None
        for number, name, size in ((width, unit, box[2]), (height, other, box[3]))
    )
    across, down = across or down or PIXEL, down or across or PIXEL
    keep = root.get("preserveAspectRatio", "xMidYMid meet")
    if not keep.startswith("none"):
        across = down = max(across, down) if keep.endswith("slice") else min(across, down)
    return np.array([[across, 0.0, -box[0] * across], [0.0, down, -box[1] * down]]), across


def _at_true_size(drawing: Drawing, root: Node, file: str) -> Drawing:
    """Scaled by the drawn test square where there is one, which is then taken away."""
    squares = {i: mm for i, line in enumerate(drawing.lines) if (mm := _square_name(line, drawing)) is not None}
    units = {_measure(root.get(side))[1] for side in ("width", "height") if root.get(side)}
    sized = bool(root.get("width") and units.isdisjoint(NO_SIZE))
    if not squares and not sized:
        raise DraftError(
            f"{file} does not say how large it is. Set the page's width in mm, cm or in, or draw a square of 50 mm and "
            'name it "50mm".'
        )
    if not squares:
        return drawing
    index, mm = next(iter(squares.items()))
    sides = _sides(drawing.lines[index].run)
    scales = [length / float(_sides(drawing.lines[i].run).mean()) for i, length in squares.items()]
    if max(scales) > (1 + SAME_SCALE) * min(scales):
        raise DraftError(
            f"{file} contradicts itself: its {len(squares)} test squares ask for different sizes. Keep one."
        )
    if np.ptp(sides) > SQUARE * sides.max():
        raise DraftError(
            f'The test square "{drawing.lines[index].name}" in {file} is {sides[0]:.2f} by {sides[1]:.2f} mm as drawn: '
            "make it a square."
        )
    scale = mm / float(sides.mean())
    if sized and abs(scale - 1) > SAME_SCALE:
        raise DraftError(
            f"{file} contradicts itself: by its page the test square of {mm:g} mm is {sides.mean():.2f} mm. "
            "Scale the drawing, or take the square away if the page is right."
        )
    matrix = IDENTITY * (1.0 if sized else scale)
    return replace(
        drawing,
        lines=tuple(replace(d, run=d.run.moved(matrix)) for i, d in enumerate(drawing.lines) if i not in squares),
        words=tuple(replace(w, at=w.at * matrix[0, 0]) for w in drawing.words),
        unit_mm=drawing.unit_mm * matrix[0, 0],
        scale_from="its width and viewBox" if sized else f"the test square of {mm:g} mm",
    )


def _sides(run: Run) -> FloatArray:
    """How long and wide a square is, mm: along its longest piece and across it, however it is turned."""
    points = np.concatenate(run.segments)
    ways = np.array([segment[-1] - segment[0] for segment in run.segments])
    way = ways[np.linalg.norm(ways, axis=1).argmax()]
    way = way / max(float(np.linalg.norm(way)), 1e-12)
    return np.maximum(np.ptp(points @ np.array([way, [-way[1], way[0]]]).T, axis=0), 1e-12)


def _square_name(line: Drawn, drawing: Drawing) -> float | None:
    """The length that the line's name or its innermost group's says, if it is closed."""
    if not line.run.closed:
        return None
    names = [line.name, *(drawing.groups[group].name for group in line.groups[:1])]
    return next((mm for name in names if name and (mm := length_name(name)) is not None), None)


def _measure(text: str) -> tuple[float | None, str]:
    """A number and its unit."""
    match = re.fullmatch(rf"\s*({_FIGURE.pattern})\s*([a-zA-Z%]*)\s*", text)
    return (float(match[1]), match[2].lower()) if match else (None, "")


def _first(node: Node, name: str) -> float:
    number = _FIGURE.search(node.get(name))
    return float(number[0]) if number else 0.0


def _times(a: FloatArray, b: FloatArray) -> FloatArray:
    """Both (2, 3) affine maps, b first."""
    return np.column_stack([a[:, :2] @ b[:, :2], a[:, :2] @ b[:, 2] + a[:, 2]])

"""The draped garment in the maker's scene: the robe on the doll, the one before it, and variants side by side.

Its UV map "flat" holds the panels, one unit a metre; "print" lays printed cloth on, one unit a repeat. What the fit
found lies on it as colours, and as plain numbers for whoever wants to use them.
"""

from __future__ import annotations

import bpy
import numpy as np
from mathutils import Matrix

from drafting.cloth.draped import Draped
from drafting.cloth.mesh import ClothMesh
from drafting.fit.surface import Surface

from . import bridge, table
from .album import Cloth, on_the_bolt
from .lettering import LETTER_WIDTH
from .shades import shades
from .sheets import written
from .studio import colour as colours
from .table import METRES

LETTERS = 0.11  # of the doll's height at most, the letters below a variant: read with three side by side in a window
LABEL_COLOUR = (1.0, 1.0, 1.0, 1.0)  # on the grey of the light theme and of the dark one
OLD_NAMES = {"room": "gap", "pull": "stretch", "touch": "contact"}  # in a .blend saved before they had these names
APART = 0.95  # of the doll's height, from one variant to the next


def lay_robe(scene: bpy.types.Scene, draped: Draped, cloth: Cloth) -> bpy.types.Object:
    """The draped garment on the doll; the one before it is kept, hidden, in place of an earlier one."""
    table.clear(scene, ("earlier",))
    for before in table.ours(scene, "robe"):
        before[table.MARK], before.name = "earlier", "Robe before"
        before.hide_viewport = before.hide_render = True
    table.clear(scene, ("under",))
    if draped.under is not None:
        sew(scene, "under", "Under-robe", draped.under, cloth.under)
    table.show_tapes(scene, False)
    return sew(scene, "robe", "Robe", draped.cloth, cloth)


def sew(scene: bpy.types.Scene, role: str, name: str, mesh: ClothMesh, cloth: Cloth) -> bpy.types.Object:
    """A garment as an object of ours, in its colour or its print."""
    robe = table.mesh(scene, role, name, mesh.vertices, mesh.faces, (*cloth.colour, 1.0), "robe")
    bridge.corner_uv(robe.data, "flat", mesh.flat * METRES)
    dress(robe, mesh, cloth)
    return robe


def dress(robe: bpy.types.Object, mesh: ClothMesh | None, cloth: Cloth) -> None:
    """Show a garment in this cloth: its colour, and its print where there is one."""
    robe.color = (*cloth.colour, 1.0)
    if cloth.printed is None or mesh is None:
        robe.data.materials[0] = table.material("robe", robe.color)
        return
    high, wide, _ = cloth.printed.shape
    size = np.array([cloth.printed_width_mm, cloth.printed_width_mm * high / wide])
    bridge.corner_uv(robe.data, "print", on_the_bolt(mesh) / size)
    robe.data.materials[0] = _printed(cloth.printed, robe.color)


def _printed(pixels: bridge.Pixels, colour: tuple[float, ...]) -> bpy.types.Material:
    """Our material of printed cloth, with this picture packed in the file; the colour where pictures are not shown."""
    made = table.material("print", colour)
    if bpy.app.version < (5, 0, 0):
        made.use_nodes = True
    tree = made.node_tree
    source = next((node for node in tree.nodes if node.type == "TEX_IMAGE"), None)
    if source is None:
        source = tree.nodes.new("ShaderNodeTexImage")
        surface = next(node for node in tree.nodes if node.type == "BSDF_PRINCIPLED")
        tree.links.new(source.outputs["Color"], surface.inputs["Base Color"])
    before, source.image = source.image, bridge.image_from_array("Toile print", pixels)
    source.image.pack()
    tree.nodes.active = source
    if before is not None and before.users == 0:
        bpy.data.images.remove(before)
    return made


def show_surface(robe: bpy.types.Object, surface: Surface, height_mm: float) -> None:
    """Lay room, pull and touch on the robe: a colour attribute each, and room and pull as numbers."""
    for name, values in shades(surface, height_mm).items():
        bridge.colour_attribute(robe.data, name, colours.paint(colours.cividis(values)))
    for name, values in (("room mm", surface.gap_mm), ("pull share", surface.stretch)):
        layer = robe.data.attributes.get(name) or robe.data.attributes.new(name, "FLOAT", "POINT")
        layer.data.foreach_set("value", values.astype(np.float32))


def choose_colours(robe: bpy.types.Object, picture: str) -> None:
    """Make one of the robe's colour attributes the one that is shown."""
    layers = robe.data.color_attributes
    layer = layers.get(picture) or layers.get(OLD_NAMES.get(picture, ""))
    if layer is not None:
        layers.active_color = layer
        layers.render_color_index = layers.active_color_index


def stand_beside(
    scene: bpy.types.Scene,
    place: int,
    name: str,
    draped: Draped,
    cloth: Cloth,
    lines: tuple[str, ...],
    height_mm: float,
) -> list[bpy.types.Object]:
    """A variant on a copy of the doll to the left of her, with its lines of text below, no wider than its place."""
    doll = table.ours(scene, "doll")[0]
    shift = Matrix.Translation((-(place + 1) * APART * height_mm * METRES, 0.0, 0.0))
    body = bpy.data.objects.new(f"Doll in {name}", doll.data)  # the same skin, not copied
    below = np.array([0.0, 0.0, -0.06 * height_mm])
    size = height_mm * min(LETTERS, 0.9 * APART / (LETTER_WIDTH * max(map(len, lines))))
    text = written(scene, "variant", "\n".join(lines), size, f"{name} (label)", below, LABEL_COLOUR)
    text.data.align_y = "TOP"
    made = [table.link(scene, "variant", body), sew(scene, "variant", name, draped.cloth, cloth), text]
    if draped.under is not None:
        made.append(sew(scene, "variant", f"{name}, under", draped.under, cloth.under))
    for thing in made:
        own = thing.matrix_basis.copy()
        thing.parent = None
        thing.matrix_basis = doll.matrix_basis @ shift @ own
    return made

"""Run by a fresh Python with Blender's module: installs an extension's zip as Blender does, uses it, removes it.

python installing.py ZIP SCAN    prints what it found as JSON in the last line
"""

import json
import sys

import bpy

NAME = "bl_ext.user_default.pocket_toile"


def main(archive: str, scan: str) -> None:
    """Install, open a doll and draft for it, remove."""
    bpy.ops.preferences.addon_enable(module="bl_pkg")  # what installs extensions; the module starts without it
    bpy.ops.extensions.package_install_files(filepath=archive, repo="user_default", enable_on_install=True)
    import drafting  # now that its wheel is there

    found = {"blender": bpy.app.version_string, "core": drafting.__file__}
    found["enabled"] = NAME in bpy.context.preferences.addons
    found["preferences"] = bpy.context.preferences.addons[NAME].preferences.bl_rna.identifier
    scene = bpy.context.scene
    scene.toile.height = "42cm"
    found["opened"] = sorted(bpy.ops.toile.open_scan(filepath=scan))
    found["drafted"] = sorted(bpy.ops.toile.draft())
    found["panels"] = len(sys.modules[f"{NAME}.session"].get(scene, "pattern").panels)
    found["samples"] = sorted(sys.modules[f"{NAME}.workshop"].samples())
    classes = sys.modules[f"{NAME}.properties"].CLASSES
    bpy.ops.extensions.package_uninstall(repo_index=1, pkg_id="pocket_toile")
    found["left"] = sorted(name for name in dir(bpy.types) if name.startswith("TOILE_"))
    for cls in classes:  # Blender 4.2 as a module crashes at exit otherwise, as conftest.py says
        cls.__annotations__.clear()
    sys.stdout.write(json.dumps(found) + "\n")


main(*sys.argv[1:])

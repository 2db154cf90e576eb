"""The drafting core: scan -> tape -> draft -> cloth -> fit -> paper.

Numpy and trimesh only, never bpy. Lengths are millimetres, angles degrees. Z is up, the body faces -Y and its
left hand lies at +X; the soles stand on z = 0.
"""

__version__ = "0.1.0"

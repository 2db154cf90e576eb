"""3MF packages written by hand, after the 3MF Core Specification 1.3."""

from __future__ import annotations

import io
import zipfile

import numpy as np

RELATIONS = """<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r0"
Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"""
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def packed(model: str | bytes, relations: str = RELATIONS) -> bytes:
    """A package that holds one model part."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("_rels/.rels", relations)
        pack.writestr("3D/3dmodel.model", model)
    return data.getvalue()


def mesh(vertices: np.ndarray, faces: np.ndarray) -> str:
    """A mesh element."""
    corners = "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in vertices.tolist())
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces.tolist())
    return f"<mesh><vertices>{corners}</vertices><triangles>{triangles}</triangles></mesh>"


def model(objects: dict[int, str], build: str, unit: str = "millimeter", before: str = "") -> str:
    """A model part: objects by their ids, and what is built of them."""
    kept = "".join(f'<object id="{name}" type="model">{inside}</object>' for name, inside in objects.items())
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{before}<model unit="{unit}" xmlns="{CORE}">'
        f"<resources>{kept}</resources><build>{build}</build></model>"
    )


def placed(matrix: np.ndarray) -> str:
    """The attribute of a (4, 3) placement: row vectors from the left."""
    return f'transform="{" ".join(repr(float(each)) for each in matrix.ravel())}"'

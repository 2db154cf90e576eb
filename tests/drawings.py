"""Drawings as a maker's program might write them, for the tests."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from drafting.pattern.pattern import Pattern

A4 = 'width="210mm" height="297mm" viewBox="0 0 210 297"'


def svg(content: str, size: str = A4) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {size}>{content}</svg>'


def write(folder: Path, content: str, plan: str = "", size: str = A4) -> Path:
    """drawing.svg, and drawing.toml where there is a plan."""
    (folder / "drawing.toml").unlink(missing_ok=True)
    if plan:
        (folder / "drawing.toml").write_text(plan)
    path = folder / "drawing.svg"
    path.write_text(content if content.lstrip().startswith("<?xml") else svg(content, size))
    return path


def pattern_drawing(pattern: Pattern) -> str:
    """A pattern as a drawing: a group for each panel, in it one for each layer, each with an outline."""
    parts, x = [], 10.0
    for panel in pattern.panels:
        low, high = panel.outline.min(axis=0), panel.outline.max(axis=0)
        shift = np.array([x - low[0], 30.0 + high[1]])
        points = " ".join(f"{a:.4f},{b:.4f}" for a, b in shift + panel.outline * [1, -1])
        wide = panel.outline + np.sign(panel.outline - (low + high) / 2) * 6
        cut = " ".join(f"{a:.4f},{b:.4f}" for a, b in shift + wide * [1, -1])
        parts.append(
            f'<g id="{panel.name}">'
            f'<g id="{panel.name}.cut-lines" class="Cut lines"><polygon points="{cut}"/></g>'
            f'<g id="{panel.name}.sew-lines" class="Sew lines"><polygon points="{points}"/></g>'
            f'<g id="{panel.name}.marks" class="Marks"><polyline points="{x:.3f},40 {x + 9:.3f},40"/></g>'
            f'<text x="{x + 5:.3f}" y="60">{panel.order}  {panel.name}</text></g>'
        )
        x += float(high[0] - low[0]) + 20
    return svg("".join(parts), f'width="{x:.4f}mm" height="900mm" viewBox="0 0 {x:.4f} 900"')

"""The walk in a real window: its own small parts. The walk itself needs a screen: `python3 scripts/window_check`."""

from __future__ import annotations

import ast
import io
import struct
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont
from window_check import blender, screenshot, sight

PIXELS = np.random.default_rng(5).integers(0, 256, (7, 11, 3), dtype=np.uint8)


def dump(pixels: np.ndarray, name: bytes = b"screen\0", colours: int = 3, pad: int = 2) -> bytes:
    """A window dump as X11/XWDFile.h lays it out, with a colour map and lines longer than the picture."""
    height, width, _ = pixels.shape
    line = 4 * (width + pad)
    words = [100 + len(name), 7, 2, 24, width, height, 0, 0, 32, 0, 32, 32, line, 4, 0, 0, 0, 8, colours, colours]
    head = struct.pack(">25I", *words, width, height, 0, 0, 0) + name + bytes(12 * colours)
    lines = np.zeros((height, width + pad, 4), np.uint8)
    lines[:, :width, :3] = pixels[:, :, ::-1]
    return head + lines.tobytes()


def test_a_screen_is_read_from_xvfbs_file_and_written_as_a_png_that_others_read(tmp_path: Path) -> None:
    (tmp_path / "screen").write_bytes(dump(PIXELS))
    read = screenshot.screen(tmp_path / "screen")
    np.testing.assert_array_equal(read, PIXELS)
    screenshot.write_png(tmp_path / "shot.png", read)
    with Image.open(io.BytesIO((tmp_path / "shot.png").read_bytes())) as picture:
        np.testing.assert_array_equal(np.asarray(picture), PIXELS)


def test_contrast_is_that_of_wcag() -> None:
    """Black on white is 21 to 1 by the definition. #767676 is the lightest grey that reads on white, 4.54 to 1; #777777
    falls short with 4.48: both from memory, as they are given everywhere.
    """
    white = np.full(3, 255)
    for grey, ratio in ((0, 21.0), (0x76, 4.54), (0x77, 4.48), (255, 1.0)):
        assert sight.contrast(np.full(3, grey), white) == pytest.approx(ratio, abs=0.005)
        assert sight.contrast(white, np.full(3, grey)) == sight.contrast(np.full(3, grey), white)
    red, ground = np.array([255, 0, 0]), np.array([204, 204, 204])
    light = 0.2126  # the luminance of full red is its weight in the definition
    assert sight.luminance(red) == pytest.approx(light)
    assert sight.contrast(red, ground) == pytest.approx((sight.luminance(ground) + 0.05) / (light + 0.05))
    assert sight.contrast(red, ground) < sight.LEAST


def test_lines_of_text_are_found_with_their_contrast_and_rules_are_none() -> None:
    picture = Image.new("RGB", (200, 80), (204, 204, 204))
    pen = ImageDraw.Draw(picture)
    pen.text((10, 8), "It fits", fill=(27, 27, 27), font=ImageFont.load_default(14))
    pen.line((0, 35, 200, 35), fill=(0, 0, 0))
    pen.text((10, 45), "33.1 mm", fill=(130, 130, 130), font=ImageFont.load_default(14))
    dark, faint = sight.lines(np.asarray(picture))
    assert dark.bottom <= 35 < faint.top
    assert dark.contrast == pytest.approx(float(sight.contrast((27, 27, 27), (204, 204, 204))), rel=0.02)
    assert faint.contrast == pytest.approx(float(sight.contrast((130, 130, 130), (204, 204, 204))), rel=0.02)
    assert faint.contrast < sight.LEAST < dark.contrast
    column = np.array([[204] * 3] * 40 + [[90] * 3] + [[204] * 3] * 9 + [[61] * 3] * 30, np.uint8)
    assert sight.lowest(column) == 49


def test_paths_are_those_inside_blenders_root(tmp_path: Path) -> None:
    (tmp_path / "tmp").mkdir()
    there = blender.Blender("/usr/bin/blender", tmp_path)
    work = there.fresh_folder()
    words = there.command([there.program, "-e", work / "extension.zip"], DISPLAY=":7")
    assert words[:2] == ["chroot", str(tmp_path)]
    assert words[-3:] == ["/usr/bin/blender", "-e", f"/tmp/{work.name}/extension.zip"]
    assert f"BLENDER_USER_RESOURCES=/tmp/{work.name}/blender" in words
    assert "DISPLAY=:7" in words


def test_a_blender_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(blender.BlenderError, match="is no program"):
        blender.given_blender(tmp_path / "blender")


def test_outside_of_blender_it_asks_for_the_standard_library_only(root: Path) -> None:
    for name in ("__main__", "blender"):
        tree = ast.parse((root / "scripts" / "window_check" / f"{name}.py").read_text())
        asked = {
            alias.name.split(".")[0] for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names
        }
        asked |= {
            node.module.split(".")[0] for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module
        }
        assert asked <= set(sys.stdlib_module_names) | {"blender"}


def test_the_walk_has_the_sidebars_steps_in_their_order(root: Path) -> None:
    sidebar = [step.elts[0].value for step in steps_of(root / "addon" / "panels" / "road.py").elts]
    assert ast.literal_eval(steps_of(root / "scripts" / "window_check" / "widgets.py")) == tuple(sidebar)
    road = ast.parse((root / "scripts" / "window_check" / "road.py").read_text())
    walked = [node.name for node in road.body if isinstance(node, ast.FunctionDef)]
    assert walked[: len(sidebar)] == sidebar


def steps_of(path: Path) -> ast.Tuple:
    """What a file assigns to STEPS."""
    for node in ast.parse(path.read_text()).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "STEPS":
            assert isinstance(node.value, ast.Tuple)
            return node.value
    raise AssertionError(f"{path} has no STEPS")

"""A page of help for each step: it comes with the extension, needs no network, and names what the window shows."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from pathlib import Path

import bpy
import pytest

import addon
from addon import outlook, session
from addon.operators import help as helping
from addon.operators.telling import LINES, in_columns
from addon.properties import PICTURES, STEPS

pytest_plugins = ("window_fixtures",)
HEADINGS = ["What to do", "What the numbers mean", "Take care"]


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture(params=STEPS)
def page(request: pytest.FixtureRequest) -> Path:
    return helping.page(request.param)


def test_every_step_has_a_page_of_one_screen_that_asks_for_nothing_else(page: Path) -> None:
    root = ElementTree.fromstring(page.read_text().removeprefix("<!DOCTYPE html>\n"))
    number = STEPS.index(page.stem) + 1
    assert root.find("body/h1").text.startswith(f"{number} ")
    assert [heading.text for heading in root.iter("h2")] == HEADINGS
    assert 120 < len("".join(root.find("body").itertext()).split()) < 320
    named = {one.get(name) for one in root.iter() for name in ("href", "src") if one.get(name)}
    assert named == {"style.css", *(f"{step}.html" for step in STEPS if step != page.stem)}
    assert all((page.parent / name).is_file() for name in named)


def test_a_page_names_buttons_and_fields_as_the_window_does(page: Path, root: Path) -> None:
    """What stands in bold is a label in the code of the window."""
    code = "".join(
        path.read_text() for part in ("panels", "operators") for path in (root / "addon" / part).glob("*.py")
    )
    code += (root / "addon" / "properties.py").read_text() + "".join(f'"{title}"' for _, title, _ in PICTURES)
    bold = re.findall(r"<b>([^<]+)</b>", page.read_text())
    assert bold
    assert [label for label in bold if f'"{" ".join(label.split())}"' not in code] == []


def test_its_words_can_be_shown_where_there_is_no_browser(page: Path) -> None:
    title, sentences = helping.read(page.stem)
    assert title[0] == str(STEPS.index(page.stem) + 1)
    assert len(sentences) >= 6
    columns = in_columns(sentences)
    assert all(len(column) <= LINES for column in columns)
    told = " ".join(line for column in columns for line, _ in column)
    assert told == " ".join(sentences)


def test_the_button_opens_the_page_of_its_step(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A browser of ours, as the system names one by $BROWSER, writes down what it was asked for."""
    asked = tmp_path / "asked"
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\nprintf %s "$1" > {asked}\n')
    browser.chmod(0o755)
    monkeypatch.setattr(helping.webbrowser, "open", helping.webbrowser.GenericBrowser(str(browser)).open)
    assert bpy.ops.toile.help(step="fit") == {"FINISHED"}
    assert asked.read_text() == helping.page("fit").as_uri()


# What long work will make, before it begins


@pytest.fixture
def fresh(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing was draped on this machine yet."""
    monkeypatch.setattr(outlook, "_paces", {})


def test_the_line_before_a_drape_names_all_that_goes_into_it(fresh, worn) -> None:
    settings = worn.toile
    settings.fabric, settings.lining, settings.under, settings.quality = "poplin", "habotai", "voile", "quick"
    assert outlook.of_drape(worn).startswith("Doll of 420 mm, robe in poplin lined with habotai over voile, quick: ")
    settings.show = "in"
    assert "16 9/16 in" in outlook.of_drape(worn)
    settings.values = "60mm, 90mm, 140mm"
    assert outlook.of_compare(worn).startswith("3 times the robe in poplin")
    settings.page, settings.folded = "A3", True
    cut = sum(panel.cut for panel in session.get(worn, "pattern").panels)
    assert outlook.of_paper(worn) == f"{cut} pieces of the robe on A3, laid out on folded cloth 1100mm wide."


def test_the_time_is_that_of_the_last_drape_and_nothing_is_guessed_without_one(fresh, opened) -> None:
    assert outlook.drape_seconds(opened) is None
    assert "once it goes on" in outlook.of_drape(opened)
    opened.toile.quality, opened.toile.values = "full", "1mm, 2mm"
    outlook.note(opened, "drape", 240.0)
    assert outlook.drape_seconds(opened) == 240.0
    assert outlook.of_drape(opened).endswith("full: about 4 min")
    assert outlook.of_compare(opened).endswith("about 8 min")
    opened.toile.quality = "quick"
    assert outlook.drape_seconds(opened) == pytest.approx(60.0)
    outlook.note(opened, "compare", 80.0)
    assert outlook.drape_seconds(opened) == pytest.approx(40.0)
    outlook.note(opened, "pictures", 9.0)
    assert outlook.drape_seconds(opened) == pytest.approx(40.0)


def test_a_drape_that_is_kept_tells_the_time_in_a_new_window(fresh, worn, draped) -> None:
    worn.toile.quality = "quick" if draped.quick else "full"
    assert outlook.drape_seconds(worn) == draped.solver_seconds


def test_every_icon_is_one_of_this_blenders(root: Path) -> None:
    known = set(bpy.types.UILayout.bl_rna.functions["label"].parameters["icon"].enum_items.keys())
    text = "".join(path.read_text() for path in (root / "addon").rglob("*.py"))
    asked = set(re.findall(r'icon=\(?"([A-Z0-9_]+)"', text)) | set(
        re.findall(r'\.icon(?:, [\w.]+)? = "([A-Z0-9_]+)"', text)
    )
    assert {"HELP", "BLANK1", "QUESTION"} <= asked
    assert asked - known == set()

"""The report: complete, self-contained, well-formed, and of readable colours."""

from __future__ import annotations

import base64
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
import test_fit_record as drapes
from tubes import circle, pattern_of, wrap

from drafting.cloth.draped import Parting
from drafting.fit.fit import fit_record
from drafting.fit.report import HEADLINES, report_html
from drafting.fit.report_style import CSS

PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)
VOID = {"meta", "img", "br", "circle", "path", "rect", "line"}


class Reader(HTMLParser):
    """Checks that every element is closed in order; gathers text, headings and links to elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.open, self.text, self.headings, self.sources, self.tags = [], [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.sources += [value for name, value in attrs if name in ("src", "href", "srcset", "data", "action")]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        if "style" not in self.open and data.strip():
            self.text.append(data.strip())
            if self.open[-1] == "h2":
                self.headings.append(data.strip())


def page(fit, body=drapes.BODY, **pictures):
    cloth = drapes.robe().cloth()
    html = report_html(body, pattern_of(cloth, fronts="left over right", ease=0.0, width=None), fit, pictures)
    reader = Reader()
    reader.feed(html)
    assert reader.open == []
    return html, reader


@pytest.fixture(scope="module")
def fit():
    return drapes.read(drapes.robe(), low=30)


def test_the_verdict_comes_first_then_what_to_change(fit):
    _, reader = page(fit, front=PNG)
    text = " ".join(reader.text)
    assert text.index("It is tight") < text.index("What to change") < text.index(fit.advice[0].sentence)
    assert reader.headings[:3] == ["What to change", "Ease at a glance", "Pictures"]


def test_nothing_is_fetched_from_elsewhere_and_nothing_runs(fit):
    html, reader = page(fit, front=PNG, room=PNG)
    assert all(source.startswith("data:image/png;base64,") for source in reader.sources)
    assert not {"script", "link", "iframe", "object"} & set(reader.tags)
    assert not re.search(r"https?:|url\(|@import", html)


def test_pictures_are_held_within_byte_for_byte(fit):
    _, reader = page(fit, **{"front.png": PNG, "pattern": PNG})
    assert [base64.b64decode(source.split(",")[1]) for source in reader.sources] == [PNG, PNG]
    assert "Front" in reader.text
    assert "The draft" in reader.text


def test_the_colour_pictures_are_called_room_pull_and_touch(fit):
    """With plain words under each; the record keeps its keys, which other scripts read."""
    html, reader = page(fit, **dict.fromkeys(("room", "room_back"), PNG))
    assert "Room: how far the cloth stands off the skin" in reader.text
    assert not re.search(
        r"\b(gap|stretch|contact)\b", html.split("<h2>The cloth</h2>")[0].split("</style>")[1], re.IGNORECASE
    )
    assert {"gap_mm", "stretch", "contact_share"} <= fit_record(fit).keys()


def test_each_level_has_ease_in_both_units(fit):
    _, reader = page(fit)
    text = " ".join(reader.text)
    assert "16.1 mm 5/8 in" in text  # 4 x 70 mm of cloth round 2 pi 42 mm of body
    for word in ("Bust", "Waist", "Hip", "Upper arm", "Wrist", "Overlap of the fronts", "Hem above the floor"):
        assert word in text
    assert "quarter of hip girth 286 mm = 71.5 mm, up to 75 mm" in text
    assert "millimetres were guessed" in text
    assert "Count pins" in text


@pytest.mark.parametrize(
    ("weaver", "low", "high", "word"),
    [
        (drapes.robe(), 5, 300, "fits"),
        (drapes.robe(), 30, 300, "tight"),
        (drapes.robe(), 1, 5, "loose"),
        (wrap(circle(45), 50.0, 10, 25, 330), 5, 300, "does not close"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_every_verdict_has_its_page(weaver, low, high, word):
    fit = drapes.read(weaver, low, high)
    assert fit.verdict == word
    html, _ = page(fit)
    assert f"<strong>{HEADLINES[word]}</strong>" in html


def test_cloth_that_was_pulled_apart_is_told(fit):
    """Pairs and the longest way, in the table as in the record; nothing where nothing crossed."""
    apart = replace(fit, parted=Parting(7, 1.26))
    assert "pulled apart" not in page(fit)[0]
    assert "; 7 were pulled apart at the end, by 1.3 mm at most" in page(apart)[0]
    assert fit_record(apart)["parted"] == {"pairs": 7, "farthest_mm": 1.26}


def test_text_from_outside_cannot_break_the_page(fit):
    body = replace(drapes.BODY, missing=("<script>alert('x')</script> & more",))
    html, reader = page(fit, body)
    assert "<script" not in html
    assert any("& more" in part for part in reader.text)


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    colour = colour.lstrip("#")
    colour = "".join(2 * c for c in colour) if len(colour) == 3 else colour
    parts = [int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    r, g, b = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize("name", ["ink", "quiet", "indigo", "fits", "tight", "loose", "open", "none"])
@pytest.mark.parametrize("ground", ["paper", "wash"])
def test_every_text_colour_can_be_read(name, ground):
    """Contrast of at least 4.5 : 1, WCAG 2.2 success criterion 1.4.3."""
    colours = dict(re.findall(r"--(\w+): (#\w+)", CSS))
    light, dark = luminance(colours[ground]), luminance(colours[name])
    assert (light + 0.05) / (dark + 0.05) >= 4.5

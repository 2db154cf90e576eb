"""Reading a drawing's XML as what it may be: a file from anywhere, which must not harm the machine that reads it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from ..errors import DraftError

MOST_BYTES = 20_000_000  # larger drawings hold photographs, not panels
MOST_LETTERS = 3 * MOST_BYTES  # of text once all entities are expanded
MOST_ELEMENTS = 200_000
DEEPEST = 200  # groups within groups
LONGEST_ENTITY = 200  # letters; drawing programs use entities as short names for namespaces


@dataclass
class Node:
    """An element: its name without namespace, attributes by their names without namespace, text and children."""

    tag: str
    attributes: dict[str, str]
    text: str = ""
    children: list[Node] = field(default_factory=list)
    lines: list[tuple[str, Node]] = field(default_factory=list)  # runs of text inside, each with its element

    def get(self, name: str, otherwise: str = "") -> str:
        """An attribute, or a property of the same name in the style attribute, which counts more."""
        return self.style.get(name) or self.attributes.get(name, otherwise)

    @property
    def style(self) -> dict[str, str]:
        """The style attribute's properties."""
        pairs = (part.partition(":") for part in self.attributes.get("style", "").split(";"))
        return {name.strip(): value.strip() for name, _, value in pairs if name.strip()}

    def walk(self) -> Iterator[Node]:
        """This element and all within it."""
        yield self
        for child in self.children:
            yield from child.walk()


def read_svg(path: Path) -> Node:
    """The root of an SVG file.

    Raises
    ------
    DraftError
        No such file, too large, not XML or not SVG, or with entities that could blow up or fetch something.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise DraftError(
                f"{path.name} is larger than {MOST_BYTES // 1_000_000} MB. Save the panels alone, without pictures."
            )
        data = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise DraftError(f"Cannot read {path}: {reason}. Give a drawing saved as .svg.") from error
    if data[:2] == b"\x1f\x8b":
        raise DraftError(f"{path.name} is compressed. Save it as plain SVG.")
    root = _Reader(path.name).read(data)
    if root.tag != "svg":
        raise DraftError(f"{path.name} holds <{root.tag}>, not an SVG drawing. Save the drawing as plain SVG.")
    return root


class _Reader:
    """Builds the tree, and stops at the first thing that no drawing needs."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.open: list[Node] = []
        self.root: Node | None = None
        self.elements = self.letters = 0

    def read(self, data: bytes) -> Node:
        parser = expat.ParserCreate(namespace_separator="}")
        parser.buffer_text = True
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.write
        parser.EntityDeclHandler = self.entity
        try:
            parser.Parse(data, True)
        except expat.ExpatError as error:
            raise DraftError(f"{self.name} is not a readable drawing: {error}. Save it as plain SVG.") from error
        assert self.root is not None  # the parser refuses a document without an element
        return self.root

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        self.letters += sum(map(len, attributes.values()))
        self.guard()
        node = Node(_local(tag), {_local(name): value for name, value in attributes.items()})
        if self.open:
            self.open[-1].children.append(node)
        else:
            self.root = node
        self.open.append(node)

    def end(self, tag: str) -> None:
        self.open.pop()

    def write(self, text: str) -> None:
        self.letters += len(text)
        self.guard()
        self.open[-1].text += text
        for node in self.open:
            if node.tag == "text" and text.strip():
                node.lines.append((text, self.open[-1]))

    def entity(
        self,
        name: str,
        is_parameter: bool,
        value: str | None,
        base: object,
        system: object,
        public: object,
        note: object,
    ) -> None:
        """Allow short plain text, as drawing programs use for namespaces; refuse what nests, fetches or is long."""
        if is_parameter or value is None or len(value) > LONGEST_ENTITY or re.search("[&<%]", value):
            raise DraftError(
                f"{self.name} declares an entity {name!r} that a drawing does not need; it may be made to do harm. "
                "Save the drawing as plain SVG."
            )

    def guard(self) -> None:
        if self.elements > MOST_ELEMENTS or self.letters > MOST_LETTERS or len(self.open) > DEEPEST:
            raise DraftError(
                f"{self.name} holds too much: more than {MOST_ELEMENTS} elements, {MOST_LETTERS // 1_000_000} million "
                f"letters or {DEEPEST} groups within groups. Save the panels alone, as plain SVG."
            )


def _local(name: str) -> str:
    return name.rpartition("}")[2]

"""A PDF that can be read aloud: what each thing on a page is, its words in order, its language.

The toolkit's writer knows no tags. So a box far off the page is painted where a thing begins and
ends (`canvas/marks`), and here, in the finished file, each such box becomes the mark of PDF for
it; the tree of all things is added. What has no mark is for the eye alone. See ISO 32000-1, 14.6 to
14.8 (from memory); the tests read the tree back with another library.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from companion.canvas.marks import PARAGRAPH, Tag

_OFF = 7001
"""How far off the page, in whatever unit is painted in: no thing of a page stands there."""
_BOX = re.compile(rb"-7001 -7001 (\d+) 1 re\nf\n")
_ENDS = 1
"""A box so wide ends a thing; one of `_FIRST` and wider begins the thing of that number."""
_FIRST = 2
_RANGE = re.compile(rb"<(\w+)> <(\w+)> (?:<(\w+)>|\[(.*?)\])", re.DOTALL)
"""Of a map of glyphs: the first, the last, and the letter of the first or those of all."""
_NO_LETTER, _TAB, _SPACE = b"0000", b"0009", b"0020"
_ALONE = b"/Artifact BMC\n"


class Marked:
    """Hears what is painted, and leaves the boxes by which it is found again."""

    def __init__(self) -> None:
        self.tags: list[Tag] = []
        """The things in the order they were begun: one for each piece that is painted of it."""
        self._depth = 0

    def begin(self, painter: QPainter, tag: Tag) -> bool:
        """Mark where a thing begins; what is inside another one that is painted is part of it."""
        if self._depth:
            return False
        self._depth = 1
        # Words of which nothing is said are one thing each.
        self.tags.append(Tag("P") if tag is PARAGRAPH else tag)
        self._box(painter, _FIRST + len(self.tags) - 1)
        return True

    def end(self, painter: QPainter) -> None:
        """Mark where it ends."""
        self._depth = 0
        self._box(painter, _ENDS)

    def hush(self, *, on: bool) -> None:
        """What is painted between is for the eye alone."""
        self._depth += 1 if on else -1

    def _box(self, painter: QPainter, wide: int) -> None:
        painter.fillRect(QRectF(-_OFF, -_OFF, wide, 1), Qt.GlobalColor.black)


@dataclass(slots=True)
class _Element:
    """A thing in the tree: its number as an object, what is in it, and the page it begins on."""

    number: int
    tag: Tag
    parent: int
    page: int
    kids: list[bytes] = field(default_factory=list)


def with_tags(pdf: bytes, marked: Marked, language: str) -> bytes:
    """The same file with its tags. `language` is that of its words, as "en"."""
    objects = _objects(pdf)
    root = int(_found(rb"/Root (\d+) 0 R", pdf))
    tree = _Tree(marked.tags, first=max(objects) + 1)
    pages = [int(n) for n in re.findall(rb"(\d+) 0 R", _found(rb"/Kids \n?\[(.*?)\]", pdf))]
    for number in re.findall(rb"/ToUnicode (\d+) 0 R", pdf):
        objects[int(number)] = _stream(_letters(_unpacked(objects[int(number)])))
    for place, page in enumerate(pages):
        contents = int(_found(rb"/Contents (\d+) 0 R", objects[page]))
        objects[contents] = _stream(tree.mark(_unpacked(objects[contents]), page))
        tabs = b"/StructParents %d\n/Tabs /S\n/Type /Page\n" % place
        objects[page] = objects[page].replace(b"/Type /Page\n", tabs, 1)
    objects[root] = objects[root].replace(
        b"/Type /Catalog\n",
        b"/Type /Catalog\n/Lang (%s)\n/MarkInfo << /Marked true >>\n/StructTreeRoot %d 0 R\n"
        b"/ViewerPreferences << /DisplayDocTitle true >>\n" % (language.encode(), tree.root),
        1,
    )
    if tree.told != len(marked.tags):
        raise ValueError(f"{tree.told} marks of {len(marked.tags)} were found in the file")
    objects |= dict(tree.objects())
    return _file(pdf, objects)


class _Tree:
    """The tree of all things, filled page by page."""

    def __init__(self, tags: list[Tag], first: int) -> None:
        self._tags = tags
        self.root, self._parents, self._document = first, first + 1, first + 2
        self._next = first + 3
        self._elements: dict[Tag, _Element] = {}
        self._top: list[bytes] = []
        self._by_page: list[list[int]] = []

    def mark(self, content: bytes, page: int) -> bytes:
        """The content of a page with its marks; what it holds goes into the tree."""
        held: list[int] = []

        def said(found: re.Match[bytes]) -> bytes:
            number = int(found[1])
            if number == _ENDS:
                return b"EMC\n" + _ALONE
            element = self._element(self._tags[number - _FIRST], page)
            piece = len(held)
            held.append(element.number)
            kid = b"%d" % piece
            if element.page != page:
                kid = b"<< /Type /MCR /Pg %d 0 R /MCID %d >>" % (page, piece)
            element.kids.append(kid)
            return b"EMC\n/%s << /MCID %d >> BDC\n" % (element.tag.role.encode(), piece)

        marked = _BOX.sub(said, content)
        self._by_page.append(held)
        return b"%s%sEMC\n" % (_ALONE, marked)

    def _element(self, tag: Tag, page: int) -> _Element:
        if tag not in self._elements:
            parent = None if tag.inside is None else self._element(tag.inside, page)
            number = self._next
            self._next += 1
            above = self._document if parent is None else parent.number
            self._elements[tag] = _Element(number, tag, above, page)
            kids = self._top if parent is None else parent.kids
            kids.append(b"%d 0 R" % number)
        return self._elements[tag]

    @property
    def told(self) -> int:
        """How many marks were found."""
        return sum(map(len, self._by_page))

    def objects(self) -> Iterator[tuple[int, bytes]]:
        """Every object of the tree, by its number."""
        yield (
            self.root,
            b"<<\n/Type /StructTreeRoot\n/K %d 0 R\n/ParentTree %d 0 R\n"
            b"/ParentTreeNextKey %d\n>>\n" % (self._document, self._parents, len(self._by_page)),
        )
        pages = (
            b"%d [%s]" % (place, b" ".join(b"%d 0 R" % number for number in held))
            for place, held in enumerate(self._by_page)
        )
        yield self._parents, b"<<\n/Nums [%s]\n>>\n" % b"\n".join(pages)
        yield (
            self._document,
            b"<<\n/Type /StructElem\n/S /Document\n/P %d 0 R\n/K [%s]\n>>\n"
            % (self.root, b" ".join(self._top)),
        )
        spans = self._spans()
        for element in self._elements.values():
            alt = element.tag.alt
            said = b"/Alt <FEFF%s>\n" % alt.encode("utf-16-be").hex().encode() if alt else b""
            if about := self._in_its_table(element, spans):
                said += b"/A << /O /Table%s >>\n" % about
            yield (
                element.number,
                b"<<\n/Type /StructElem\n/S /%s\n/P %d 0 R\n/Pg %d 0 R\n%s/K [%s]\n>>\n"
                % (
                    element.tag.role.encode(),
                    element.parent,
                    element.page,
                    said,
                    b" ".join(element.kids),
                ),
            )

    def _spans(self) -> dict[int, int]:
        """How many columns the last cell of a row takes, where it is not one, by its number: rows
        of a table have the same columns (ISO 14289-1, 7.5)."""
        rows: dict[int, list[_Element]] = {}
        for element in self._elements.values():
            if element.tag.role in ("TH", "TD"):
                rows.setdefault(element.parent, []).append(element)
        tables: dict[int, list[list[_Element]]] = {}
        for element in self._elements.values():
            if element.number in rows:
                tables.setdefault(element.parent, []).append(rows[element.number])
        return {
            row[-1].number: 1 + most - len(row)
            for table in tables.values()
            for row in table
            if (most := max(map(len, table))) > len(row)
        }

    def _in_its_table(self, element: _Element, spans: Mapping[int, int]) -> bytes:
        scope, span = element.tag.scope, spans.get(element.number)
        said = b" /Scope /%s" % scope.encode() if scope else b""
        return said + (b" /ColSpan %d" % span if span else b"")


# ---------------------------------------------------------------- the file


def _found(pattern: bytes, data: bytes) -> bytes:
    found = re.search(pattern, data, re.DOTALL)
    if found is None:
        raise ValueError(f"this is no PDF of the toolkit: {pattern!r}")
    return found[1]


def _objects(pdf: bytes) -> dict[int, bytes]:
    """What stands between `obj` and `endobj`, by number, found where the file's own table says."""
    table = int(_found(rb"startxref\n(\d+)", pdf))
    count = int(_found(rb"xref\n0 (\d+)", pdf[table:]))
    rows = pdf[table:].split(b"\n")[2 : 2 + count]
    places = sorted((int(row[:10]), number) for number, row in enumerate(rows) if b" n" in row)
    ends = [place for place, _ in places[1:]] + [table]
    found = {}
    for (place, number), end in zip(places, ends, strict=True):
        body = pdf[place:end].partition(b"obj\n")[2]
        found[number] = body.rpartition(b"endobj")[0]
    return found


def _unpacked(stream: bytes) -> bytes:
    head, _, content = stream.partition(b"stream\n")
    if b"FlateDecode" not in head:
        return content.rpartition(b"\nendstream")[0]
    return zlib.decompressobj().decompress(content)


def _letters(map_of_glyphs: bytes) -> bytes:
    """Which letter each glyph is, one by one. The toolkit says of a space that it is a tab, and of
    a glyph nobody shows that it is no letter, which none may say (ISO 14289-1, 7.21.7)."""
    head, _, ranges = map_of_glyphs.partition(b"endcodespacerange\n")
    rows: list[bytes] = []
    for first, last, letter, listed in _RANGE.findall(ranges):
        begin, count = int(first, 16), int(last, 16) - int(first, 16) + 1
        letters = re.findall(rb"\w+", listed) or [
            b"%04X" % (int(letter, 16) + number) for number in range(count)
        ]
        rows += [
            b"<%04X> <%s>\n" % (glyph, _SPACE if shown == _TAB else shown)
            for glyph, shown in enumerate(letters, begin)
            if shown != _NO_LETTER
        ]
    # No more than a hundred may stand together (Adobe technical note 5014, from memory).
    groups = [rows[n : n + 100] for n in range(0, len(rows), 100)]
    told = (b"%d beginbfchar\n%sendbfchar\n" % (len(group), b"".join(group)) for group in groups)
    return b"%sendcodespacerange\n%s%s" % (head, b"".join(told), ranges[ranges.index(b"endcmap") :])


def _stream(content: bytes) -> bytes:
    packed = zlib.compress(content)
    return b"<<\n/Length %d\n/Filter /FlateDecode\n>>\nstream\n%s\nendstream\n" % (
        len(packed),
        packed,
    )


def _file(pdf: bytes, objects: dict[int, bytes]) -> bytes:
    """The objects as a file, with the head and the trailer of the one they come from."""
    out = bytearray(pdf[: pdf.index(b"1 0 obj")])
    places = {}
    for number in sorted(objects):
        places[number] = len(out)
        out += b"%d 0 obj\n%sendobj\n" % (number, objects[number])
    table, size = len(out), max(objects) + 1
    out += b"xref\n0 %d\n0000000000 65535 f \n" % size
    for number in range(1, size):
        place = places.get(number)
        out += b"%010d 00000 n \n" % place if place is not None else b"0000000000 65535 f \n"
    trailer = pdf[pdf.rindex(b"trailer") : pdf.rindex(b"startxref")]
    out += re.sub(rb"/Size \d+", b"/Size %d" % size, trailer)
    return bytes(out) + b"startxref\n%d\n%%%%EOF\n" % table

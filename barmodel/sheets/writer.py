"""Sheets to PDF: lines, filled shapes, circles and embedded letters, nothing else.

Written here rather than by a plotting library, because a sheet is a few hundred straight lines
and words whose places must be exact, and a maker waits for it. The file follows ISO 32000-1:2008
(PDF 1.7); section numbers from memory.
"""

from __future__ import annotations

import itertools
import zlib
from collections.abc import Sequence

import numpy as np

from barmodel.sheets.letters import ASCENT, DESCENT, PER_EM, font_file, glyph_of
from barmodel.sheets.paper import LINE, POINT, Page, Words

INK = 0.1
"""Grey of lines and words, 0 black. [1]"""
ROUND = 0.5522847498
"""Arm of the four Bézier curves that stand for a circle, over its radius. [1]"""
FONTS = {False: "F1", True: "F2"}
NAMES = {False: "DejaVuSans", True: "DejaVuSans-Bold"}


def pdf_of(pages: Sequence[Page], title: str) -> bytes:
    """One PDF of finished pages, without a date inside: the same pages give the same file."""
    file = _File()
    fonts = {bold: _font(file, pages, bold) for bold in (False, True)}
    named = " ".join(f"/{FONTS[bold]} {number} 0 R" for bold, number in fonts.items())
    tree = file.reserve()
    kids = []
    for page in pages:
        content = file.add(_stream(_content(page).encode("ascii")))
        width, height = page.width / POINT, page.height / POINT
        kids.append(file.add(
            f"<< /Type /Page /Parent {tree} 0 R /MediaBox [0 0 {width:.4f} {height:.4f}] "
            f"/Resources << /Font << {named} >> >> /Contents {content} 0 R >>".encode()
        ))  # fmt: skip
    listed = " ".join(f"{kid} 0 R" for kid in kids)
    file.put(tree, f"<< /Type /Pages /Count {len(kids)} /Kids [{listed}] >>".encode())
    root = file.add(f"<< /Type /Catalog /Pages {tree} 0 R >>".encode())
    about = file.add(f"<< /Title <{_hex(title, bom=True)}> /Creator (barmodel) >>".encode())
    return file.whole(root, about)


class _File:
    """Numbered objects, and the table of where they lie."""

    def __init__(self) -> None:
        self.bodies: list[bytes] = []

    def reserve(self) -> int:
        self.bodies.append(b"")
        return len(self.bodies)

    def add(self, body: bytes) -> int:
        self.bodies.append(body)
        return len(self.bodies)

    def put(self, number: int, body: bytes) -> None:
        self.bodies[number - 1] = body

    def whole(self, root: int, about: int) -> bytes:
        out, places = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"), []
        for number, body in enumerate(self.bodies, start=1):
            places.append(len(out))
            out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
        table = len(out)
        count = len(places) + 1
        out += b"xref\n0 %d\n0000000000 65535 f \n" % count
        out += b"".join(b"%010d 00000 n \n" % place for place in places)
        out += b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R >>\n" % (count, root, about)
        return bytes(out + b"startxref\n%d\n%%%%EOF\n" % table)


def _stream(data: bytes, *, more: str = "") -> bytes:
    packed = zlib.compress(data, 6)
    head = f"<< /Length {len(packed)} /Filter /FlateDecode {more}>>\nstream\n"
    return head.encode() + packed + b"\nendstream"


def _hex(words: str, *, bom: bool = False) -> str:
    return (("\ufeff" if bom else "") + words).encode("utf-16-be").hex()


# -- what is drawn -----------------------------------------------------------------------------


def _content(page: Page) -> str:
    """Operators of one page: shapes first, then lines, then words (ISO 32000-1, 8.4, 8.5, 9.4)."""
    out = []
    for points, shade in page.fills:
        out.append(f"{shade:.3f} g\n{_path(points)}f")
    out.append(f"{INK} G {INK} g")
    for (pen, dash), lines in page.strokes.items():
        pattern = "" if dash == "-" else " ".join(f"{pen * length:.4f}" for length in dash[1])
        out.append(f"{pen:g} w [{pattern}] 0 d")
        out.extend(f"{_path(points)}S" for points in lines)
    out.append(f"{LINE:g} w [] 0 d")
    out.extend(_circle(*circle) for circle in page.circles)
    out.append("BT")
    out.extend(_words(words) for words in page.texts)
    out.append("ET")
    return "\n".join(out)


def _path(points: np.ndarray) -> str:
    x, y = (points / POINT).T.tolist()
    pairs = [f"{a:.4f} {b:.4f}" for a, b in zip(x, y, strict=True)]
    return f"{pairs[0]} m\n" + "".join(f"{pair} l\n" for pair in pairs[1:])


def _circle(x: float, y: float, diameter: float) -> str:
    x, y, r = x / POINT, y / POINT, diameter / 2 / POINT
    arm = ROUND * r
    out = [f"{x + r:.4f} {y:.4f} m"]
    ends = ((1, 0), (0, 1), (-1, 0), (0, -1), (1, 0))
    for (a, b), (c, d) in itertools.pairwise(ends):
        first = (x + r * a + arm * c, y + r * b + arm * d)
        second = (x + r * c + arm * a, y + r * d + arm * b)
        last = (x + r * c, y + r * d)
        out.append(" ".join(f"{v:.4f}" for v in (*first, *second, *last)) + " c")
    return "\n".join(out) + " S"


def _words(words: Words) -> str:
    x, y = (value / POINT for value in words.start)
    turn = (0, 1, -1, 0) if words.turned else (1, 0, 0, 1)
    numbers = "".join(f"{glyph_of(letter, words.bold).number:04x}" for letter in words.text)
    matrix = " ".join(str(value) for value in turn)
    return f"/{FONTS[words.bold]} {words.size:.3f} Tf {matrix} {x:.4f} {y:.4f} Tm <{numbers}> Tj"


# -- letters -----------------------------------------------------------------------------------


def _font(file: _File, pages: Sequence[Page], bold: bool) -> int:
    """Add a face with the letters that are used (ISO 32000-1, 9.7: composite fonts)."""
    letters = {letter for page in pages for words in page.texts if words.bold is bold
               for letter in words.text}  # fmt: skip
    glyphs = {glyph_of(letter, bold).number: letter for letter in sorted(letters)}
    data = font_file(bold, set(glyphs))
    name = f"BARMDL+{NAMES[bold]}"
    body = file.add(_stream(data, more=f"/Length1 {len(data)} "))
    about = file.add(
        f"<< /Type /FontDescriptor /FontName /{name} /Flags 4 /FontBBox [-1000 -400 2000 1200] "
        f"/ItalicAngle 0 /Ascent {PER_EM * ASCENT:g} /Descent {-PER_EM * DESCENT:g} "
        f"/CapHeight 729 /StemV 90 /FontFile2 {body} 0 R >>".encode()
    )
    widths = " ".join(f"{number} [{glyph_of(letter, bold).advance:.2f}]"
                      for number, letter in sorted(glyphs.items()))  # fmt: skip
    inner = file.add(
        f"<< /Type /Font /Subtype /CIDFontType2 /BaseFont /{name} /CIDToGIDMap /Identity "
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> "
        f"/FontDescriptor {about} 0 R /DW 600 /W [{widths}] >>".encode()
    )
    unicode = file.add(_stream(_to_unicode(glyphs).encode("ascii")))
    return file.add(
        f"<< /Type /Font /Subtype /Type0 /BaseFont /{name} /Encoding /Identity-H "
        f"/DescendantFonts [{inner} 0 R] /ToUnicode {unicode} 0 R >>".encode()
    )


def _to_unicode(glyphs: dict[int, str]) -> str:
    """Table from glyphs back to letters, so that words can be searched and read aloud."""
    rows = [f"<{number:04x}> <{_hex(letter)}>" for number, letter in sorted(glyphs.items())]
    pieces = [rows[start : start + 100] for start in range(0, len(rows), 100)]
    listed = "".join(f"{len(piece)} beginbfchar\n" + "\n".join(piece) + "\nendbfchar\n"
                     for piece in pieces)  # fmt: skip
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n"
        f"{listed}endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    )

"""PDFs that no scanner wrote: locked, endless, too large, or wound round themselves."""

from __future__ import annotations

import io
import zlib

import numpy as np

from millimark.rehearsal.hostile_files import repeated

Rng = np.random.Generator

_A4 = (595.0, 842.0)


def blank_pdf(pages: int, size: tuple[float, float] = _A4, password: str = "") -> bytes:
    """Empty pages of ``size`` points; locked if there is a password."""
    import pikepdf

    pdf = pikepdf.new()
    for _ in range(pages):
        pdf.add_blank_page(page_size=size)
    buffer = io.BytesIO()
    if password:
        pdf.save(buffer, encryption=pikepdf.Encryption(user=password, owner=password))
    else:
        pdf.save(buffer, deterministic_id=True)
    return buffer.getvalue()


def stream_bomb(rng: Rng) -> bytes:
    """A page whose picture is packed twice and unpacks to 300 MB, some kilobytes in the file."""
    data = zlib.compress(repeated(bytes(1_000_000), 300), 9)
    image = (
        f"<</Type/XObject/Subtype/Image/Width 900/Height 1200/ColorSpace/DeviceGray"
        f"/BitsPerComponent 8/Filter[/FlateDecode/FlateDecode]/Length {len(data)}>>"
    )
    return _one_page(b"q 595 0 0 842 0 0 cm /X Do Q", (image, data))


def contents_bomb(rng: Rng) -> bytes:
    """A page whose drawing goes on for 20 million strokes, some kilobytes in the file."""
    data = zlib.compress(repeated(b"0 0 m 595 842 l S\n" * 50_000, 400), 9)
    return _one_page(data, None, "/Filter[/FlateDecode/FlateDecode]")


def form_loop(rng: Rng) -> bytes:
    """A page that draws a form that draws itself."""
    inside = b"q 0.9 0 0 0.9 0 0 cm /X Do Q"
    form = (
        "<</Type/XObject/Subtype/Form/BBox[0 0 595 842]/Resources<</XObject<</X 5 0 R>>>>"
        f"/Length {len(inside)}>>"
    )
    return _one_page(b"/X Do", (form, inside))


def page_loop(rng: Rng) -> bytes:
    """A page tree whose branch is its own root."""
    return _pdf(
        ["<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[2 0 R 3 0 R]/Count 2>>",
         "<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]>>"]
    )  # fmt: skip


def many_pages(rng: Rng) -> bytes:
    """A PDF that says it has two thousand million pages and holds one."""
    return _pdf(
        ["<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[3 0 R]/Count 2000000000>>",
         "<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]>>"]
    )  # fmt: skip


def deep_nesting(rng: Rng) -> bytes:
    """A page with an array in an array, two hundred thousand deep."""
    deep = "[" * 200_000 + "]" * 200_000
    return _pdf(
        ["<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[3 0 R]/Count 1>>",
         f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/PieceInfo {deep}>>"]
    )  # fmt: skip


def _one_page(contents: bytes, drawn: tuple[str, bytes] | None, packed: str = "") -> bytes:
    """A PDF of one A4 page with its content stream and, as /X, one drawn object."""
    resources = "<</XObject<</X 5 0 R>>>>" if drawn else "<<>>"
    objects: list[str | tuple[str, bytes]] = [
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Resources {resources}/Contents 4 0 R>>",
        (f"<<{packed}/Length {len(contents)}>>", contents),
    ]
    return _pdf([*objects, drawn] if drawn else objects)


def _pdf(objects: list[str | tuple[str, bytes]] | list[str]) -> bytes:
    """Objects numbered from 1, the first the catalogue, with a right cross-reference table
    (ISO 32000-1, 7.5)."""
    out = bytearray(b"%PDF-1.5\n")
    places = []
    for number, item in enumerate(objects, start=1):
        places.append(len(out))
        head, stream = item if isinstance(item, tuple) else (item, None)
        out += f"{number} 0 obj\n{head}\n".encode()
        if stream is not None:
            out += b"stream\n" + stream + b"\nendstream\n"
        out += b"endobj\n"
    start = len(out)
    out += f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode()
    out += "".join(f"{place:010d} 00000 n \n" for place in places).encode()
    out += f"trailer\n<</Size {len(objects) + 1}/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n".encode()
    return bytes(out)

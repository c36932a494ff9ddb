"""A picture of a finished sheet, to look at before it is printed."""

import io
import threading

WIDE = 900  # dots; sharp enough to read a name on a sheet that fills half a screen

_one_at_a_time = threading.Lock()  # PDFium is not made for threads


def picture(pdf: bytes, page: int = 0, wide: int = WIDE) -> bytes:
    """One page of one of our own PDFs as PNG."""
    import pypdfium2  # type: ignore[import-untyped]  # it ships no types

    with _one_at_a_time, pypdfium2.PdfDocument(pdf) as document:
        sheet = document[page]
        image = sheet.render(scale=wide / sheet.get_width()).to_pil()
    body = io.BytesIO()
    image.convert("L").quantize(16).save(body, "PNG", optimize=False)
    return body.getvalue()

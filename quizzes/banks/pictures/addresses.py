"""The addresses of pictures: their types as browsers know them, and a picture as an address that holds it whole."""

import base64
from urllib.parse import quote

# By the kind of a picture.
TYPES = {"svg": "image/svg+xml", "png": "image/png", "jpg": "image/jpeg", "webp": "image/webp"}


def data_address(kind: str, content: bytes) -> str:
    """A data: address, which is all that a print may load beside our own files."""
    if kind == "svg":
        return f"data:{TYPES[kind]},{quote(content)}"
    return f"data:{TYPES[kind]};base64,{base64.b64encode(content).decode()}"

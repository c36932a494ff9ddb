"""Card codes that survive being read aloud, and QR codes as inline drawings."""

from collections.abc import Callable
from functools import lru_cache
from html import escape

import segno

ALPHABET = "234679CDEFHJKMNPQRTVWXY"  # 23 signs: of 0 O, 1 I L, 5 S, 8 B, 2 Z, U V, 6 G at most one; no words
QUIET = 4  # modules of white round a code [ISO/IEC 18004 §6.3.8]


def new_code(choose: Callable[[str], str]) -> str:
    """A card code such as 7K3D-Q2: five chosen signs and a check sign. `choose` picks one sign of the alphabet."""
    signs = "".join(choose(ALPHABET) for _ in range(5))
    return with_check(signs)


def with_check(signs: str) -> str:
    """Five signs with their check sign, as printed."""
    whole = signs + check_sign(signs)
    return f"{whole[:4]}-{whole[4:]}"


def check_sign(signs: str) -> str:
    """The sixth sign, such that places 1-6 times their signs add up to nothing modulo the prime 23: one wrong sign and
    two swapped neighbors are always noticed."""
    total = sum(place * ALPHABET.index(sign) for place, sign in enumerate(signs, start=1))
    return ALPHABET[-total * pow(6, -1, len(ALPHABET)) % len(ALPHABET)]


def read_code(typed: str) -> str | None:
    """The code as printed, from what someone typed; None if it can't be one."""
    signs = "".join(typed.upper().replace("-", "").split())
    if len(signs) != 6 or any(sign not in ALPHABET for sign in signs) or check_sign(signs[:5]) != signs[5]:
        return None
    return with_check(signs[:5])


def qr_side_mm(text: str, module_mm: float = 1.0) -> float:
    """Side of the finished drawing with its quiet zone."""
    return (len(_modules(text)) + 2 * QUIET) * module_mm


def qr_svg(text: str, *, says: str, module_mm: float = 1.0, side: float = 0.0) -> str:
    """A QR code, level Q, as inline SVG with its quiet zone. `says` is its text alternative.

    It is `side` millimeters wide where its modules need less.

    Text in capitals takes a smaller code: a denser mode holds capitals, digits and $%*+-./: [ISO/IEC 18004 §7.4.4].
    """
    if module_mm < 1:
        raise ValueError("A module smaller than 1 mm is not read reliably after a photocopy.")
    matrix = _modules(text)
    modules = len(matrix) + 2 * QUIET
    millimeters = max(side, modules * module_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="qr" viewBox="0 0 {modules} {modules}"'
        f' width="{millimeters:g}mm" height="{millimeters:g}mm" role="img">'
        f'<title>{escape(says)}</title><path fill="none" stroke="#000" d="{"".join(_runs(matrix))}"/></svg>'
    )


@lru_cache(maxsize=100)
def _modules(text: str) -> tuple[bytes, ...]:
    """Rows of modules, 1 where dark. A sheet asks how wide its code is before it draws it."""
    return tuple(bytes(row) for row in segno.make(text, error="q", micro=False, boost_error=False).matrix)


def _runs(matrix: tuple[bytes, ...]) -> list[str]:
    """Dark modules as one line a run, a module thick, so that no hairline shows between neighbors."""
    runs = []
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            start = x
            while x < len(row) and row[x]:
                x += 1
            if x > start:
                runs.append(f"M{start + QUIET} {y + QUIET + 0.5}h{x - start}")
            x += 1
    return runs

"""Sign-in codes: how they are made, printed and compared. Rules: randomness is handed in."""

from collections.abc import Callable

# Without 0 O, 1 I L, 5 S, 8 B, 2 Z, U V, 6 G side by side, and without vowels, so that no word comes up.
ALPHABET = "234679CDEFHJKMNPQRTVWXY"
LENGTH = 8  # 23 to the 8th: one of 78 thousand million, with five tries


def new_code(choose: Callable[[str], str]) -> str:
    """A code such as 7K3DQ2XM. `choose` picks one sign of the alphabet."""
    return "".join(choose(ALPHABET) for _ in range(LENGTH))


def printed(code: str) -> str:
    """The code as it is on a slip: 7K3D-Q2XM."""
    return f"{code[:4]}-{code[4:]}"

"""The lines of a wall chart's matrix as one drawing behind the table. Pure; millimeters.

Borders of cells are drawn one by one: a tenth of a chart's time went there.
"""

from collections.abc import Collection
from urllib.parse import quote

INK, LINE, FAINT = "#1B1F24", "#7A838C", "#D9D5CA"  # as in static/css/tokens.css
EVERY = 5  # rows: a line the eye can follow to the name


BAR = 0.4  # of a column's width: the strip of crosses down a column that no one may use


def ruled(
    wide: float,
    head: float,
    row: float,
    rows: int,
    first_column: float,
    columns: int,
    barred: Collection[int] = (),
    *,
    from_the_right: bool = False,
) -> str:
    """A data: address of the lines of a matrix: headings that are `head` high above `rows`, and a column of names that
    is `first_column` wide left of `columns` equal ones, of which the `barred` bear a strip of crosses; or
    its mirror image."""
    high = head + row * rows
    cell = (wide - first_column) / columns
    across = {number: f"M0 {head + row * number:.3f}h{wide:.3f}" for number in range(1, rows)}
    down = [f"M{first_column + cell * number:.3f} 0v{high:.3f}" for number in range(columns)]
    faint = [line for number, line in across.items() if number % EVERY] + down
    fifth = [line for number, line in across.items() if not number % EVERY]
    thick = [f"M0 {y:.3f}h{wide:.3f}" for y in (0.5, head, high - 0.5)]
    crosses = [
        _crosses(first_column + cell * place, head + row * number, cell, row)
        for place in barred
        for number in range(rows)
    ]
    paths = ((FAINT, 0.25, faint), (LINE, 0.5, fifth), (INK, 0.6, crosses), (INK, 1, thick))
    path_elements = "".join(
        f'<path stroke="{color}" stroke-width="{width}" d="{"".join(d)}"/>' for color, width, d in paths
    )
    box = f'viewBox="0 0 {wide:.3f} {high:.3f}" preserveAspectRatio="none"'
    turned = (
        f'<g transform="translate({wide:.3f} 0) scale(-1 1)">{path_elements}</g>' if from_the_right else path_elements
    )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {box} fill="none">{turned}</svg>'
    return f"data:image/svg+xml,{quote(svg)}"


def _crosses(x: float, y: float, wide: float, high: float) -> str:
    """One cross in the middle of a cell, as high as the cell."""
    left, right = x + wide * (1 - BAR) / 2, x + wide * (1 + BAR) / 2
    return f"M{left:.3f} {y:.3f}L{right:.3f} {y + high:.3f}M{right:.3f} {y:.3f}L{left:.3f} {y + high:.3f}"

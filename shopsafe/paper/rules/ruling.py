"""The lines of a wall chart's matrix as one drawing behind the table. Pure; millimetres.

Borders of cells are drawn one by one: a tenth of a chart's time went there.
"""

from urllib.parse import quote

INK, LINE, FAINT = "#1B1F24", "#7A838C", "#D9D5CA"  # as in static/css/tokens.css
EVERY = 5  # rows: a line the eye can follow to the name


def ruled(wide: float, row: float, rows: int, first_column: float, columns: int) -> str:
    """A data: address of the lines of a matrix: a row of headings above `rows`, and a column of names that is
    `first_column` wide left of `columns` equal ones."""
    high = row * (rows + 1)
    cell = (wide - first_column) / columns
    across = {number: f"M0 {row * (number + 1):.3f}h{wide:.3f}" for number in range(1, rows)}
    down = [f"M{first_column + cell * number:.3f} 0v{high:.3f}" for number in range(columns)]
    faint = [line for number, line in across.items() if number % EVERY] + down
    fifth = [line for number, line in across.items() if not number % EVERY]
    thick = [f"M0 {y:.3f}h{wide:.3f}" for y in (0.5, row, high - 0.5)]
    paths = ((FAINT, 0.25, faint), (LINE, 0.5, fifth), (INK, 1, thick))
    path_elements = "".join(
        f'<path stroke="{color}" stroke-width="{width}" d="{"".join(d)}"/>' for color, width, d in paths
    )
    box = f'viewBox="0 0 {wide:.3f} {high:.3f}" preserveAspectRatio="none"'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {box} fill="none">{path_elements}</svg>'
    return f"data:image/svg+xml,{quote(svg)}"

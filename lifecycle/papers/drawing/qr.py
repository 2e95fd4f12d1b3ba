"""A QR code as the squares it is made of, for paper (one path) and for screens."""

import segno

#: Empty squares around the code (ISO/IEC 18004 asks for four).
QUIET = 4


def squares(address: str) -> tuple[int, list[tuple[int, int, int]]]:
    """Side length in squares with the quiet zone, and dark runs as (column, row, length)."""
    code = segno.make(address, error="m", micro=False)
    runs: list[tuple[int, int, int]] = []
    matrix = [list(row) for row in code.matrix]
    for row, cells in enumerate(matrix):
        column = 0
        while column < len(cells):
            length = 0
            while column + length < len(cells) and cells[column + length]:
                length += 1
            if length:
                runs.append((column + QUIET, row + QUIET, length))
            column += max(1, length)
    return len(matrix) + 2 * QUIET, runs

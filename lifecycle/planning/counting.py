"""A number with its noun: one page, two pages."""


def counted(number: int, one: str, many: str = "") -> str:
    """Return the number and its noun, which takes an s unless ``many`` says otherwise.

    >>> counted(1, "page"), counted(2, "page"), counted(0, "entry", "entries")
    ('1 page', '2 pages', '0 entries')
    """
    return f"{number} {one if number == 1 else many or f'{one}s'}"

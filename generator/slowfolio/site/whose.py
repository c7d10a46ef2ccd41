"""Whose a card is, for its page: our own, the base's, or the base's with fields of ours, which are named.

In a book that stands on no other every card is its own, and nothing is said. Called by the pages of cards.
"""

from slowfolio.book.files import KIND_OF_FOLDER
from slowfolio.book.model import Book, Layer, Method, Origin

NAMED_FIELDS = 8


def card_words(origin: Origin) -> str:
    """The card's file and, in a book with a base, whose it is."""
    if origin.layer is Layer.INHERITED:
        return f"{file_of_the_base(origin)}, from the base"
    if origin.layer is Layer.ADAPTED:
        return f"{origin.file}, changed by us: {', '.join(changed_fields(origin))}; the rest is the base's"
    return origin.file


def file_of_the_base(origin: Origin) -> str:
    """The file of an inherited card inside its base."""
    parts = origin.file.split("/")
    starts = [index for index, part in enumerate(parts[:-1]) if part in KIND_OF_FOLDER]
    return "/".join(parts[starts[-1] :] if starts else parts[-1:])


def changed_fields(origin: Origin) -> tuple[str, ...]:
    """The fields a changed card states itself, outermost names, in the order of the file."""
    names = dict.fromkeys(str(path[0]) for path in origin.marks if path and path[0] != "id")
    shown = tuple(name.replace("_", " ") for name in names)
    return (
        shown if len(shown) <= NAMED_FIELDS else (*shown[:NAMED_FIELDS], f"{len(shown) - NAMED_FIELDS} more")
    )


def editable_file(origin: Origin) -> str:
    """The file of a card in our own book; empty for one of the base's."""
    return "" if origin.layer is Layer.INHERITED else origin.file


def handled_around(book: Book, method: Method) -> tuple[str, ...]:
    """Allergens handled around every dish of the kitchen that the method itself does not carry."""
    return tuple(name for name in book.card.serving.allergens_handled if name not in method.allergens)

"""What a method's card says of its wrap, so that it can be found in a log. Called by whoever imports one."""

from slowfolio.book.model import Book, Method


def is_wrapped(method: Method, book: Book) -> bool:
    """Whether the method wraps the piece on the way."""
    kinds = [book.wraps[stage.wrap].kind for stage in method.stages]
    return any(kind != kinds[0] for kind in kinds)


def wrap_core_c(method: Method) -> float | None:
    """The core at which the method wraps, where it does so by the core."""
    for stage, after in zip(method.stages, method.stages[1:], strict=False):
        if after.wrap != stage.wrap:
            return stage.until.core_temp_c
    return None

"""The index of a folder, opened with all that the user ever said of its frames.

Corrections live in the index that is in use: the folder's own, or one in the user's cache folder while the folder is
read-only. Whichever is opened takes over what is newer in the other.
"""

from __future__ import annotations

from pathlib import Path

from setsolver.catalog.place import index_file, other_index
from setsolver.catalog.store import Store
from setsolver.usecases.tasks import READ

__all__ = ["open_index"]


def open_index(folder: Path) -> Store:
    """Return the open index of a folder, made where there is none.

    Raises
    ------
    BadInput
        Where it cannot be made or used. CatalogBusy : where another program holds it.
    """
    file = index_file(folder)
    store = Store(file, *READ)
    other = other_index(folder, file)
    if other is not None:
        try:
            store.merge(other)
        except BaseException:
            store.close()
            raise
    return store

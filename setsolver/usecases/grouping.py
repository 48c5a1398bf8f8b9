"""Keep moments, scenes, chapters and near-duplicates of a catalog up to date with its frames."""

from __future__ import annotations

from collections.abc import Callable

from setsolver.catalog.store import Store
from setsolver.domain.measures import Measures
from setsolver.domain.origin import fingerprint, origins

__all__ = ["GROUPING_VERSION", "regroup"]

GROUPING_VERSION = "6"
"""Goes up when grouping, or what counts as the same picture, changes; catalogs grouped by another are grouped again."""

_SEEN = fingerprint(Measures, without=origins(Measures).keys() - {"embedding", "phash", "clip", "palette", "tone"})


def regroup(store: Store, tell: Callable[[str, int, int], None]) -> tuple[str, ...]:
    """Group the frames again if any has changed; return remarks, such as clocks that were set apart.

    Raises
    ------
    CatalogBusy
        Where another process changes the frames meanwhile.
    """
    key = f"{GROUPING_VERSION} {_SEEN}"
    if store.grouped() == key:
        return store.remarks()
    from setsolver.usecases.sighting import groups_of  # noqa: PLC0415 - what it needs loads longer than a scan without news

    with store.reading():
        ids = store.ids()
        found = groups_of(store, ids, tell)
    store.group(key, ids, found)
    return found.remarks

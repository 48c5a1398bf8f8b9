"""What a person does on the board that changes no set: names, prints and books, clients' answers."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from setsolver.usecases.board import acts

if TYPE_CHECKING:
    from setsolver.usecases.board.clients import Clients
    from setsolver.usecases.board.finishing import Finishing
    from setsolver.usecases.board.state import BoardState

__all__ = ["AtOnce", "done_at_once"]

AtOnce: TypeAlias = acts.Name | acts.Forget | acts.Finish | acts.MakeAlbum | acts.StopFinish | acts.SetAside


def done_at_once(act: AtOnce, state: BoardState, finishing: Finishing, clients: Clients) -> str:
    """Do it, and return what is said of it. Raises SetsolverError where it cannot be done."""
    match act:
        case acts.Name():
            return state.versions.name(state, act)
        case acts.Forget(version=version):
            return state.versions.forget(version)
        case acts.Finish():
            return finishing.begin(state, act)
        case acts.MakeAlbum():
            return finishing.begin_album(state, act)
        case acts.StopFinish():
            return finishing.stop()
        case acts.SetAside(client=client):
            return clients.set_aside(client)

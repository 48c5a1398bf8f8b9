"""Questions to sessions that are opened for one answer."""

from setsolver.usecases.effort import Effort
from setsolver.usecases.session import Session
from setsolver.usecases.why import why_in


def why(snapshot, brief, found, path, effort=Effort()):
    """Return what a session of a catalog and a brief says of one frame and one set."""
    return why_in(Session(snapshot, brief, effort=effort), found, path)

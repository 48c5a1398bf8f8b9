"""What a scan plans: nothing is forgotten that may still be there."""

from hypothesis import given
from hypothesis import strategies as st

from setsolver.catalog.listing import Listing
from setsolver.catalog.pairing import Listed
from setsolver.domain.snapshot import Refused
from setsolver.usecases import scan_plan

PATHS = st.lists(st.sampled_from(("a", "b", "ab")), min_size=1, max_size=4).map("/".join)


@given(known=st.sets(PATHS), here=st.sets(PATHS), closed=st.sets(PATHS | st.just("")))
def test_what_is_gone_is_neither_here_nor_in_a_closed_folder(tmp_path_factory, known, here, closed):
    frames = tuple(Listed(path, tmp_path_factory.getbasetemp() / path, 1, 1) for path in here)
    gone = scan_plan._gone(Listing(frames, tuple(Refused(path, "closed") for path in closed)), known)
    for path in known:
        above = {"", *("/".join(path.split("/")[:depth]) for depth in range(1, path.count("/") + 2))}
        assert (path in gone) == (path not in here and not above & closed)

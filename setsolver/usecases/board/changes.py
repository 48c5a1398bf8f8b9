"""What each act changes in the session, said in words, with the sets to which another one is preferred by it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from setsolver.errors import BadInput
from setsolver.output.view.words import counted, inert, name_of, rule_name
from setsolver.usecases.board import acts
from setsolver.usecases.board.framed import frame_by_hand
from setsolver.usecases.board.rules import changed_keys, said_of
from setsolver.usecases.board.state import paths_of
from setsolver.usecases.board.versions import recalled
from setsolver.usecases.board.words import told

if TYPE_CHECKING:
    from setsolver.usecases.board.state import BoardState

__all__ = ["Changed", "apply"]


class Changed(NamedTuple):
    """says : what was asked, in words. over : the sets, as paths, to which the answer is preferred; () = no choice."""

    says: str
    over: tuple[tuple[str, ...], ...] = ()


def apply(state: BoardState, act: acts.Act) -> Changed:
    """Change the session.

    Raises
    ------
    SetsolverError
        Where the act does not fit the board as it is; nothing has changed then.
    """
    match act:
        case acts.Put():
            changed = _put(state, act)
        case acts.Keep():
            changed = _keep(state, act)
        case acts.Recall():
            changed = Changed(*recalled(state, act))
        case acts.RateMany():
            changed = _rate_many(state, act)
        case acts.Weigh() | acts.Change() | acts.Way() | acts.BeginAgain():
            changed = Changed(_rewrite(state, act))
        case acts.Rate() | acts.Turn() | acts.Rescale() | acts.Crop():
            changed = Changed(_say_of(state, act))
        case acts.PinMany(frames=keys):
            state.session.pin(*(state.frame(key).path for key in keys))
            changed = Changed(f"{counted(len(keys), 'frame')} pinned.")
        case acts.FreeAll():
            state.session.wish(include=(), exclude=state.session.brief.frames.exclude)
            changed = Changed("No frame is pinned any more.")
        case acts.Pin() | acts.Bar() | acts.Free():
            changed = Changed(_wish(state, act))
        case _:
            raise BadInput("this changes no set")
    return changed


def _rewrite(state: BoardState, act: acts.Weigh | acts.Change | acts.Way | acts.BeginAgain) -> str:
    """Change the brief as such."""
    session = state.session
    match act:
        case acts.Weigh(term=term, points=points):
            session.reweigh(**{term: points})
            return f"{rule_name(term)} now weighs {points:g}."
        case acts.Change(key=key, value=value, besides=besides):
            rule, keys = changed_keys(session.brief, key, value, besides)
            session.change(**keys)
            return f"{rule['called']}: now {said_of(rule, value)}."
        case acts.Way(number=number, revision=revision):
            way = state.way(number, revision)
            session.change(**way.step.keys)
            return f"The brief {inert(way.step.says)}."
        case acts.BeginAgain():
            session.change(**state.kept.brief.model_dump())
            return "Begun again from the brief."


def _wish(state: BoardState, act: acts.Pin | acts.Bar | acts.Free) -> str:
    session, path = state.session, state.frame(act.frame).path
    match act:
        case acts.Pin(slot=slot):
            session.pin(path, slot=slot)
            return told(path, "is pinned" if slot is None else f"is pinned as {inert(slot)}")
        case acts.Bar(folder=True) if "/" in path:
            folder = path.rpartition("/")[0]
            session.bar(*(one for one in state.by_path if one.startswith(f"{folder}/")))
            return f"All of {inert(folder)} is barred."
        case acts.Bar():
            session.bar(path)
            return told(path, "is barred")
        case acts.Free():
            session.free(path)
            return told(path, "is neither pinned nor barred")


def _say_of(state: BoardState, act: acts.Rate | acts.Turn | acts.Rescale | acts.Crop) -> str:
    """Say something of one frame."""
    session, frame = state.session, state.frame(act.frame)
    path = frame.path
    match act:
        case acts.Rate(stars=stars):
            session.rate(path, stars)
            says = "has no stars of yours any more" if stars is None else f"has {stars} of 5 stars"
        case acts.Turn():
            session.turn(path, ((frame.turn or 0) + 90) % 360, wait=False)
            says = "is turned a quarter clockwise"
        case acts.Rescale(scale=scale):
            session.rescale(path, scale)
            says = f"is {scale}" if scale else "shows what was measured"
        case acts.Crop():
            says = frame_by_hand(state, act)
    return told(path, says)


def _rate_many(state: BoardState, act: acts.RateMany) -> Changed:
    said = {state.frame(key).path: stars for key, stars in act.stars.items()}
    state.session.correct({path: {"stars": None if stars is None else str(stars)} for path, stars in said.items()})
    return Changed(f"Stars for {counted(len(said), 'frame')}.")


def _put(state: BoardState, act: acts.Put) -> Changed:
    session, best = state.session, state.best
    comes, leaves = state.frame(act.frame).path, state.frame(act.instead).path
    paths = () if best is None else paths_of(best)
    if leaves not in paths or comes in paths:
        raise BadInput(f"{name_of(comes)} cannot take the place of {name_of(leaves)}: the set has changed meanwhile")
    wishes = session.brief.frames
    new = (*session.without(wishes.include, {leaves, comes}), comes)
    if act.others == "stay":
        new = tuple(dict.fromkeys(comes if path == leaves else path for path in paths))
    session.wish(include=new, exclude=session.without(wishes.exclude, set(new)))
    how = "the others stay" if act.others == "stay" else "the others may answer"
    return Changed(f"{name_of(comes)} for {name_of(leaves)}; {how}.", (paths,))


def _keep(state: BoardState, act: acts.Keep) -> Changed:
    shown = state.shown(act.number, act.revision)
    paths, sets = paths_of(shown[act.number - 1]), tuple(paths_of(found) for found in shown)
    session = state.session
    session.wish(include=paths, exclude=session.without(session.brief.frames.exclude, set(paths)))
    return Changed(f"Set {act.number} is kept.", sets)

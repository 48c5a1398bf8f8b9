"""Roles: the best allocation to a fixed set, and the premiums that stand for role counts in a bound.

A premium p_r is paid to whoever plays role r. For any premiums

    best gain with counts in [min, max]  <=  sum_i max_r (gain_ir + p_r) - sum_r (p_r * min_r if p_r > 0 else p_r *
    max_r),

so every premium vector gives a bound (Lagrange); ``adjust`` moves one premium to the next value where someone changes
role, which is where the bound stops falling. Invariant (tested): ``allocate`` is exact.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.compiled import NOTHING, ZERO, step

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Roles
    from setsolver.solver.workspace import RoleMoves, Work

__all__ = ["adjust", "allocate", "favourite", "premium_due"]

FAR = 1e17
PENALTY = 1e12  # of one broken count; far above what any gains can differ
SMALL = 1e-9
NUDGE = 1.0 + 1e-7  # past the point of indifference, so that the role really changes


@step
def favourite(gain: Floats, item: int, premium: Floats) -> tuple[int, float]:
    """Return (the role of most gain plus premium, that much)."""
    role, most = -1, NOTHING
    for r in range(premium.shape[0]):
        if gain[item, r] + premium[r] > most:
            role, most = r, gain[item, r] + premium[r]
    return role, most


@step
def premium_due(roles: Roles, premium: Floats) -> float:
    """Return the constant that premiums take off a bound."""
    due = 0.0
    for r in range(premium.shape[0]):
        due += premium[r] * (roles.least[r] if premium[r] > 0 else roles.most[r])
    return due


@step
def allocate(roles: Roles, member: Ints, n: int, moves: RoleMoves) -> float:
    """Fill ``moves.role[:n]`` with the roles of most gain under all counts; return the gain, NOTHING if none hold.

    Starts from everyone's favourite role, then moves members along the best chain of role changes, a broken count
    weighing more than any gain, until no chain helps: steepest descent of an M-convex function, whose local optimum
    is global.
    """
    count, total = moves.tally, 0.0
    for r in range(count.shape[0]):
        count[r] = 0
    for i in range(n):
        best, most = -1, NOTHING
        for r in range(count.shape[0]):
            if roles.gain[member[i], r] > most:
                best, most = r, roles.gain[member[i], r]
        if best < 0:
            return NOTHING
        moves.role[i] = best
        count[best] += 1
        total += most
    if _counts_hold(roles, count):
        return total
    loss = _move_along(roles, member, n, moves)
    while loss < FAR:
        total -= loss
        loss = _move_along(roles, member, n, moves)
    return total if _counts_hold(roles, count) else NOTHING


@step
def _counts_hold(roles: Roles, count: Ints) -> bool:
    wrong = 0
    for r in range(count.shape[0]):
        if count[r] < roles.least[r] or count[r] > roles.most[r]:
            wrong += 1
    return wrong == 0


@step
def _chains(roles: Roles, member: Ints, n: int, moves: RoleMoves) -> None:
    """Fill ``moves.loss`` with the least gain lost by one fewer in role r and one more in s (Floyd, Warshall)."""
    loss, via, mover, role = moves.loss, moves.via, moves.mover, moves.role
    for r in range(loss.shape[0]):
        for s in range(loss.shape[0]):
            loss[r, s], via[r, s], mover[r, s] = FAR, -1, -1
    for i in range(n):
        r = role[i]
        for s in range(loss.shape[0]):
            change = roles.gain[member[i], r] - roles.gain[member[i], s]
            if s != r and roles.gain[member[i], s] > NOTHING and change < loss[r, s]:
                loss[r, s], mover[r, s] = change, i
    for h in range(loss.shape[0]):
        for r in range(loss.shape[0]):
            for s in range(loss.shape[0]):
                shorter = loss[r, h] + loss[h, s] < loss[r, s] - 1e-12
                if shorter and h != r and h != s and r != s:  # noqa: PLR1714 - compiled
                    loss[r, s], via[r, s] = loss[r, h] + loss[h, s], h


@step
def _move_along(roles: Roles, member: Ints, n: int, moves: RoleMoves) -> float:
    """Move one member out of a role and one into another by the best chain; return the gain lost, FAR if none helps."""
    _chains(roles, member, n, moves)
    loss, count, todo = moves.loss, moves.tally, moves.todo
    cheapest, start, end = -SMALL, -1, -1
    for r in range(count.shape[0]):
        for s in range(count.shape[0]):
            if r == s or loss[r, s] >= FAR:
                continue
            mend = 0
            if count[r] > roles.most[r]:
                mend -= 1
            if count[r] <= roles.least[r]:
                mend += 1
            if count[s] < roles.least[s]:
                mend -= 1
            if count[s] >= roles.most[s]:
                mend += 1
            if loss[r, s] + PENALTY * mend < cheapest:
                cheapest, start, end = loss[r, s] + PENALTY * mend, r, s
    if start < 0:
        return FAR
    todo[0, 0], todo[1, 0] = start, end
    waiting = 1
    while waiting > 0:
        waiting -= 1
        r, s = todo[0, waiting], todo[1, waiting]
        h = moves.via[r, s]
        if h < 0:
            moves.role[moves.mover[r, s]] = s
        else:
            todo[0, waiting], todo[1, waiting] = r, h
            todo[0, waiting + 1], todo[1, waiting + 1] = h, s
            waiting += 2
    count[start] -= 1
    count[end] += 1
    return float(loss[start, end])


@step
def adjust(roles: Roles, work: Work, n: int, left: int, m: int) -> None:
    """Move one premium towards the role counts of the current best set (members and ``work.top``)."""
    premium, count = work.premium, work.moves.tally
    for r in range(count.shape[0]):
        count[r] = 0
    for i in range(n + m):
        item = work.members[i] if i < n else work.alive[work.top[i - n]]
        role, _ = favourite(roles.gain, item, premium)
        count[role] += 1
    worst, most = ZERO - 1, ZERO
    for r in range(count.shape[0]):
        wrong = max(roles.least[r] - count[r], count[r] - roles.most[r])
        if wrong > most:
            worst, most = r, wrong
    if worst >= 0 and count[worst] < roles.least[worst]:
        move = _raise_by(roles.gain, work, n, left, m, worst)
        if move < FAR:
            premium[worst] += move * NUDGE
    elif worst >= 0:
        move = _lower_by(roles.gain, work, n, m, worst)
        if move < FAR:
            premium[worst] -= move * NUDGE
    else:
        for r in range(count.shape[0]):  # a premium that nobody needs costs points: let it fade
            if (premium[r] > 0 and count[r] > roles.least[r]) or (premium[r] < 0 and count[r] < roles.most[r]):
                premium[r] *= 0.7
                if abs(premium[r]) < 1e-3:
                    premium[r] = 0.0
                break


@step
def _raise_by(gain: Floats, work: Work, n: int, left: int, m: int, role: int) -> float:
    """Return the least rise of a premium at which one more plays the role."""
    lowest = FAR
    for b in range(m):
        lowest = min(lowest, work.weight[work.top[b]])
    move = FAR
    for i in range(n):
        _, most = favourite(gain, work.members[i], work.premium)
        change = most - gain[work.members[i], role] - work.premium[role]
        if change > 0:
            move = min(move, change)
    for j in range(left):
        change = work.best_gain[j] - gain[work.alive[j], role] - work.premium[role]
        if not work.picked[j]:
            change += max(0.0, lowest - work.weight[j])
        if change > 0:
            move = min(move, change)
    if work.premium[role] < 0:
        move = min(move, -work.premium[role])
    return move


@step
def _lower_by(gain: Floats, work: Work, n: int, m: int, role: int) -> float:
    """Return the least fall of a premium at which one fewer plays the role."""
    lowest = FAR
    for b in range(m):
        lowest = min(lowest, work.weight[work.top[b]])
    move = FAR
    for i in range(n + m):
        item = work.members[i] if i < n else work.alive[work.top[i - n]]
        other = NOTHING
        for r in range(work.premium.shape[0]):
            if r != role:
                other = max(other, gain[item, r] + work.premium[r])
        change = gain[item, role] + work.premium[role] - other
        if change > 0:
            if i >= n:
                change = min(change, max(1e-9, work.weight[work.top[i - n]] - lowest))
            move = min(move, change)
    if work.premium[role] > 0:
        move = min(move, work.premium[role])
    return move

"""Kernel ridge regression of classes on embeddings, with every source left out in closed form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize_scalar
from table import FIRST_PACKAGE

from setsolver.features.kernel_head import KernelHead, odds_of

__all__ = ["SETTING", "Places", "Setting", "held_out", "held_out_elsewhere", "places", "power", "whole_fit"]

COMMON = 1e-3
"""A constant added to the kernel: a shift of all odds together is nearly free."""


@dataclass(frozen=True)
class Setting:
    """What the regression is fitted with.

    axes : principal axes kept. narrow : the kernel is exp(-narrow * squared distance), distances of standardised
    roots divided by the root of their number. ridge : added to the diagonal. balance : a photograph weighs the size of
    its source to the power of minus this. aside : how many photographs of packages, which another reader read, weigh
    as one of a given source.
    """

    axes: int = 256
    narrow: float = 1.0
    ridge: float = 0.2
    balance: float = 0.5
    aside: float = 4.0


SETTING = Setting()


@dataclass(frozen=True)
class Places:
    """Standardised roots of embeddings on their own principal axes (no label is used), times sqrt(narrow)."""

    mean: np.ndarray
    deviation: np.ndarray
    axes: np.ndarray
    at: np.ndarray


def places(inputs: np.ndarray, setting: Setting = SETTING) -> Places:
    root = np.sqrt(np.maximum(inputs, 0)).astype(np.float32)
    mean, deviation = root.mean(axis=0), root.std(axis=0) + 0.02
    unit = (root - mean) / deviation / np.sqrt(root.shape[1])
    spread, turn = np.linalg.eigh((unit.T @ unit).astype(np.float64))
    axes = turn[:, np.argsort(-spread)[: setting.axes]] * np.sqrt(setting.narrow)
    return Places(mean, deviation, axes, unit @ axes)


def likeness(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    apart = (one * one).sum(axis=1)[:, None] + (two * two).sum(axis=1) - 2 * one @ two.T
    return np.exp(-np.maximum(apart, 0))


def inverse(at: np.ndarray, source: np.ndarray, setting: Setting) -> np.ndarray:
    _, which, count = np.unique(source, return_inverse=True, return_counts=True)
    weight = count[which] ** -setting.balance
    ridge = setting.ridge * weight.mean() / weight * np.where(source < FIRST_PACKAGE, 1, setting.aside)
    return np.linalg.inv(likeness(at, at) + COMMON + np.diag(ridge))


def held_out(at: np.ndarray, target: np.ndarray, source: np.ndarray, setting: Setting = SETTING) -> np.ndarray:
    """What the regression fitted without a row's source says of it, [n, k]; exact, from one inverse.

    With G the inverse of kernel plus ridge, the prediction of a block left out is y - inv(G[b, b]) (G y)[b].
    """
    middle = target.mean(axis=0)
    solved = inverse(at, source, setting)
    dual = solved @ (target - middle)
    result = np.empty_like(target)
    for one in np.unique(source):
        b = source == one
        result[b] = target[b] - np.linalg.solve(solved[np.ix_(b, b)], dual[b])
    return result


def held_out_elsewhere(
    at: np.ndarray, other: np.ndarray, target: np.ndarray, source: np.ndarray, setting: Setting = SETTING
) -> np.ndarray:
    """As ``held_out`` for rows seen in another way (``other``) than those that the regression is fitted to (``at``)."""
    middle = target.mean(axis=0)
    solved = inverse(at, source, setting)
    known, result = likeness(other, at), np.empty_like(target)
    for one in np.unique(source):
        b, r = source == one, source != one
        y = target[r] - middle
        back = np.linalg.solve(solved[np.ix_(b, b)], solved[np.ix_(b, r)] @ y)
        dual = solved[np.ix_(r, r)] @ y - solved[np.ix_(r, b)] @ back
        result[b] = (known[np.ix_(b, r)] + COMMON) @ dual + middle
    return result


def power(said: np.ndarray, label: np.ndarray) -> float:
    """The power of held-out outputs under which they have the best likelihood of the first reading as odds."""
    rows = np.arange(len(label))

    def loss(log_power: float) -> float:
        return -np.log(odds_of(said, np.exp(log_power))[rows, label] + 1e-12).mean()

    return float(np.exp(minimize_scalar(loss, bounds=(-1, 3), method="bounded").x))


def whole_fit(where: Places, target: np.ndarray, source: np.ndarray, raised: float) -> KernelHead:
    middle = target.mean(axis=0)
    dual = inverse(where.at, source, SETTING) @ (target - middle)
    bias = middle + COMMON * dual.sum(axis=0)
    axes = where.axes / np.sqrt(len(where.mean))
    parts = (where.mean, where.deviation, axes, where.at, dual, bias, [raised])
    return KernelHead(*(np.asarray(part, np.float32) for part in parts))

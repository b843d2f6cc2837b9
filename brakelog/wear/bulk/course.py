"""The walk over the visits of many lives at once, one visit of each life at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Floats, Lives


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """What lies between visits and what is read at them, each array of shape (J, N).

    A life that has fewer visits than others stands still after its last one and is read with an
    infinite variance, which teaches nothing: the walk needs no mask.

    Parameters
    ----------
    gap
        Distance since the visit before, or since the start. [1000 km]
    read_mm
        Material read above the limit. [mm]
    reading_var
        Variance of it. [mm^2]
    """

    gap: Floats
    read_mm: Floats
    reading_var: Floats


def steps_of(lives: Lives) -> Steps:
    """Return the steps that the walk takes, visit by visit."""
    gap = lives.x.copy()
    gap[1:] -= lives.x[:-1]
    read_mm, reading_var = lives.visit_margin_mm, np.square(lives.visit_u1_mm)
    if lives.visits.min(initial=lives.most_visits) < lives.most_visits:
        missing = np.arange(lives.most_visits)[:, None] >= lives.visits
        read_mm = read_mm.copy()
        gap[missing] = read_mm[missing] = 0.0
        reading_var[missing] = np.inf
    return Steps(gap=gap, read_mm=read_mm, reading_var=reading_var)


class Courses:
    """Running state of one pass: margins given the rate, and the quadratics in the rate so far.

    Parameters
    ----------
    lives
        The lives, at their start.
    process_c
        Process variance over rate squared and distance. [1000 km]
    process_rate
        Rate that it is taken at. [mm/1000 km]
    """

    __slots__ = ("_growth", "_scratch", "information", "lean", "level", "margin_var", "score")

    def __init__(self, lives: Lives, *, process_c: Floats, process_rate: Floats) -> None:
        self.level, self.lean = lives.margin_mm.copy(), np.zeros(lives.count)
        self.margin_var = np.square(lives.u1_mm)
        self.information, self.score = np.zeros(lives.count), np.zeros(lives.count)
        self._growth = process_c * process_rate * process_rate
        self._scratch = np.empty(lives.count)

    def travel(self, gap: Floats) -> None:
        """Wear on to the next visit, which lies a gap away. [1000 km]"""
        self.lean -= gap
        self.margin_var += np.multiply(self._growth, gap, out=self._scratch)

    def take_in(self, off: Floats, total: Floats) -> None:
        """Learn from readings that lie `off` from the level, with variances `total`."""
        part = np.square(self.lean, out=self._scratch)
        part /= total
        self.information += part
        np.multiply(self.lean, off, out=part)
        part /= total
        self.score += part
        gain = self.margin_var / total
        self.level += np.multiply(gain, off, out=part)
        self.lean -= np.multiply(gain, self.lean, out=part)
        self.margin_var -= np.multiply(gain, self.margin_var, out=part)

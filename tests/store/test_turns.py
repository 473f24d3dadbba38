"""Whose turn it is to write: a line that moves lets everybody wait, one that is stuck only a few."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor, wait
from time import monotonic, sleep

import pytest

from tracker.domain.refusals import Trouble, Unavailable
from tracker.store.turns import A_MOMENT, IN_A_STUCK_LINE, Turns


def test_behind_a_writer_who_is_stuck_only_so_many_wait_and_the_others_are_told_at_once() -> None:
    turns = Turns(1, 2)

    def write() -> float:
        began = monotonic()
        with pytest.raises(Unavailable) as told, turns.turn():
            pass
        assert told.value.trouble is Trouble.BUSY
        return monotonic() - began

    with ThreadPoolExecutor(9) as pool, turns.turn():
        waited = sorted(one.result() for one in [pool.submit(write) for _ in range(8)])

    assert [took < A_MOMENT + 0.4 for took in waited] == [True] * 6 + [False] * 2
    assert waited[-1] < A_MOMENT + IN_A_STUCK_LINE + 0.5


def test_while_turns_begin_and_end_everybody_gets_one() -> None:
    turns = Turns(1, 0)

    def write() -> None:
        with turns.turn():
            sleep(0.02)

    with ThreadPoolExecutor(8) as pool:
        done, _ = wait([pool.submit(write) for _ in range(40)])

    assert [one.exception() for one in done] == [None] * 40

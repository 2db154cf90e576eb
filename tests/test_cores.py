"""Parts of work on all cores, or on one where a window draws."""

from threading import Barrier, Thread, get_ident

import pytest

from drafting.cores import spread


def test_parts_come_back_in_order_from_several_threads():
    """Two parts that wait for each other only end if they run side by side."""
    meet = Barrier(2, timeout=20)
    assert spread(lambda part: (meet.wait(), part)[1], ["a", "b"]) == ["a", "b"]


def test_work_that_goes_on_aside_stays_on_its_own_thread():
    seen = []
    aside = Thread(target=lambda: seen.append((get_ident(), spread(lambda _: get_ident(), range(5)))))
    aside.start()
    aside.join()
    own, threads = seen[0]
    assert threads == [own] * 5


def test_a_fault_in_a_part_is_told():
    with pytest.raises(ZeroDivisionError):
        spread(lambda part: 1 / part, [1, 0])

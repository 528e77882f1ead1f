"""A lock that goes to whoever has waited longest."""

from concurrent.futures import ThreadPoolExecutor
from threading import Event, Thread

from shared_models.log.fair_lock import FairLock

SOON_S, NEVER_S = 30.0, 0.01


def test_threads_get_it_in_the_order_in_which_they_asked() -> None:
    lock, order = FairLock(), list[int]()
    assert lock.acquire(SOON_S)

    def write(number: int) -> None:
        assert lock.acquire(SOON_S)
        order.append(number)
        lock.release()

    threads = [Thread(target=write, args=(number,)) for number in range(5)]
    for number, thread in enumerate(threads, 1):
        thread.start()
        while lock.waiting < number:
            Event().wait(0.001)
    lock.release()
    for thread in threads:
        thread.join()

    assert order == list(range(5))


def test_whoever_asks_again_waits_for_those_who_came_before() -> None:
    lock, order = FairLock(), list[str]()
    assert lock.acquire(SOON_S)
    with ThreadPoolExecutor(1) as pool:

        def other() -> None:
            assert lock.acquire(SOON_S)
            order.append("other")
            lock.release()

        waiting = pool.submit(other)
        while not lock.waiting:
            Event().wait(0.001)
        lock.release()
        assert lock.acquire(SOON_S)
        order.append("again")
        lock.release()
        waiting.result()

    assert order == ["other", "again"]


def test_whoever_waited_too_long_gives_up_and_others_get_it() -> None:
    lock = FairLock()
    assert lock.acquire(SOON_S)
    assert not lock.acquire(NEVER_S)

    lock.release()

    assert lock.acquire(NEVER_S)

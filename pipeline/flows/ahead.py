"""Work on the next parts of a file while one is being written."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

Part = TypeVar("Part")
Done = TypeVar("Done")

# The tables of a part are short columns, on which polars keeps little more than one core busy.
N_THREADS = 2


def work_ahead(parts: Iterable[Part], work: Callable[[Part], Done]) -> Iterator[tuple[Part, Done]]:
    """Each part with what ``work`` made of it, in order; at most two wait while another is read.

    Raises
    ------
    Exception
        what taking or working on a part raised, at its turn or before.
    """
    with ThreadPoolExecutor(N_THREADS) as pool:
        begun: deque[tuple[Part, Future[Done]]] = deque()
        for part in parts:
            begun.append((part, pool.submit(work, part)))
            if len(begun) > N_THREADS:
                first, future = begun.popleft()
                yield first, future.result()
        while begun:
            first, future = begun.popleft()
            yield first, future.result()

"""Rows of a linear programme, collected one by one."""

from collections.abc import Mapping

import numpy as np
from scipy.optimize import LinearConstraint
from scipy.sparse import csr_array

Terms = Mapping[int, float]


class Rows:
    """Sparse rows ``low <= terms . x <= high`` over ``n_columns`` unknowns."""

    def __init__(self, n_columns: int) -> None:
        self._n_columns = n_columns
        self._row: list[int] = []
        self._column: list[int] = []
        self._value: list[float] = []
        self._low: list[float] = []
        self._high: list[float] = []

    def add(self, terms: Terms, low: float = -np.inf, high: float = np.inf) -> None:
        """One row more."""
        self._row += [len(self._low)] * len(terms)
        self._column += terms.keys()
        self._value += terms.values()
        self._low.append(low)
        self._high.append(high)

    def constraint(self) -> LinearConstraint:
        """All rows as scipy takes them."""
        shape = (len(self._low), self._n_columns)
        matrix = csr_array((self._value, (self._row, self._column)), shape=shape)
        return LinearConstraint(matrix, np.array(self._low), np.array(self._high))

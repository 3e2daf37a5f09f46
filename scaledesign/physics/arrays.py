"""Names for the array types used everywhere; shapes are told in docstrings. Nothing else belongs here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Floats: TypeAlias = "NDArray[np.floating[Any]]"
Complexes: TypeAlias = "NDArray[np.complexfloating[Any, Any]]"
Indices: TypeAlias = "NDArray[np.intp]"
Mask: TypeAlias = "NDArray[np.bool_]"

"""Names for the array types used everywhere; shapes are told in docstrings. Nothing else belongs here."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Complexes = NDArray[np.complexfloating[Any, Any]]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

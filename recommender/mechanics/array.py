"""The one numeric type of the mechanics: float64 arrays of any shape; scalars are welcome."""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
ArrayLike = npt.ArrayLike


def array(values: ArrayLike) -> Array:
    """`values` as a float64 array, not copied where it is one already."""
    return np.asarray(values, dtype=np.float64)

"""Suspension mechanics: pure functions on NumPy arrays, SI inside (m, N, Pa, kg, s).

Every argument broadcasts; a scalar in gives a NumPy scalar out. No function branches on a value,
so whole catalogue columns pass at once. NaN in, NaN out.
"""

from recommender.mechanics.array import Array, ArrayLike

__all__ = ["Array", "ArrayLike"]

"""Order among what fits: an additive value model whose every point can be argued with."""

//! From areas to plies, glass, resin, thickness and mass. Only `coverage` sees facets; the rest takes numbers.

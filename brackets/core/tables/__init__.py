"""Rows of the trade: bolts, tube, flat stock, materials, bushes, each with its source; mm, kg, N, MPa."""

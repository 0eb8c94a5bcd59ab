"""Solids of pieces and parts, made by the kernel piece by piece and checked against the closed form.

The only package that makes shapes. A piece's solid is made in its own frame, kept by what shapes it, and set at
its place; so equal pieces share one solid, and their files one shape.
"""

from brackets.kernel.loading import load

load()

from brackets.kernel.solids import forget, own_shape, shape, shape_key, unchecked_shape  # noqa: E402

__all__ = ["forget", "own_shape", "shape", "shape_key", "unchecked_shape"]

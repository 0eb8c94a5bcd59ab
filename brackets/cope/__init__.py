"""How tube ends are cut so that they meet what they are welded to: end curves, wraps."""

from brackets.cope.curve import check_tube, contour, cut_back, cut_problems, end_curve, leaning, size_problems

__all__ = ["check_tube", "contour", "cut_back", "cut_problems", "end_curve", "leaning", "size_problems"]

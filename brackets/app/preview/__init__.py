"""The live page, the one-file page and the picture of a part or a bay, all from the same block of bytes.

mm and degrees; the axes of the part, or of the bay (x forward, y left, z up).
"""

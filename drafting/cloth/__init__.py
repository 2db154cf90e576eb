"""Cloth, independent of any mesh: what a fabric weighs, how it bends, and the mesh that it is draped as."""

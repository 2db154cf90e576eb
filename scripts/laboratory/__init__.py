"""A textile laboratory in simulation: strips over a table's edge, cloth on a drapemeter, tubes on a cylinder.

Every specimen is meshed by the drape's own mesher and simulated with the drape's own settings, in the same order:
dressed, at rest, then at rest under heavy drag. The bench and the tests read their bars here.
"""

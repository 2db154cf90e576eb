"""Pictures: how the garment sits, from all sides, beside its variants, and on paper.

Every picture is made in a workroom, a temporary scene that leaves the maker's own scene as it was.
"""

"""The verbs of the command line: each a short function over `drafting` and the drape. Only this folder prints."""

"""One file per command. Each has a function `run`, whose docstring is the command's help."""

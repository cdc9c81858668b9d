"""The command line: reads options, asks the library once, shows the answer."""

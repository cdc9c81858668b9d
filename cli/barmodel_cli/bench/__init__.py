"""What commands do between options and output: the log as a history, readings, holes, season."""

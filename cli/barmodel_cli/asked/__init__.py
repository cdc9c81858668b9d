"""What commands are asked for: options that several share, how they are read, and likely slips."""

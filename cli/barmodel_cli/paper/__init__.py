"""From a bar file to its sheets."""

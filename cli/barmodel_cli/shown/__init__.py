"""How answers look, in words, tables and JSON, and the step that comes next."""

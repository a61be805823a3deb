"""The jobs of an adviser from end to end: what commands and programs call."""

"""Which pattern suits this print: stated rules, each with its number and its sentence."""

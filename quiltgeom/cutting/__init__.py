"""Cut sizes, counts and yardage: exact where the trade rounds, and both are said."""

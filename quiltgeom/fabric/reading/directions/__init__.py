"""Which way is up in a print, and how it may be turned."""

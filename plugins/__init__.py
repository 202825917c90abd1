"""One trade matter each: its rules, its reckoning, its tables with sources."""

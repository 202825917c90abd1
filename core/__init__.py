"""The job model and the machinery; no trade rule lives here."""

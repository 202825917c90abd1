"""The command line and the user's settings."""

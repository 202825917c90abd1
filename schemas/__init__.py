"""JSON Schemas of every file a person writes or reads, and the demo surveys."""

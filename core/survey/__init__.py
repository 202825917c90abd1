"""The survey: read with places, judged, and built into the frozen job; and written back."""

"""Our height for dado rails in low rooms."""

from collections.abc import Iterator

from listel import Grounds, HeightOffer, Job, Source

LOW = 2600.0
"""A room lower than this is low, mm."""


def low_rooms(job: Job) -> Iterator[HeightOffer]:
    """Three eighths of the height, where a room is low."""
    for room in job.rooms:
        if any(reading.height < LOW for reading in room.height):
            source = Source("Book of Hollin & Roke (invented)", standing="house-rule")
            says = "three eighths of a low room, as Hollin & Roke set it"
            grounds = Grounds(formula=says, sources=(source,))
            yield HeightOffer(room=room.name, member="dado-rail", share=3 / 8, says=says, grounds=grounds)

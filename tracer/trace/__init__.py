"""From the meaning of pixels to segments, joins, conductors and part proposals."""

__all__: list[str] = []

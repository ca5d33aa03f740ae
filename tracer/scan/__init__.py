"""Opening scans within limits, levelling the light, finding stroke width and skew."""

__all__: list[str] = []

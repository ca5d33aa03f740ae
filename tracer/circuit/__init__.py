"""The arithmetic of circuits under an ohmmeter. Knows nothing of pixels."""

__all__: list[str] = []

"""Drawing and spoiling synthetic sheets, and training the reader on them. Imported by no other room."""

__all__: list[str] = []

"""The learned reader: a page in, the meaning of each pixel out."""

__all__: list[str] = []

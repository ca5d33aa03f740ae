"""What is handed over: tinted sheet, check list, wiring list."""

__all__: list[str] = []

"""Pictures of every state of the window, made with one command: ``python -m tests.shots OUT``."""

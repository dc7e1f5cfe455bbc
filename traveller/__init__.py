"""The traveller of an electronics repair workshop."""

__version__ = "0.1.0"

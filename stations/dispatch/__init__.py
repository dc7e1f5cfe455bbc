"""Dispatch: everything back in the carton, declared, weighed and signed for."""

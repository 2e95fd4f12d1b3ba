"""Signing in with an account: our own forms and words around the library's flows."""

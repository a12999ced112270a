"""Clearing with limited engagement."""
